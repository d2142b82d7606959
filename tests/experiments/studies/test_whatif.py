"""What if: before and after are those of the two situations, on the same luck."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from experiments.charts.drawing import draw
from experiments.errors import StallwiseError
from experiments.situations.files import load
from experiments.statistics.estimates import Estimate
from experiments.studies.compare import compare
from experiments.studies.rehearse import rehearse
from experiments.studies.whatif import what_if
from experiments.words.measured import BY_CHANCE, in_a_sentence

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
    assert said.startswith("Fewer goals: ") and "after, \N{MINUS SIGN}" in said


def test_a_difference_that_is_clear_alone_only_is_not_told_as_none() -> None:
    found = what_if(MIDDLE, {"plan": "dump"}, 60)
    for low, high, clear, word in (
        (-0.2, 0.1, False, "No difference seen: completed"),
        (-0.2, -0.01, False, "Perhaps less completed"),
        (0.01, 0.2, False, "Perhaps more completed"),
        (0.01, 0.2, True, "More completed"),
    ):
        gap = Estimate((low + high) / 2.0, low, high, 60)
        changed = tuple(
            replace(d, difference=gap, clear=clear) if d.measure == "completed" else d
            for d in found.comparison.differences
        )
        said = in_a_sentence(replace(found.comparison, differences=changed), MIDDLE)
        assert said.startswith(word), said


def test_what_is_asked_stands_first() -> None:
    zone = load("end-zone-reset")
    plans = compare(zone, ["strike", "dump"], 20)
    for found in (str(plans), str(what_if(zone, {"plan": "dump"}, 20))):
        assert re.search(r"^(plan +goals|goals)", found, re.M)
    assert draw(plans).get_xlabel().startswith("goals")


def test_completion_is_told_by_the_chance_of_the_catch_where_a_play_is_one_throw() -> None:
    found = what_if(MIDDLE, {"plan": "up-line"}, 400)
    less = found.by_chance.less_first["after"]
    for key, study in (("before", found.before), ("after", found.after)):
        rate = found.by_chance.completed[key]
        assert rate == study.by_chance
        assert 0.0 <= rate.low < study.completion.high and study.completion.low < rate.high <= 1.0
        assert rate.half_width < study.completion.half_width
        assert study.as_dict()["by_chance"] == rate.as_dict()
    assert less.estimate == pytest.approx(
        found.by_chance.completed["after"].estimate - found.by_chance.completed["before"].estimate
    )
    assert found.as_dict()["by_chance"]["less_first"] == {"after": less.as_dict()}
    assert BY_CHANCE in str(found) and BY_CHANCE in str(found.before)


@pytest.mark.parametrize("until", ["reset", "possession"])
def test_where_play_goes_on_after_the_catch_its_chance_is_not_completion(until: str) -> None:
    found = what_if(MIDDLE, {"until": until}, 20)
    assert found.before.by_chance is not None
    assert found.by_chance is None and found.after.by_chance is None
    assert found.as_dict()["by_chance"] is None and BY_CHANCE not in str(found)
    plans = compare(MIDDLE.with_setting("until", until), ["strike", "dump"], 20)
    assert plans.by_chance is None and plans.as_dict()["by_chance"] is None


def test_a_comparison_tells_it_of_every_plan() -> None:
    plans = compare(MIDDLE, ["strike", "dump"], 200)
    both = {plan: rehearse(MIDDLE.with_setting("plan", plan), 200) for plan in ("strike", "dump")}
    told = plans.as_dict()["by_chance"]
    assert list(told["less_first"]) == ["dump"]
    for plan, study in both.items():
        assert told["completed"][plan] == study.as_dict()["by_chance"]
    assert BY_CHANCE in str(plans)
