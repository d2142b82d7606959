"""Averages of what a rehearsal is worth, where one whose pass was not completed is worth 0.

Such a column is skewed: nearly all rehearsals are worth about the same, and a few nothing. So
Student's interval of its average is too short on one side, the more so the better a plan works,
and with no failure seen it says next to nothing. The part of it that comes from how often the pass
was completed is therefore exchanged for the ends of Clopper and Pearson's interval of that rate,
which hold however rare a failure is. Parts are put together by the square-and-add rule (Zou &
Donner 2008, Stat. Med. 27:1693-1702). `tests/experiments/statistics/test_coverage.py` says how often the
intervals hold.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt
from scipy import special

from experiments.statistics.estimates import Estimate, Numbers, mean, share

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

# The value of an ordinary completed pass, used when no pass was completed.
PLAIN = 1.0


def worth(values: Numbers, completed: Numbers, level: float = 0.95) -> Estimate:
    """Average of what rehearsals are worth.

    Parameters
    ----------
    values : (R,) finite, 0 where not completed.
    completed : (R,) true and false.
    """
    column, done = np.asarray(values, float), np.asarray(completed, bool)
    found = mean(column, level, unseen=False)
    if found.n < 2:
        return found
    return _exchanged(found, [(share(done, level), _middle(column[done], PLAIN))])


def worth_difference(
    first: Numbers,
    first_completed: Numbers,
    second: Numbers,
    second_completed: Numbers,
    level: float = 0.95,
) -> Estimate:
    """How much more the first is worth, rehearsal by rehearsal on the same luck.

    Exchanged are the parts of the rehearsals in which only one of the two was completed.
    """
    mine, theirs = np.asarray(first, float), np.asarray(second, float)
    done, others = np.asarray(first_completed, bool), np.asarray(second_completed, bool)
    plain = _middle(np.concatenate([mine[done], theirs[others]]), PLAIN)
    return worth_of_changes(mine - theirs, done.astype(int) - others, level, plain)


def worth_of_changes(
    values: Numbers, changes: Numbers, level: float = 0.95, plain: float = PLAIN
) -> Estimate:
    """Average of a difference, or of a difference of differences.

    Parameters
    ----------
    values : (R,) finite.
    changes : (R,) how many more completed passes went into each, less those taken away.
    plain : what one more completed pass changes, if it was never seen.
    """
    column, net = np.asarray(values, float), np.asarray(changes, float)
    found = mean(column, level, unseen=False)
    if found.n < 2:
        return found
    alike = _middle(column[net == 0.0], 0.0)
    parts = []
    for sign in (1.0, -1.0):
        some = sign * net > 0.0
        parts.append((share(some, level), _middle(column[some], sign * plain) - alike))
    return _exchanged(found, parts)


def _exchanged(found: Estimate, parts: Iterable[tuple[Estimate, float]]) -> Estimate:
    """Student's interval with parts of its variance, each a rate times a scale, exchanged."""
    reach = float(special.stdtrit(found.n - 1, (1.0 + found.level) / 2.0))
    down = up = found.half_width**2
    for rate, scale in parts:
        ends = sorted((scale * (rate.low - rate.estimate), scale * (rate.high - rate.estimate)))
        variance = rate.estimate * (1.0 - rate.estimate) / (found.n - 1)
        plain = (reach * scale) ** 2 * variance
        down += ends[0] ** 2 - plain
        up += ends[1] ** 2 - plain
    low, high = (math.sqrt(max(square, 0.0)) for square in (down, up))
    middle = found.estimate
    return Estimate(middle, middle - low, middle + high, found.n, found.level)


def _middle(values: Floats, otherwise: float) -> float:
    return float(np.mean(values)) if values.size else otherwise
