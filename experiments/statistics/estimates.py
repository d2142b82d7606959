"""Estimates that carry their interval and the number of rehearsals behind them."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import special

Numbers = npt.ArrayLike


@dataclasses.dataclass(frozen=True)
class Estimate:
    """A number, the interval it lies in, and how many rehearsals it rests on.

    Attributes
    ----------
    estimate : the number; NaN when there was nothing to estimate it from.
    low, high : ends of the interval; infinite or NaN when too little is known to give one.
    n : how many rehearsals had a value.
    level : the share of such intervals that hold the true number, at least.
    """

    estimate: float
    low: float
    high: float
    n: int
    level: float = 0.95

    @property
    def half_width(self) -> float:
        """Half the distance between the ends of the interval, in the unit of the estimate."""
        return (self.high - self.low) / 2.0

    def clipped(self, least: float, most: float) -> Estimate:
        """The same with its ends cut off at what is possible; a NaN stays."""
        low, high = (min(max(end, least), most) for end in (self.low, self.high))
        return dataclasses.replace(self, low=low, high=high)

    @property
    def sign(self) -> int:
        """+1 or -1 where the interval leaves out 0, else 0."""
        return int(self.low > 0.0) - int(self.high < 0.0)

    def columns(self, name: str = "estimate", prefix: str = "") -> dict[str, float]:
        """Its columns in a table: `name`, and the ends as low and high after the prefix."""
        return {name: self.estimate, f"{prefix}low": self.low, f"{prefix}high": self.high}

    def as_dict(self) -> dict[str, float | int | None]:
        """estimate, low, high and n; None stands for an unknown number, since JSON has no NaN."""
        known = {k: v if math.isfinite(v) else None for k, v in self.columns().items()}
        return {**known, "n": self.n}

    def __str__(self) -> str:
        if math.isnan(self.estimate):
            return f"no value (n {self.n})"
        places = decimals(self.half_width)
        middle = f"{self.estimate:.{places}f}"
        if not math.isfinite(self.half_width):
            return f"{middle} (no interval, n {self.n})"
        return f"{middle} ({self.low:.{places}f} to {self.high:.{places}f}, n {self.n})"


def decimals(half_width: float) -> int:
    """Decimal places worth printing: the first digit of the half-width, two if it is a small one.

    >>> decimals(0.0085), decimals(0.012), decimals(3.4)
    (3, 3, 0)
    """
    if not math.isfinite(half_width) or half_width <= 0.0:
        return 3
    exponent = math.floor(math.log10(half_width))
    leading = half_width / 10.0**exponent
    return min(max((1 if leading < 3.0 else 0) - exponent, 0), 6)


def proportion_bounds(
    successes: Numbers, n: Numbers, level: float = 0.95
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Ends of the Clopper-Pearson interval, for arrays of counts.

    Clopper & Pearson 1934, Biometrika 26:404-413, by quantiles of the beta distribution.

    Returns
    -------
    low, high : arrays of the common shape of `successes` and `n`; 0 and 1 where n is 0.
    """
    _check_level(level)
    hits, sizes = np.broadcast_arrays(np.asarray(successes, float), np.asarray(n, float))
    tail = (1.0 - level) / 2.0
    failures = sizes - hits
    # The beta quantile has no meaning with a zero parameter; there the end is 0 or 1 itself.
    low = special.betaincinv(np.maximum(hits, 0.5), failures + 1.0, tail)
    high = special.betaincinv(hits + 1.0, np.maximum(failures, 0.5), 1.0 - tail)
    return np.where(hits == 0, 0.0, low), np.where(failures == 0, 1.0, high)


def proportion(successes: int, n: int, level: float = 0.95) -> Estimate:
    """How often something happened, with its Clopper-Pearson interval.

    Chosen over Wilson's interval because it holds the true rate at least `level` of the time
    whatever that rate is; Wilson's does so only on average, and falls short near 0 and 1,
    where good resets live. The price is about 1/n on the width, nothing at a few thousand
    rehearsals.

    Raises
    ------
    ValueError : if the counts are negative, or there are more successes than rehearsals.
    """
    successes, n = int(successes), int(n)
    if n < 0 or not 0 <= successes <= n:
        raise ValueError(f"{successes} successes out of {n} is not possible")
    low, high = proportion_bounds(successes, n, level)
    middle = successes / n if n else math.nan
    return Estimate(middle, float(low), float(high), n, level)


def share(flags: Numbers, level: float = 0.95) -> Estimate:
    """`proportion` of a column of true and false.

    Raises
    ------
    ValueError : if the column holds anything else.
    """
    column = np.asarray(flags)
    if column.dtype != np.bool_:
        raise ValueError(f"a share needs true and false, not {column.dtype}")
    return proportion(int(np.count_nonzero(column)), column.size, level)


def mean(values: Numbers, level: float = 0.95, *, unseen: bool = True) -> Estimate:
    """Average of the values there are; NaNs are left out of n.

    Student's t interval, put together with what one kind of value that was not seen may add; see
    `with_unseen`. One value gives an infinite interval, none gives NaN throughout.

    Parameters
    ----------
    values : (R,) numbers or NaN.
    unseen : False gives Student's interval alone, which holds less often than it says where
        a few large values make much of the average.
    """
    _check_level(level)
    column = np.asarray(values, float)
    column = column[~np.isnan(column)]
    n = column.size
    if n == 0:
        return Estimate(math.nan, math.nan, math.nan, 0, level)
    spread = float(np.std(column, ddof=1)) if n > 1 else math.nan
    found = student(float(np.mean(column)), spread, n, level)
    return with_unseen(found, column - found.estimate) if unseen else found


def with_unseen(found: Estimate, pulls: npt.NDArray[np.float64]) -> Estimate:
    """Student's interval with room for a kind of value that no rehearsal happened to have.

    In n rehearsals an event never seen may be as frequent as the upper end of Clopper & Pearson's
    interval of 0 of n says. The value it has is taken to lie as far beyond the most (or the least)
    seen as the seen ones lie apart, a judgement. Both parts are put together by the square-and-add
    rule (Zou & Donner 2008, Stat. Med. 27:1693-1702). Where all values seen are alike, and for rare
    values farther out than that, the interval holds less often than its level; at 4000 rehearsals
    it is some 5 % wider than Student's.

    Parameters
    ----------
    found : Student's interval.
    pulls : (R,) every value less the average, or its influence on what was estimated.
    """
    if not pulls.size or not math.isfinite(found.half_width):
        return found
    often = float(proportion_bounds(0, pulls.size, found.level)[1])
    least, most = float(np.min(pulls)), float(np.max(pulls))
    low, high = (
        math.hypot(found.half_width, often * (end + (most - least))) for end in (-least, most)
    )
    return dataclasses.replace(found, low=found.estimate - low, high=found.estimate + high)


def student(
    middle: float, spread: float, n: int, level: float, freedom: int | None = None
) -> Estimate:
    """Estimate with the t interval of a mean whose single values have the standard deviation."""
    _check_level(level)
    freedom = n - 1 if freedom is None else freedom
    if freedom < 1:
        return Estimate(middle, -math.inf, math.inf, n, level)
    reach = float(special.stdtrit(freedom, (1.0 + level) / 2.0)) * spread / math.sqrt(n)
    return Estimate(middle, middle - reach, middle + reach, n, level)


def _check_level(level: Any) -> None:
    if not 0.0 < level < 1.0:
        raise ValueError(f"level is {level}; it must lie between 0 and 1")
