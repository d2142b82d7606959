"""Whole possessions of an elite roster on a calm day against man cover, beside published figures.

Sources: 5.5 completed passes a possession, Lam et al. 2021, Front. Psychol. (14 games of
professionals); completion 90-94 %, season review 2022; about 0.60 goals a possession for elite
clubs, expert estimates 2012 and 2024 (all published). The pass figures come from a wider field and
a shorter stall, hence the bands: 0.92 +- 0.03, 5.5 +- 1.5, 0.60 +- 0.08. A possession starts at the
brick mark.
"""

from __future__ import annotations

import pytest

from tests.outside.rehearsed import rows, situation

pytestmark = pytest.mark.slow
N = 1000


def _possessions():
    table = rows(situation("possession", plan="flow", defence="man"), N)
    goals = table["goal"].mean()
    passes = (table["throws"] - ~table["goal"]).mean()
    return table, goals, passes


@pytest.mark.xfail(
    strict=True,
    reason="0.69 goals, just above 0.68: the elite never let a throw slip; see MODEL.md",
)
def test_goals_a_possession():
    _, goals, _ = _possessions()
    assert goals == pytest.approx(0.60, abs=0.08)


def test_completed_passes_a_possession():
    _, _, passes = _possessions()
    assert passes == pytest.approx(5.5, abs=1.5)


def test_completion_of_a_throw():
    table, _, passes = _possessions()
    assert passes / table["throws"].mean() == pytest.approx(0.92, abs=0.03)


def test_the_three_figures_hang_together():
    """p = m / (m + 1 - g) when every possession without a goal ends in one failed throw.

    Arithmetic. Stalls and time caps end without a throw, and there are next to none.
    """
    table, goals, passes = _possessions()
    assert table["outcome"].isin(["stalled", "time cap"]).mean() < 0.01
    completion = passes / table["throws"].mean()
    assert completion == pytest.approx(passes / (passes + 1.0 - goals), abs=0.01)
