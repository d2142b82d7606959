"""What if: before and after are those of the two situations, on the same luck."""

from __future__ import annotations

import numpy as np
import pytest

from experiments.errors import StallwiseError
from experiments.situations.files import load
from experiments.studies.rehearse import rehearse
from experiments.studies.whatif import what_if
from experiments.words.differences import in_a_sentence

MIDDLE = load("middle-reset")


def test_before_and_after_are_the_studies_of_the_two_situations() -> None:
    changes = {"plan": "around", "defences.man.mark.angle": 60.0}
    found = what_if(MIDDLE, changes, 150, 3)
    after = rehearse(MIDDLE.with_settings(changes), 150, 3)
    before = rehearse(MIDDLE, 150, 3)
    assert found.before.table.equals(before.table) and found.after.table.equals(after.table)
    assert found.changes == {"plan": ("strike", "around"), "defences.man.mark.angle": (40.0, 60.0)}
    change = next(d for d in found.comparison.differences if d.measure == "completed").difference
    mine, theirs = (t["completed"].to_numpy(float) for t in (after.table, before.table))
    assert change.estimate == pytest.approx(np.mean(mine - theirs))


def test_a_whole_place_is_two_numbers() -> None:
    found = what_if(MIDDLE, {"attackers.left.at": [-6.0, 29.0]}, 20)
    assert found.changes == {
        "attackers.left.at.0": (-10.0, -6.0),
        "attackers.left.at.1": (30.0, 29.0),
    }
    moved = next(p for p in found.after.situation.attackers if p.name == "left")
    assert tuple(moved.at) == (-6.0, 29.0)


def test_nothing_changed_and_unknown_settings_are_refused() -> None:
    with pytest.raises(StallwiseError, match="nothing is changed"):
        what_if(MIDDLE, {"plan": "strike"}, 10)
    with pytest.raises(StallwiseError, match=r"fors.*force"):
        what_if(MIDDLE, {"fors": "backhand"}, 10)
    with pytest.raises(StallwiseError, match=r"\[x, y\] in metres"):
        what_if(MIDDLE, {"attackers.left.at": [1.0]}, 10)


def test_the_sentence_is_about_what_the_situation_asks() -> None:
    keep = what_if(MIDDLE, {"plan": "dump"}, 60)
    assert "completed" in in_a_sentence(keep.comparison, MIDDLE)
    zone = load("end-zone-reset")
    goal = what_if(zone, {"plan": "dump"}, 60)
    said = in_a_sentence(goal.comparison, zone)
    assert said.startswith("Less goals: ") and "after, \N{MINUS SIGN}" in said
