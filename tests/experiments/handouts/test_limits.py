"""When an answer stops being true: a window belongs to the look that was thrown in it."""

from __future__ import annotations

from typing import Any

from experiments import Situation
from experiments.handouts.limits import calls, windows

PATH = "plans.strike.looks.0.release_offset"


def curve(*points: tuple[float, float, float, bool]) -> dict[str, Any]:
    """What `vary --json` says of points: value, completed, share of the first look, as good."""
    return {
        "settings": [{"path": PATH, "unit": "s", "in_use": 0.0}],
        "measure": "completed",
        "points": [
            {
                "values": [value],
                "as_good": good,
                "first_look": {"estimate": thrown},
                "completed": {"estimate": completed},
            }
            for value, completed, thrown, good in points
        ],
    }


def test_no_window_where_the_best_figure_is_that_of_another_look(situation: Situation) -> None:
    """The strike is hardly thrown at +0.9 s, so +0.9 to +0.9 s is no window of the strike."""
    found = curve((-0.3, 0.90, 1.0, False), (0.3, 0.91, 0.9, False), (0.9, 0.97, 0.05, True))
    (told,) = windows(found, situation)
    assert "no window" in told
    assert "thrown in only 5 %" in told
    assert "0.9 to" not in told
    assert "at −0.3 and 0.3 s" in told


def test_a_window_ends_where_the_look_is_no_longer_thrown(situation: Situation) -> None:
    found = curve(
        (-0.6, 0.95, 1.0, True), (-0.3, 0.96, 1.0, True), (0.0, 0.95, 0.8, True),
        (0.3, 0.95, 0.2, True), (0.6, 0.80, 0.0, False),
    )  # fmt: skip
    (told,) = windows(found, situation)
    assert "as good from −0.6 to 0 s" in told
    assert "in 80 to 100 % of the plays" in told


def test_one_value_alone_is_no_range(situation: Situation) -> None:
    found = curve((-0.3, 0.80, 1.0, False), (0.0, 0.96, 1.0, True), (0.3, 0.7, 1.0, False))
    (told,) = windows(found, situation)
    assert "only 0 s is as good as the best" in told
    assert "0 to 0" not in told


def test_a_look_that_is_thrown_nowhere_has_no_window(situation: Situation) -> None:
    (told,) = windows(curve((0.0, 0.9, 0.1, True), (0.3, 0.9, 0.2, True)), situation)
    assert "under half of the plays" in told


def test_a_search_has_a_window_only_if_its_best_throws_the_look(situation: Situation) -> None:
    found = {
        "settings": [{"path": PATH, "low": -1.0, "high": 1.0, "in_use": 0.0}],
        "best": {PATH: 0.9},
        "plateau": {PATH: [0.9, 0.9]},
        "looks": {
            "dump right": {"thrown": {"estimate": 0.95}},
            "strike left": {"thrown": {"estimate": 0.05}},
        },
    }
    (told,) = windows(found, situation)
    assert "no window" in told
    found["looks"] = {"strike left": {"thrown": {"estimate": 1.0}}}
    found["plateau"] = {PATH: [-0.4, 0.2]}
    (told,) = windows(found, situation)
    assert "as good from −0.4 to 0.2" in told


def matchup(*rows: list[tuple[float, float, float]]) -> dict[str, Any]:
    """What `matchup --json` says of strike and dump against man and poach."""
    part = {"part": 0.3, "least": 0.0, "most": 0.57}
    fixed = {"part": 0.4, "least": 0.4, "most": 0.4}
    names = ("estimate", "low", "high")
    return {
        "measure": "completed",
        "plans": ["strike", "dump"],
        "defences": ["man", "poach"],
        "values": [[dict(zip(names, cell, strict=True)) for cell in row] for row in rows],
        "mixes": {"offence": {"dump": part, "strike": fixed}},
    }


def test_mixes_that_are_as_good_are_told_as_ranges(situation: Situation) -> None:
    """Where any part from 0 to 57 % is as good, 30 % would be made up."""
    level = [(0.9, 0.88, 0.92), (0.9, 0.88, 0.92)]
    (told,) = calls(matchup(level, level), situation)
    assert "strike 40 %" in told
    assert "dump 0 to 57 %" in told


def test_a_defence_that_turns_the_plan_is_named_only_where_that_is_sure(
    situation: Situation,
) -> None:
    strike = [(0.95, 0.93, 0.97), (0.25, 0.22, 0.28)]
    dump = [(0.96, 0.94, 0.98), (0.75, 0.72, 0.78)]
    turned, _ = calls(matchup(strike, dump), situation)
    assert turned == "Against poach dump is better than strike: 75 % completed, not 25 %."
