"""Studies over many situations, on plays whose truth the tests set (`invented`)."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from experiments.cli import options
from experiments.errors import SituationError, StallwiseError
from experiments.running.engine import Engine
from experiments.running.precision import run_to_precision
from experiments.situations.asks import ASKS
from experiments.situations.situation import Situation
from experiments.statistics.measures import MEASURES
from experiments.studies.compare import compare
from experiments.studies.map import map_field
from experiments.studies.matchup import match_up
from experiments.studies.sturdiness.analysis import sturdiness
from experiments.studies.tuning.search import tune
from experiments.studies.vary import vary
from tests.experiments.studies.invented import (
    QUIET,
    SITUATION,
    TIME,
    TOP,
    WIND,
    hill,
    pennies,
    plans,
    turning,
)


def test_compare_finds_the_differences_that_were_put_in() -> None:
    found = compare(SITUATION, ["strike", "dump"], 6000, 7, engine=Engine(rows=plans, **QUIET))
    by = {d.measure: d for d in found.comparison.differences}
    for measure, truth in (("completed", 0.1), ("gain_m", -11.0), ("off_centre_m", 0.0)):
        d = by[measure].difference
        assert d.low - 0.01 <= truth <= d.high + 0.01, measure
    assert by["completed"].clear
    assert by["gain_m"].clear
    assert not by["off_centre_m"].clear
    assert by["completed"].variance_ratio > 1.5, "common luck narrows the difference"
    assert found.table()["plan"].unique().tolist() == ["dump"]


@pytest.mark.parametrize(
    ("names", "told"), [(["strike", "dmp"], "'dump'"), (["strike"], "two or more")]
)
def test_compare_says_which_plans_there_are(names: list[str], told: str) -> None:
    with pytest.raises(StallwiseError, match=told):
        compare(SITUATION, names, 10, engine=Engine(rows=plans, **QUIET))


def test_compare_rehearses_until_the_differences_are_known() -> None:
    found = compare(SITUATION, ["strike", "dump"], within=0.02, engine=Engine(rows=plans, **QUIET))
    assert found.reached
    (d,) = [d for d in found.comparison.differences if d.measure == "completed"]
    assert d.difference.half_width <= 0.02


def test_vary_finds_the_hill_and_the_window_around_its_top() -> None:
    found = vary(
        SITUATION, {WIND: [0.0, 3.0, 5.0, 6.0, 7.0, 9.0]}, 4000, engine=Engine(rows=hill, **QUIET)
    )
    for point in found.points:
        truth = 0.95 - 0.01 * (point.values[0] - TOP) ** 2
        assert point.found["completed"].low - 0.005 <= truth
        assert truth <= point.found["completed"].high + 0.005
    assert found.window is not None
    assert found.window[0] <= TOP <= found.window[1]
    assert found.window[0] > 3.0
    assert found.window[1] < 9.0


def test_vary_takes_two_settings_and_every_pair_of_their_values() -> None:
    found = vary(
        SITUATION, {WIND: [0.0, TOP], TIME: [4.0, 5.0, 6.0]}, 50, engine=Engine(rows=hill, **QUIET)
    )
    assert [p.values for p in found.points] == [(w, t) for w in (0.0, TOP) for t in (4.0, 5.0, 6.0)]
    assert found.window is None
    by = found.table().groupby(WIND)["completed"].nunique()
    assert (by == 1).all(), "the same luck: what does nothing changes nothing"


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"wind.sped": [1.0]}, "wind.speed"),
        ({WIND: [99.0]}, "from 0 to 10 m/s"),
        ({"plan": [1.0]}, "not a number"),
        ({WIND: []}, "at least one"),
        ({}, "one or two"),
    ],
)
def test_vary_says_what_may_be_varied(values: dict[str, list[float]], told: str) -> None:
    with pytest.raises((SituationError, StallwiseError), match=told):
        vary(SITUATION, values, 10, engine=Engine(rows=hill, **QUIET))


def test_a_map_has_every_place_under_both_forces() -> None:
    found = map_field(SITUATION, [-8.0, 8.0], [25.0, 45.0], 200, engine=Engine(rows=plans, **QUIET))
    assert not found.left_out
    spots = {(p.x, p.y, p.force) for p in found.places}
    assert len(spots) == len(found.places) == 8
    for place in found.places:
        assert place.found["available"].estimate == 1.0, (
            "the fake throws nothing but the first look"
        )
        assert abs(place.found["completed"].estimate - 0.8) < 0.1
        assert place.found["completed"].low < place.found["completed"].high


def test_a_matchup_finds_the_mixes_of_a_game_with_a_known_solution() -> None:
    """A 2 x 2 game without saddle: by hand, p = 0.4, q = 0.2 and the value 0.42."""
    found = match_up(
        SITUATION,
        ["strike", "dump"],
        ["man", "flip"],
        8000,
        measure="completed",
        engine=Engine(rows=pennies, **QUIET),
    )
    game = found.solved.game
    assert game.row_mix[0] == pytest.approx(0.4, abs=0.03)
    assert game.column_mix[0] == pytest.approx(0.2, abs=0.03)
    assert found.solved.value.low - 0.005 <= 0.42 <= found.solved.value.high + 0.005
    mixes = found.mixes()
    assert (mixes["low"] <= mixes["part"]).all()
    assert (mixes["part"] <= mixes["high"]).all()
    assert mixes.groupby("side")["part"].sum().to_numpy() == pytest.approx([1.0, 1.0])


def test_a_matchup_is_not_of_what_the_offence_does_not_want() -> None:
    with pytest.raises(StallwiseError, match="wants much of"):
        match_up(SITUATION, measure="trapped", n=10, engine=Engine(rows=plans, **QUIET))


def test_the_margin_is_one_that_fits_the_measure_and_the_help_says_which() -> None:
    """A centimetre of ground is nothing, a hundredth of the passes is something."""
    gusts = {WIND: [0.0, 1.0, 2.0]}
    found = {
        name: vary(SITUATION, gusts, 60, measure=name, engine=Engine(**QUIET))
        for name in ("completed", "gain_m")
    }
    assert {name: each.margin for name, each in found.items()} == {"completed": 0.01, "gain_m": 0.5}
    assert "to within 1 point," in str(found["completed"])
    assert "to within 0.5 m," in str(found["gain_m"])
    told = next(each for each in get_args(options.Margin) if hasattr(each, "help")).help
    for name, measure in MEASURES.items():
        assert not measure.more or measure.margin == 0.01 or name in told
        assert measure.margin == 0.01 or f"{measure.margin:g} m" in told
    held = tune(
        SITUATION, {WIND: (0.0, 2.0)}, 60, points=2, measure="gain_m", engine=Engine(**QUIET)
    )
    assert held.judge.margin == 0.5 and "to within 0.5 m," in " ".join(held.findings())


@pytest.mark.parametrize(("asks", "measure"), ASKS.items())
def test_every_study_judges_by_what_the_situation_asks(asks: str, measure: str) -> None:
    asked = Situation.from_dict({**SITUATION.to_dict(), "asks": asks})
    engine = Engine(rows=turning, **QUIET)
    pair = ("strike", "dump")
    over: dict[str, tuple[float, float] | None] = {WIND: (0.0, 2.0)}
    found: list[Any] = [
        match_up(asked, pair, ["man"], 20, engine=engine),
        vary(asked, {WIND: [0.0]}, 20, engine=engine),
        tune(asked, {WIND: (0.0, 2.0)}, 20, points=2, engine=engine).judge,
        sturdiness(asked, pair, 20, over=over, count=2, engine=engine),
    ]
    assert [each.measure.name for each in found] == [measure] * len(found)


def test_within_that_was_not_reached_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(run_to_precision.__kwdefaults__, "most", 800)
    engine = Engine(rows=turning, **QUIET)
    pair = ("strike", "dump")
    over: dict[str, tuple[float, float] | None] = {WIND: (0.0, 2.0)}
    asked: dict[float, list[Any]] = {
        within: [
            compare(SITUATION, pair, within=within, engine=engine).as_dict(),
            match_up(SITUATION, pair, ["man"], within=within, engine=engine).as_dict(),
            vary(SITUATION, {WIND: [0.0]}, within=within, engine=engine).as_dict(),
            tune(SITUATION, {WIND: (0.0, 2.0)}, within=within, points=2, engine=engine).as_dict(),
            sturdiness(SITUATION, pair, within=within, over=over, engine=engine).as_dict(),
        ]
        for within in (0.001, 0.2)
    }
    assert [answer["reached"] for answer in asked[0.001]] == [False] * 5
    assert [answer["reached"] for answer in asked[0.2]] == [True] * 5
