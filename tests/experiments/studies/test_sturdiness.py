"""What overturns a comparison, on plays whose truth the tests set (`invented`)."""

from __future__ import annotations

from typing import Any

import pytest

from experiments.errors import SituationError, StallwiseError
from experiments.running.engine import Engine
from experiments.situations.grid import range_of
from experiments.statistics.estimates import Estimate
from experiments.studies.compare import compare
from experiments.studies.sturdiness.analysis import sturdiness
from experiments.studies.sturdiness.result import HOLDS, OPEN, OVERTURNS, Turn
from tests.experiments.studies.invented import (
    HANDS,
    QUIET,
    SITUATION,
    SPEED,
    WIND,
    restless,
    turning,
)


def test_sturdiness_in_the_gain_counts_nothing_for_a_disc_that_is_lost() -> None:
    engine = Engine(rows=turning, **QUIET)
    pair, over = ("strike", "dump"), {WIND: (0.0, 2.0)}
    found = sturdiness(SITUATION, pair, 400, over=over, count=2, measure="gain_m", engine=engine)
    tables = compare(SITUATION, pair, 400, engine=engine).rehearsals
    one, other = (tables[p]["gain_m"].fillna(0.0).mean() for p in (found.better, found.other))
    assert found.advice.estimate == pytest.approx(one - other)


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
            or any(d.sign != 0 for d in found.tried)
            or any(d.sign != 0 for t in found.turns for d in t.differences.values())
        )
    assert wrong <= 4, "5 % of 20 is 1; more than 4 has a chance below 0.003"


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
