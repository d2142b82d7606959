"""Studies over many situations, on plays whose truth the tests set.

The rows are invented: a pass is completed at a rate that is a known function of the settings, so
what a study finds can be held against what is so. The game itself is in `test_studies_command`.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, get_args

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest
from scipy import stats

from experiments.cli import options
from experiments.errors import SituationError, StallwiseError
from experiments.running.engine import Engine
from experiments.running.precision import run_to_precision
from experiments.situations.asks import ASKS
from experiments.situations.files import load
from experiments.situations.grid import range_of
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import MEASURES
from experiments.studies.compare import compare
from experiments.studies.map import map_field
from experiments.studies.matchup import match_up
from experiments.studies.sturdiness.analysis import sturdiness
from experiments.studies.sturdiness.reversal import HOLDS, OPEN, OVERTURNS, Turn, sign
from experiments.studies.tuning.search import tune
from experiments.studies.vary import vary
from tests.experiments.pretend import luck, same

SITUATION = load("middle-reset")
WIND, TIME = "wind.speed", "plans.strike.looks.0.from"
SPEED, HANDS = "roster.offence.top_speed", "roster.offence.hands"
RESTLESS = 0.8  # completed with every setting
TOP = 6.0  # m/s of wind at which the hill is highest
QUIET: dict[str, Any] = {"progress": False}


def _play(
    rate: float, gain: float, ids: npt.NDArray[np.int64], seed: int, look: str = "strike left"
) -> pd.DataFrame:
    done = luck(seed, ids, 0) < rate
    across = 12.0 * luck(seed, ids, 1) - 6.0
    return pd.DataFrame(
        {
            "rehearsal": ids,
            "completed": done,
            "goal": np.zeros(len(ids), bool),
            "throws": np.ones(len(ids), np.int64),
            "look": np.full(len(ids), look),
            "end_x_m": across,
            "end_y_m": 30.0 + gain,
            "gain_m": np.where(done, gain + 4.0 * luck(seed, ids, 2) - 2.0, np.nan),
            "off_centre_m": np.where(done, np.abs(across), np.nan),
            "trapped": done & (luck(seed, ids, 3) < 0.1),
            "catch_chance": np.full(len(ids), rate),
        }
    )


def plans(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """The strike is completed at 0.8 and gains 9 m, every other plan at 0.9 and loses 2 m."""
    strike = situation["plan"] == "strike"
    return _play(0.8 if strike else 0.9, 9.0 if strike else -2.0, ids, seed)


def hill(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Completed at 0.95 at the top, less away from it."""
    return _play(0.95 - 0.01 * (situation["wind"]["speed"] - TOP) ** 2, 0.0, ids, seed)


def pennies(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Matching pennies with unequal stakes: rates 0.9 and 0.1 on one diagonal, else 0.3, 0.5."""
    rates = {
        ("strike", "man"): 0.9,
        ("strike", "flip"): 0.3,
        ("dump", "man"): 0.1,
        ("dump", "flip"): 0.5,
    }
    return _play(rates[situation["plan"], situation["defence"]], 0.0, ids, seed)


def turning(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """The strike leads by 0.2 without wind and is level at 4 m/s; hands and speed do nothing."""
    strike = situation["plan"] == "strike"
    return _play(0.9 - 0.05 * situation["wind"]["speed"] if strike else 0.7, 0.0, ids, seed)


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


def test_tune_finds_the_top_and_its_plateau_covers_it() -> None:
    found = tune(
        SITUATION,
        {WIND: (0.0, 10.0)},
        4000,
        7,
        measure="completed",
        engine=Engine(rows=hill, **QUIET),
    )
    assert found.best.values[0] == pytest.approx(TOP, abs=1.5)
    low, high = found.plateau_ranges[WIND]
    assert low <= TOP <= high
    assert low > 2.0, "the foot of the hill is not as good"
    assert high < 9.9
    truth = 0.95 - 0.01 * (found.best.values[0] - TOP) ** 2
    assert found.fresh.low - 0.005 <= truth <= found.fresh.high + 0.005
    assert found.fresh_gain is not None
    assert found.fresh_gain.low > 0.2, "without wind, as in use, 0.36 fewer are completed"
    few = [t.n for t in found.tried if abs(t.values[0] - TOP) > 5.0]
    assert max(few) < 4000, "what is clearly worse is given up early"


@pytest.mark.slow
def test_tune_seldom_gives_up_the_true_best() -> None:
    """Over many seeds the nearest point to the top stays on the plateau, as promised in 95 %."""
    kept = 0
    for seed in range(30):
        found = tune(
            SITUATION,
            {WIND: (0.0, 10.0)},
            300,
            seed,
            points=7,
            measure="completed",
            engine=Engine(rows=hill, **QUIET),
        )
        nearest = min(found.tried, key=lambda t: abs(t.values[0] - TOP))
        kept += nearest.as_good
    assert kept >= 26, "at 95 % fewer than 26 of 30 have a chance below 0.02"


@pytest.mark.slow
def test_the_winners_figure_is_the_one_of_fresh_luck() -> None:
    """Settings that change the luck and nothing else: the winner of the search is only lucky.

    At 95 % fewer than `fewest` of 60 hold the truth with probability 1e-3. The figure of the search
    shows that the test can fail.
    """
    fresh = searched = 0
    fewest = stats.binom.ppf(1e-3, 60, 0.95)
    for seed in range(60):
        found = tune(
            SITUATION,
            {SPEED: (7.0, 9.0)},
            300,
            seed,
            points=8,
            measure="completed",
            engine=Engine(rows=restless, **QUIET),
        )
        fresh += found.fresh.low <= RESTLESS <= found.fresh.high
        searched += found.best.found.low <= RESTLESS <= found.best.found.high
        table = found.table()
        assert table.loc[table["best"], "fresh_estimate"].tolist() == [found.fresh.estimate]
    assert fresh >= fewest
    assert searched < fewest


def test_tune_says_where_it_could_not_tell_and_where_to_widen() -> None:
    few, many = (
        tune(
            SITUATION,
            {WIND: (2.0, 4.0)},
            n,
            7,
            points=3,
            measure="completed",
            margin=0.03,
            engine=Engine(rows=hill, **QUIET),
        )
        for n in (100, 20_000)
    )
    assert any(e.unsure for e in few.plateau)
    assert not any(e.unsure for e in many.plateau)
    assert many.best.values == (4.0,)
    assert many.at_an_end == (WIND,), "the top of the hill lies at 6"
    assert "widen" in " ".join(many.findings())
    assert "not certain" in " ".join(few.findings())


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


def test_an_end_that_cannot_be_passed_is_not_to_be_widened() -> None:
    found = tune(
        SITUATION,
        {WIND: (0.0, 3.0)},
        300,
        points=2,
        measure="goal",
        engine=Engine(rows=hill, **QUIET),
    )
    assert found.best.values == (0.0,), "no goals anywhere, so the first of equals"
    assert found.at_an_end == ()


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


def test_sturdiness_in_the_gain_counts_nothing_for_a_disc_that_is_lost() -> None:
    engine = Engine(rows=turning, **QUIET)
    pair, over = ("strike", "dump"), {WIND: (0.0, 2.0)}
    found = sturdiness(SITUATION, pair, 400, over=over, count=2, measure="gain_m", engine=engine)
    tables = compare(SITUATION, pair, 400, engine=engine).rehearsals
    one, other = (tables[p]["gain_m"].fillna(0.0).mean() for p in (found.better, found.other))
    assert found.advice.estimate == pytest.approx(one - other)


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


@pytest.mark.parametrize(
    ("ranges", "told"),
    [
        ({WIND: (5.0, 1.0)}, "lower end first"),
        ({WIND: (0.0, 99.0)}, "from 0 to 10"),
        ({"wind.sped": (0.0, 1.0)}, "wind.speed"),
        ({}, "1 to 4"),
    ],
)
def test_tune_says_what_may_be_tuned(ranges: dict[str, tuple[float, float]], told: str) -> None:
    with pytest.raises((SituationError, StallwiseError), match=told):
        tune(SITUATION, ranges, 10, engine=Engine(rows=hill, **QUIET))


def test_sturdiness_finds_the_one_assumption_that_matters_and_where_it_turns() -> None:
    over = {WIND: (0.0, 8.0), SPEED: None, HANDS: None}
    found = sturdiness(
        SITUATION,
        ("dump", "strike"),
        4000,
        over=over,
        measure="completed",
        engine=Engine(rows=turning, **QUIET),
    )
    assert (found.better, found.other) == ("strike", "dump")
    assert found.advice.low <= 0.2 + 0.01
    assert found.advice.high >= 0.2 - 0.01
    first, *rest = found.effects
    assert first.range.path == WIND
    assert first.matters
    step = 2.0 / 3.0 * -0.4
    assert first.mean.low - 0.01 <= step <= first.mean.high + 0.01, "0.05 times two thirds of 8"
    measured = [d.estimate for d in found.tried]
    assert first.size <= max(measured) - min(measured), "no more than was seen"
    assert all(e.size == 0.0 and not e.matters for e in rest)
    (turn,) = found.turns
    assert turn.verdict == OVERTURNS
    assert turn.crossings[0] == pytest.approx(4.0, abs=0.6)
    said = " ".join(found.findings())
    assert "wind.speed alone would overturn it" in said
    assert f"No effect beyond luck was found for {SPEED} and {HANDS}" in said


def test_sturdiness_says_so_where_nothing_overturns() -> None:
    found = sturdiness(
        SITUATION,
        ("strike", "dump"),
        4000,
        over={WIND: (0.0, 2.0), SPEED: None},
        measure="completed",
        engine=Engine(rows=turning, **QUIET),
    )
    assert [turn.verdict for turn in found.turns] == [HOLDS]
    assert found.signs[-1] == 0
    said = " ".join(found.findings())
    assert "at any of the values tried: wind.speed (5 from 0 to 2 m/s)." in said
    assert "overturn" not in said


def test_sturdiness_says_so_where_it_cannot_tell() -> None:
    """A lead of 0.05 at the end of the range is too little for thirty rehearsals."""
    found = sturdiness(
        SITUATION,
        ("strike", "dump"),
        60,
        over={WIND: (0.0, 3.0), SPEED: None},
        measure="completed",
        engine=Engine(rows=turning, **QUIET),
    )
    (turn,) = found.turns
    assert (turn.verdict, turn.crossings) == (OPEN, ())
    said = " ".join(found.findings())
    assert "Along wind.speed strike stays ahead, at some values by too little" in said
    assert "overturn" not in said


@pytest.mark.slow
def test_sturdiness_finds_nothing_where_there_is_nothing() -> None:
    """The two plans differ by luck of their own only in what no assumption touches."""
    wrong = 0
    for seed in range(20):
        found = sturdiness(
            SITUATION,
            ("strike", "dump"),
            400,
            seed,
            over={SPEED: None, HANDS: None},
            measure="completed",
            engine=Engine(rows=restless, **QUIET),
        )
        wrong += (
            any(e.matters for e in found.effects)
            or any(sign(d) != 0 for d in found.tried)
            or any(sign(d) != 0 for t in found.turns for d in t.differences.values())
        )
    assert wrong <= 4, "5 % of 20 is 1; more than 4 has a chance below 0.003"


def restless(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Settings redraw the luck of a play without changing its rate."""
    roster = situation["roster"]["offence"]
    told = f"{situation['plan']} {roster}"
    return _play(RESTLESS, 0.0, ids, seed + 1000 * (sum(map(ord, told)) % 997))


def test_the_default_assumptions_are_settings_of_the_situation() -> None:
    found = sturdiness(
        SITUATION,
        ("strike", "dump"),
        40,
        count=2,
        measure="completed",
        engine=Engine(rows=turning, **QUIET),
    )
    paths = {r.path for r in found.ranges}
    assert {WIND, SPEED, "roster.defence.reaction", "defences.man.mark.distance"} <= paths
    assert all(r.low <= (r.now or 0.0) <= r.high for r in found.ranges)
    assert len(found.tried) == 2 * (len(paths) + 1)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({"plans": ("strike", "nope")}, "nope"),
        ({"over": {"wind.sped": None}}, "wind.speed"),
        ({"over": {WIND: (0.0, 99.0)}}, "from 0 to 10"),
        ({"measure": "trapped"}, "score"),
        ({"count": 1}, "at least 2"),
    ],
)
def test_sturdiness_says_what_it_takes(options: dict[str, Any], told: str) -> None:
    given = {"plans": ("strike", "dump"), **options}
    with pytest.raises((SituationError, StallwiseError), match=told):
        sturdiness(SITUATION, given.pop("plans"), 10, **given, engine=Engine(rows=turning, **QUIET))


def _tables(out: Path | None, seed: int) -> dict[str, pd.DataFrame]:
    how = {**QUIET, "folder": out}
    tuned = tune(
        SITUATION, {WIND: (0.0, 10.0)}, 80, seed, points=4, engine=Engine(rows=hill, **how)
    )
    return {"tune": tuned.table()}


def test_a_seed_is_a_result_and_a_folder_is_gone_on_with(tmp_path: Path) -> None:
    first = _tables(tmp_path / "a", 3)["tune"]
    assert same(first, _tables(None, 3)["tune"])
    assert same(first, _tables(tmp_path / "a", 3)["tune"])
    assert not same(first, _tables(None, 4)["tune"])
    again = tune(
        SITUATION,
        {WIND: (0.0, 10.0)},
        80,
        3,
        points=4,
        engine=Engine(rows=hill, folder=tmp_path / "a", **QUIET),
    )
    assert again.made == 0, "all were in the folder"


@pytest.mark.parametrize(
    ("estimates", "where"),
    [
        ((0.2, 0.1, -0.1), (3.0,)),
        ((0.2, 0.0, -0.2), (2.0,)),
        ((0.2, 0.0, 0.2), ()),
        ((0.2, -0.2, 0.2), (1.0, 3.0)),
        ((0.0, 0.0, 0.2), ()),
    ],
)
def test_where_two_plans_are_level(estimates: tuple[float, ...], where: tuple[float, ...]) -> None:
    found = {
        float(v): Estimate(e, e - 0.05, e + 0.05, 100)
        for v, e in zip((0, 2, 4), estimates, strict=True)
    }
    turn = Turn(range_of(SITUATION, WIND, 0.0, 4.0), found)
    assert turn.crossings == pytest.approx(where)
