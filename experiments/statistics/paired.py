"""Differences between two plans rehearsed with the same luck."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy import special

from experiments.statistics.estimates import (
    Estimate,
    Numbers,
    proportion,
    share,
    student,
    with_unseen,
)

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


def paired_difference(
    first: Numbers, second: Numbers, level: float = 0.95, *, unseen: bool = True
) -> Estimate:
    """How much more the first has than the second, rehearsal by rehearsal.

    Parameters
    ----------
    first, second : (R,) columns of the same rehearsals in the same order. Two columns of true
        and false give a difference of rates; numbers give a difference of averages, where NaN
        says that a rehearsal has no value (a gain, when the pass was not completed). The average
        over those where the first has a value, less the average over those where the second has
        one: the difference of the two averages a coach reads in the tables of the two plans.
    level : of the interval; `precision.working_level` if the run was stopped by looking at it.
    unseen : as for `mean`.

    Returns
    -------
    Estimate : for rates, the ends are put together from the Clopper-Pearson intervals of how
        often only the first and how often only the second had it, by the square-and-add rule
        (Newcombe 1998, Stat. Med. 17:2635-2650). So the interval errs on the safe side, and has
        a width even when the two never disagreed. Averages have the interval of `mean` of the
        paired influence values: of the paired differences when nothing is missing. `n`
        counts the rehearsals that entered.

    Raises
    ------
    ValueError : if the columns are not of one length.
    """
    mine, theirs = _columns(first, second)
    if mine.dtype == np.bool_ and theirs.dtype == np.bool_:
        return _rate_difference(mine, theirs, level)
    mine, theirs = mine.astype(float), theirs.astype(float)
    has_mine, has_theirs = ~np.isnan(mine), ~np.isnan(theirs)
    fewest = int(min(np.count_nonzero(has_mine), np.count_nonzero(has_theirs)))
    n = int(np.count_nonzero(has_mine | has_theirs))
    if fewest == 0:
        return Estimate(math.nan, math.nan, math.nan, n, level)
    my_mean, my_pull = _influence(mine, has_mine)
    their_mean, their_pull = _influence(theirs, has_theirs)
    pull = (my_pull - their_pull)[has_mine | has_theirs] * (n / mine.size)
    # Both sets of pulls average zero, so the sum of squares needs no further centring.
    spread = math.sqrt(float(np.sum(pull * pull)) / (n - 1)) if n > 1 else math.nan
    found = student(my_mean - their_mean, spread, n, level, fewest - 1)
    return with_unseen(found, pull) if unseen else found


def paired_share_difference(
    first: Numbers, of_first: Numbers, second: Numbers, of_second: Numbers, level: float = 0.95
) -> Estimate:
    """Difference of two shares that are each taken of some of the rehearsals.

    Such as: of the passes completed, how many were trapped.

    Parameters
    ----------
    first, second : (R,) what happened, true or false.
    of_first, of_second : (R,) the rehearsals that count, true or false.

    Returns
    -------
    Estimate : by the square-and-add rule from the two Clopper-Pearson intervals and the
        correlation of the two shares. `n` counts the rehearsals that entered.
    """
    mine, theirs = (np.asarray(c, bool) for c in _columns(first, second))
    of_mine, of_theirs = (np.asarray(c, bool) for c in _columns(of_first, of_second))
    mine, theirs = mine & of_mine, theirs & of_theirs
    shares = share(mine[of_mine], level), share(theirs[of_theirs], level)
    n = int(np.count_nonzero(of_mine | of_theirs))
    if min(part.n for part in shares) == 0:
        return Estimate(math.nan, -1.0, 1.0, n, level)
    my_pull = _influence(mine.astype(float), of_mine)[1]
    their_pull = _influence(theirs.astype(float), of_theirs)[1]
    sizes = float(np.sum(my_pull * my_pull)) * float(np.sum(their_pull * their_pull))
    alike = float(np.sum(my_pull * their_pull)) / math.sqrt(sizes) if sizes > 0.0 else 0.0
    return _square_and_add(*shares, alike, n)


def unpaired_difference(first: Numbers, second: Numbers, level: float = 0.95) -> Estimate:
    """The same difference, had the two plans met luck of their own; NaNs are left out.

    It serves to show what pairing saves. Rates: square-and-add without correlation (Newcombe
    1998, Stat. Med. 17:873-890). Averages: Welch's t interval.
    """
    mine, theirs = np.asarray(first), np.asarray(second)
    if mine.dtype == np.bool_ and theirs.dtype == np.bool_:
        shares = share(mine, level), share(theirs, level)
        return _square_and_add(*shares, 0.0, min(mine.size, theirs.size))
    values = [column.astype(float) for column in (mine, theirs)]
    values = [column[~np.isnan(column)] for column in values]
    n = min(column.size for column in values)
    if n == 0:
        return Estimate(math.nan, math.nan, math.nan, 0, level)
    middle = float(np.mean(values[0])) - float(np.mean(values[1]))
    if n < 2:
        return Estimate(middle, -math.inf, math.inf, n, level)
    parts = [float(np.var(column, ddof=1)) / column.size for column in values]
    variance = parts[0] + parts[1]
    if variance == 0.0:
        return Estimate(middle, middle, middle, n, level)
    pairs = zip(parts, values, strict=True)
    freedom = variance**2 / sum(part**2 / (column.size - 1) for part, column in pairs)
    reach = float(special.stdtrit(freedom, (1.0 + level) / 2.0)) * math.sqrt(variance)
    return Estimate(middle, middle - reach, middle + reach, n, level)


def _rate_difference(first: Flags, second: Flags, level: float) -> Estimate:
    n = first.size
    ups = proportion(int(np.count_nonzero(first & ~second)), n, level)
    downs = proportion(int(np.count_nonzero(second & ~first)), n, level)
    # Parts of one whole: a rehearsal that goes one way cannot go the other.
    rest = (1.0 - ups.estimate) * (1.0 - downs.estimate)
    alike = -math.sqrt(ups.estimate * downs.estimate / rest) if rest > 0.0 else 0.0
    return _square_and_add(ups, downs, alike, n)


def _square_and_add(one: Estimate, other: Estimate, alike: float, n: int) -> Estimate:
    """One rate less another, from their intervals and the correlation of their estimates."""
    middle = one.estimate - other.estimate
    if math.isnan(middle):
        return Estimate(math.nan, -1.0, 1.0, n, one.level)
    down = _together(one.estimate - one.low, other.high - other.estimate, alike)
    up = _together(one.high - one.estimate, other.estimate - other.low, alike)
    return Estimate(middle, max(middle - down, -1.0), min(middle + up, 1.0), n, one.level)


def _together(one: float, other: float, alike: float) -> float:
    # to the bit the same with the two exchanged
    return math.sqrt(max((one * one + other * other) - 2.0 * alike * (one * other), 0.0))


def _influence(values: Floats, has: Flags) -> tuple[float, Floats]:
    """Average over the values there are, and every rehearsal's pull on that average."""
    middle = float(np.mean(values[has]))
    pull = np.where(has, values - middle, 0.0)
    return middle, pull * (values.size / np.count_nonzero(has))


def _columns(first: Numbers, second: Numbers) -> tuple[npt.NDArray, npt.NDArray]:
    mine, theirs = np.asarray(first), np.asarray(second)
    if mine.ndim != 1 or mine.shape != theirs.shape:
        raise ValueError(
            f"a paired difference needs two columns of one length, not {mine.shape} and "
            f"{theirs.shape}"
        )
    return mine, theirs
