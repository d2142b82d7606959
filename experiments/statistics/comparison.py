"""Which of several plans is better, rehearsed with the same luck, and by how much."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping

import numpy as np
import pandas as pd

from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import MEASURES, column, difference, measured
from experiments.statistics.paired import paired_difference, unpaired_difference
from experiments.statistics.tables import Table
from experiments.statistics.weights import Weights

# All but the first two and the last are about completed passes only.
COMPARED = ("completed", "goal", "gain_m", "off_centre_m", "trapped", "score")


@dataclasses.dataclass(frozen=True)
class Difference:
    """One plan less the baseline, in one measure.

    Attributes
    ----------
    plan, baseline, measure : what was compared.
    difference : with its paired interval, which holds the level on its own.
    unpaired : the interval it would have had without common luck.
    variance_ratio : variance without pairing to variance with it: how many times as many
        rehearsals would have been needed. Above 1, pairing helped; NaN if there is no variance.
    clear : whether one is better than the other, all differences of the comparison judged
        together: with the chance of the level at least, none is called clear that is nothing.
    """

    plan: str
    baseline: str
    measure: str
    difference: Estimate
    unpaired: Estimate
    variance_ratio: float
    clear: bool = False


@dataclasses.dataclass(frozen=True)
class Comparison:
    """Several plans beside each other.

    Attributes
    ----------
    baseline : the plan the others are compared with.
    estimates : by plan and measure. Completion and score are of all rehearsals; gain, distance
        off centre and the share that was trapped are of completed passes.
    differences : each other plan less the baseline, in every measure.
    """

    baseline: str
    weights: Weights
    estimates: dict[str, dict[str, Estimate]]
    differences: tuple[Difference, ...]

    def table(self) -> pd.DataFrame:
        """One row a difference."""
        return pd.DataFrame(
            [
                {
                    "plan": d.plan,
                    "baseline": d.baseline,
                    "measure": d.measure,
                    **d.difference.columns("difference"),
                    "n": d.difference.n,
                    "variance_ratio": d.variance_ratio,
                    "clear": d.clear,
                }
                for d in self.differences
            ]
        )


def compare_tables(
    tables: Mapping[str, Table],
    baseline: str | None = None,
    weights: Weights | None = None,
    level: float = 0.95,
) -> Comparison:
    """Compare plans by the tables of their rehearsals, made with the same seed.

    Parameters
    ----------
    tables : by plan; they must hold the same rehearsals.
    baseline : what to compare with; the first if None.
    weights : of the score; the defaults if None.
    level : of each interval on its own. For a run to a precision, its `working_level`.

    Raises
    ------
    ValueError : if there are fewer than two plans, no such baseline, or other rehearsals.
    """
    if len(tables) < 2:
        raise ValueError("a comparison needs at least two plans")
    baseline = next(iter(tables)) if baseline is None else baseline
    if baseline not in tables:
        raise ValueError(f"there is no plan {baseline!r}; there are {', '.join(tables)}")
    numbers = tables[baseline]["rehearsal"].to_numpy()
    for key, table in tables.items():
        if not np.array_equal(table["rehearsal"].to_numpy(), numbers):
            raise ValueError(f"{key} and {baseline} were not rehearsed the same number of times")
    weights = Weights() if weights is None else weights
    return Comparison(
        baseline,
        weights,
        {
            key: {name: measured(table, MEASURES[name], weights, level) for name in COMPARED}
            for key, table in tables.items()
        },
        _differences(tables, baseline, weights, level),
    )


def completion_differences(tables: Mapping[str, Table], level: float) -> dict[str, Estimate]:
    """Completion of each plan less that of the first, for `run_to_precision(together=True)`."""
    first, *others = tables
    start = tables[first]["completed"].to_numpy(bool)
    return {
        key: paired_difference(tables[key]["completed"].to_numpy(bool), start, level)
        for key in others
    }


def _differences(
    tables: Mapping[str, Table], baseline: str, weights: Weights, level: float
) -> tuple[Difference, ...]:
    """All differences from the baseline, with which of them are clear."""
    theirs = tables[baseline]
    pairs = [(plan, MEASURES[name]) for plan in tables if plan != baseline for name in COMPARED]

    def interval(index: int, at: float) -> Estimate:
        plan, measure = pairs[index]
        return difference(tables[plan], theirs, measure, weights, at)

    clear = clear_of_zero(interval, len(pairs), level)
    found = []
    for index, (plan, measure) in enumerate(pairs):
        alone = difference(tables[plan], theirs, measure, weights, level, unseen=False)
        both = (column(table, measure, weights) for table in (tables[plan], theirs))
        mine, others = (values[counts] for values, counts in both)
        unpaired = unpaired_difference(mine, others, level)
        paired, ratio = interval(index, level), _ratio(unpaired.half_width, alone.half_width)
        name, is_clear = measure.name, index in clear
        found.append(Difference(plan, baseline, name, paired, unpaired, ratio, is_clear))
    return tuple(found)


def _ratio(unpaired: float, paired: float) -> float:
    """Variance without pairing to variance with it, from half-widths of the same kind."""
    known = all(math.isfinite(width) and width > 0.0 for width in (paired, unpaired))
    return (unpaired / paired) ** 2 if known else math.nan


def clear_of_zero(
    interval: Callable[[int, float], Estimate], count: int, level: float = 0.95
) -> set[int]:
    """Which of many differences are not 0, so that all of this holds together with the level.

    Holm's procedure (1979, Scand. J. Stat. 6:65-70), by intervals: what is left is judged at the
    error allowed, shared among what is left, until nothing more leaves out 0.

    Parameters
    ----------
    interval : gives the interval of a difference, by its number, at a level.
    """
    clear: set[int] = set()
    while len(clear) < count:
        at = 1.0 - (1.0 - level) / (count - len(clear))
        left = (index for index in range(count) if index not in clear)
        more = {index for index in left if interval(index, at).sign != 0}
        if not more:
            break
        clear |= more
    return clear
