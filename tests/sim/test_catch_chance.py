"""The chance of the catch stands for the catch: as often on average, and with less luck in it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

from experiments import load
from experiments.running.batch import rehearse_rows
from experiments.statistics.measures import MEASURES, difference, measured
from sim import play
from sim.ability import ability
from tests.sim.plays import place
from tests.sim.test_contest import in_flight, outcome


def _alone(g: Any) -> None:
    pass


def _rival_beside(g: Any) -> None:
    place(g, 3, 0.9, 35.3)


def _rival_on_the_run(g: Any) -> None:
    place(g, 3, 5.0, 31.0, -5.0, 2.0)
    g.players[3].watch = 1


def _wide_of_the_receiver(g: Any) -> None:
    place(g, 1, 0.6, 30.0, 0.0, 5.0)
    for k in range(25):
        g.knots[k, 0] = -0.06 * k


def _to_one_who_stands_outside(g: Any) -> None:
    for k in range(25):
        g.knots[k, 0] = g.ground.half_width + 0.8
    place(g, 1, g.ground.half_width + 1.0, 35.0)


PLACES: list[Callable[[Any], None]] = [_alone, _rival_beside, _rival_on_the_run]
PLACES += [_wide_of_the_receiver]


def _played(prepare: Callable[[Any], None], n: int) -> tuple[np.ndarray, np.ndarray]:
    """(n,) whether it was caught inside, and the chance written down before."""
    caught, chance = np.zeros(n), np.zeros(n)
    for r in range(n):
        g = in_flight(r, able=dataclasses.replace(ability(), hands=0.8))
        prepare(g)
        caught[r] = outcome(g) in (play.COMPLETED, play.GOAL)
        chance[r] = g.play.catch_chance
    return caught, chance


@pytest.mark.slow
@pytest.mark.parametrize("prepare", PLACES)
def test_on_average_it_is_the_share_of_catches(prepare: Callable[[Any], None]) -> None:
    """Each chance is the catch's expectation given what was before it; false alarm 1e-4."""
    caught, chance = _played(prepare, 60)
    apart = caught - chance
    # 0.02: the error of an average whose coins nearly all fell alike is hardly seen in its spread
    assert abs(apart.mean()) < 3.9 * apart.std() / math.sqrt(len(apart)) + 0.02
    assert np.all(chance[caught == 1.0] > 0.0), "what could not be caught was not"


def test_alone_it_is_what_the_hands_hold_and_outside_it_is_nothing() -> None:
    assert _played(_alone, 5)[1] == pytest.approx(0.8)
    assert not _played(_to_one_who_stands_outside, 5)[1].any()


@pytest.fixture(scope="module")
def tables() -> list[pd.DataFrame]:
    situation = load("middle-reset")
    plans = (situation, situation.with_setting("plan", "dump"))
    return [rehearse_rows(plan, np.arange(6000), 3) for plan in plans]


@pytest.mark.slow
def test_of_a_real_situation_it_says_the_same_as_completion_and_says_it_sooner(
    tables: list[pd.DataFrame],
) -> None:
    """Equal averages at a false alarm of 1e-4 each; the intervals of both hold, one is much shorter."""
    completed, chance = MEASURES["completed"], MEASURES["catch_chance"]
    for table in tables:
        apart = table["completed"].to_numpy(float) - table["catch_chance"]
        assert abs(apart.mean()) < 3.9 * apart.std() / math.sqrt(len(table))
        coin, sharp = measured(table, completed), measured(table, chance)
        assert sharp.half_width < 0.75 * coin.half_width
    coin, sharp = (difference(*tables, measure) for measure in (completed, chance))
    assert sharp.half_width < 0.8 * coin.half_width


@pytest.mark.slow
def test_its_interval_holds_its_level(tables: list[pd.DataFrame]) -> None:
    """Samples of 200 of these rehearsals, taken as the truth; fewer than 915 of 1000 hold it with a
    probability of 1e-6 at 95 %."""
    rng = np.random.default_rng(4)
    chance = MEASURES["catch_chance"]
    table = tables[0][["completed", "catch_chance"]]
    truth = table["catch_chance"].mean()
    found = [measured(table.iloc[rng.integers(len(table), size=200)], chance) for _ in range(1000)]
    assert sum(e.low <= truth <= e.high for e in found) >= 915
