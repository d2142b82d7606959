"""Whole possessions of an elite roster on a calm day against man cover, beside published figures.

Sources: 5.5 completed passes a possession, Lam et al. 2021, Front. Psychol. (14 games of
professionals); completion 90-94 %, season review 2022; about 0.60 goals a possession for elite
clubs, expert estimates 2012 and 2024 (all published). The pass figures come from a wider field and
a shorter stall, hence the bands: 0.92 +- 0.03, 5.5 +- 1.5, 0.60 +- 0.08. Each figure is the mean over
five seeds. The shape rows have no source but memory and are reported in sim/MODEL.md, not gated.
"""

from __future__ import annotations

from functools import cache

import pandas as pd
import pytest

from experiments.studies.credibility import BANDS, possession_shape
from tests.outside.rehearsed import rows, situation

pytestmark = pytest.mark.slow


@cache
def shape() -> pd.DataFrame:
    """The table of `sim/MODEL.md`, with fewer rehearsals a seed."""
    return possession_shape(n=400)


TOO_FEW = pytest.mark.xfail(
    strict=True,
    reason="0.44: 46 m from the brick mark at 7 m a completed pass take seven, and by the "
    "identity 0.89 of completion leaves no more; deep throws are 0.07 of all",
)


@pytest.mark.parametrize(
    "name", ["completion", "completed passes", pytest.param("goals", marks=TOO_FEW)]
)
def test_totals_lie_in_their_bands(name: str) -> None:
    """The mean over five seeds, give or take two of its standard errors."""
    row = shape().loc[name]
    low, high = BANDS[name]
    assert low - 2.0 * row["se"] <= row["mean"] <= high + 2.0 * row["se"]


def test_hardly_anybody_stalls() -> None:
    assert shape().loc["lost by stall", "mean"] < 0.05


def test_the_three_figures_hang_together() -> None:
    """p = m / (m + 1 - g) when every possession without a goal ends in one failed throw.

    Arithmetic. Stalls and time caps end without a throw, and there are next to none.
    """
    table = rows(situation("possession", plan="flow", defence="man"), 600)
    goals = table["goal"].mean()
    caught = table["throws"] - (~table["goal"] & (table["outcome"] != "time cap"))
    completion = caught.sum() / table["throws"].sum()
    passes = caught.mean()
    assert completion == pytest.approx(passes / (passes + 1.0 - goals), abs=0.02)
