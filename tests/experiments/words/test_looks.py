"""What would be misread is told before the figures, and nothing is told where nothing is wrong."""

from __future__ import annotations

import pandas as pd
import pytest

from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.studies.rehearse import rehearse
from experiments.words.looks import never_called, traps


def table(looks: list[str], outcome: str = "completed") -> pd.DataFrame:
    """A table of rehearsals whose first throws were these."""
    return pd.DataFrame(
        {"look": looks, "completed": [outcome == "completed"] * len(looks), "outcome": outcome}
    )


def test_a_plan_that_was_played_as_it_is_called_is_not_warned_of() -> None:
    assert traps(load("middle-reset"), table(["strike left"] * 9 + ["open player"])) == []


def test_a_plan_whose_look_was_hardly_thrown_is_told_first() -> None:
    first, *_ = traps(load("middle-reset"), table(["strike left"] * 4 + ["dump left"] * 6))
    assert "strike of plan strike was thrown first in only 40 % of the plays" in first
    assert "dump left (60 %)" in first


def test_a_plan_named_after_two_looks_counts_both() -> None:
    situation = load("dump-swing-poach").with_setting("plan", "strike-dump")
    looks = ["strike left"] * 3 + ["dump nearest-handler"] * 4 + ["open player"] * 3
    assert traps(situation, table(looks)) == []


def test_the_time_cap_is_told() -> None:
    short = load("possession").with_setting("time_cap", 20.0)
    told = traps(short, rehearse(short, 60).table)
    assert any("time cap of 20 s" in line and "raise time_cap" in line for line in told)


@pytest.mark.parametrize(("stall", "never"), [(4.0, 0), (8.0, 1)])
def test_a_window_that_can_never_open_is_told(stall: float, never: int) -> None:
    assert len(never_called(load("middle-reset").with_setting("stall", stall))) == never


def test_nobody_defending_is_told() -> None:
    data = load("middle-reset").to_dict()
    data["defenders"] = []
    told = traps(Situation.from_dict(data), table(["strike left"] * 4))
    assert any("nobody defends" in line for line in told)
