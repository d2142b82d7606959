"""Which of several plans is better, rehearsed with the same luck, and by how much."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.statistics.estimates import Estimate, mean, share
from experiments.statistics.paired import (
    paired_difference,
    paired_share_difference,
    unpaired_difference,
)
from experiments.statistics.scores import worth, worth_difference
from sim.settings import check_settings, setting

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

# All but the first two and the last are about completed passes only.
MEASURES = ("completed", "goal", "gain_m", "off_centre_m", "trapped", "score")


@dataclasses.dataclass(frozen=True)
class Weights:
    """What a pass is worth. One that is not completed is worth 0, whatever it gained.

    The unit is the worth of a plain completed pass: no ground gained, caught on the long axis,
    not trapped.
    """

    completed: float = setting(1.0, low=0.0, high=100.0, unit="a completed pass")
    goal: float = setting(0.0, low=0.0, high=100.0, unit="a goal, beside that")
    gain: float = setting(0.01, low=-10.0, high=10.0, unit="a metre gained")
    off_centre: float = setting(-0.005, low=-10.0, high=10.0, unit="a metre off the long axis")
    trapped: float = setting(-0.1, low=-100.0, high=100.0, unit="a completed pass that is trapped")

    def __post_init__(self) -> None:
        check_settings(self)

    def __str__(self) -> str:
        units = {f.name: f.metadata["unit"] for f in dataclasses.fields(self)}
        told = (
            f"{getattr(self, name):+g} for {unit}"
            for name, unit in units.items()
            if name != "goal" or self.goal
        )
        return ", ".join(told)


def score(table: pd.DataFrame, weights: Weights) -> Floats:
    """(R,) what each rehearsal is worth by the weights; 0 for passes that were not completed."""
    completed = table["completed"].to_numpy(bool)
    worth = (
        weights.completed
        + weights.goal * table["goal"].to_numpy(float)
        + weights.gain * table["gain_m"].to_numpy(float)
        + weights.off_centre * table["off_centre_m"].to_numpy(float)
        + weights.trapped * table["trapped"].to_numpy(float)
    )
    return np.where(completed, worth, 0.0)


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
    weights : of the score.
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
                    "difference": d.difference.estimate,
                    "low": d.difference.low,
                    "high": d.difference.high,
                    "n": d.difference.n,
                    "variance_ratio": d.variance_ratio,
                    "clear": d.clear,
                }
                for d in self.differences
            ]
        )


def compare_tables(
    tables: Mapping[str, pd.DataFrame],
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
    scored = {key: table.assign(score=score(table, weights)) for key, table in tables.items()}
    return Comparison(
        baseline,
        weights,
        {
            key: {name: _alone(table, name, level) for name in MEASURES}
            for key, table in scored.items()
        },
        _differences(scored, baseline, level),
    )


def completion_differences(tables: Mapping[str, pd.DataFrame], level: float) -> dict[str, Estimate]:
    """Completion of each plan less that of the first, for `run_to_precision(together=True)`."""
    first, *others = tables
    start = tables[first]["completed"].to_numpy(bool)
    return {
        key: paired_difference(tables[key]["completed"].to_numpy(bool), start, level)
        for key in others
    }


def _alone(table: pd.DataFrame, name: str, level: float) -> Estimate:
    if name in ("completed", "goal"):
        return share(_flags(table, name), level)
    if name == "trapped":
        return share(_flags(table, name)[_flags(table, "completed")], level)
    values = table[name].to_numpy(float)
    return (
        worth(values, _flags(table, "completed"), level) if name == "score" else mean(values, level)
    )


def _differences(
    scored: Mapping[str, pd.DataFrame], baseline: str, level: float
) -> tuple[Difference, ...]:
    """All differences from the baseline, with which of them are clear."""
    theirs = scored[baseline]
    pairs = [(plan, name) for plan in scored if plan != baseline for name in MEASURES]

    def interval(index: int, at: float) -> Estimate:
        plan, name = pairs[index]
        return _paired(name, scored[plan], theirs, at)

    clear = clear_of_zero(interval, len(pairs), level)
    return tuple(
        Difference(
            plan,
            baseline,
            name,
            interval(index, level),
            _unpaired(name, scored[plan], theirs, level),
            _ratio(name, scored[plan], theirs, level),
            index in clear,
        )
        for index, (plan, name) in enumerate(pairs)
    )


def clear_of_zero(
    interval: Callable[[int, float], Estimate], count: int, level: float = 0.95
) -> set[int]:
    """Which of many differences are not 0, so that all of this holds together with the level.

    Holm's procedure (1979, Scand. J. Stat. 6:65-70), by intervals: what is left is judged at the
    error allowed, shared among what is left, until nothing more leaves out 0.

    Parameters
    ----------
    interval : gives the interval of a difference, by its number, at a level.
    count : how many differences there are.
    """
    clear: set[int] = set()
    while len(clear) < count:
        at = 1.0 - (1.0 - level) / (count - len(clear))
        left = ((index, interval(index, at)) for index in range(count) if index not in clear)
        more = {index for index, found in left if found.low > 0.0 or found.high < 0.0}
        if not more:
            break
        clear |= more
    return clear


def _paired(
    name: str, mine: pd.DataFrame, theirs: pd.DataFrame, level: float, unseen: bool = True
) -> Estimate:
    if name in ("trapped", "score"):
        both = paired_share_difference if name == "trapped" else worth_difference
        done, others = (_flags(table, "completed") for table in (mine, theirs))
        return both(mine[name].to_numpy(), done, theirs[name].to_numpy(), others, level)
    return paired_difference(mine[name].to_numpy(), theirs[name].to_numpy(), level, unseen=unseen)


def _unpaired(name: str, mine: pd.DataFrame, theirs: pd.DataFrame, level: float) -> Estimate:
    one, other = (table[name].to_numpy() for table in (mine, theirs))
    if name == "trapped":
        one = one[_flags(mine, "completed")].astype(bool)
        other = other[_flags(theirs, "completed")].astype(bool)
    return unpaired_difference(one, other, level)


def _ratio(name: str, mine: pd.DataFrame, theirs: pd.DataFrame, level: float) -> float:
    """Variance without pairing to variance with it, from intervals of the same kind."""
    paired = _paired(name, mine, theirs, level, unseen=False).half_width
    unpaired = _unpaired(name, mine, theirs, level).half_width
    known = all(math.isfinite(width) and width > 0.0 for width in (paired, unpaired))
    return (unpaired / paired) ** 2 if known else math.nan


def _flags(table: pd.DataFrame, name: str) -> Flags:
    return table[name].to_numpy(bool)
