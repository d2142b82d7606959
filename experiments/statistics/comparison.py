"""Which of several plans is better, rehearsed with the same luck, and by how much."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping

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
    difference : with its paired interval.
    among_all : the same with a simultaneous interval: all those of the comparison hold together.
    unpaired : the interval it would have had without common luck.
    variance_ratio : variance without pairing to variance with it: how many times as many
        rehearsals would have been needed. Above 1, pairing helped; NaN if there is no variance.
    """

    plan: str
    baseline: str
    measure: str
    difference: Estimate
    among_all: Estimate
    unpaired: Estimate
    variance_ratio: float

    @property
    def clear(self) -> bool:
        """Whether the simultaneous interval leaves out 0, so that one is better than the other.

        Among many differences some intervals leave out 0 by chance: with six equal plans half of
        all comparisons would show a false one.
        """
        return self.among_all.low > 0.0 or self.among_all.high < 0.0


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
                    "clear": d.clear,
                    "n": d.difference.n,
                    "variance_ratio": d.variance_ratio,
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
    level : of each interval on its own. For a run to a precision, its `working_level`. The
        simultaneous ones have 1 - (1 - level) / (how many differences), after Bonferroni (Dunn 1961).

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
    together = 1.0 - (1.0 - level) / ((len(tables) - 1) * len(MEASURES))
    scored = {key: table.assign(score=score(table, weights)) for key, table in tables.items()}
    return Comparison(
        baseline,
        weights,
        {
            key: {name: _alone(table, name, level) for name in MEASURES}
            for key, table in scored.items()
        },
        tuple(
            _difference(key, baseline, name, table, scored[baseline], level, together)
            for key, table in scored.items()
            if key != baseline
            for name in MEASURES
        ),
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


def _difference(
    plan: str,
    baseline: str,
    name: str,
    mine: pd.DataFrame,
    theirs: pd.DataFrame,
    level: float,
    together: float,
) -> Difference:
    columns = mine[name].to_numpy(), theirs[name].to_numpy()
    of = [_flags(table, "completed") for table in (mine, theirs)]

    def paired_at(level: float) -> Estimate:
        if name == "trapped":
            return paired_share_difference(columns[0], of[0], columns[1], of[1], level)
        if name == "score":
            return worth_difference(columns[0], of[0], columns[1], of[1], level)
        return paired_difference(*columns, level)

    paired = paired_at(level)
    if name == "trapped":
        unpaired = unpaired_difference(columns[0][of[0]], columns[1][of[1]], level)
    else:
        unpaired = unpaired_difference(*columns, level)
    widths = paired.half_width, unpaired.half_width
    known = all(math.isfinite(width) and width > 0.0 for width in widths)
    ratio = (widths[1] / widths[0]) ** 2 if known else math.nan
    return Difference(plan, baseline, name, paired, paired_at(together), unpaired, ratio)


def _flags(table: pd.DataFrame, name: str) -> Flags:
    return table[name].to_numpy(bool)
