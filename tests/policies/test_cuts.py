"""Cuts: each runs where its name says, under either force, and in the mirror."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from policies.cuts import CUTS
from policies.looks import Look, Looks, without_disc
from sim.intent import NOTHING, Intent, hold
from sim.possession import Possession
from sim.rulebook import Team
from tests.sim.plays import Still, scene

SIDES = {"left": (-10.0, 30.0), "right": (10.0, 30.0), "deep": (-2.0, 45.0)}


@dataclass(frozen=True)
class CallsOnly(Looks):
    """A thrower who calls the look and keeps the disc."""

    @staticmethod
    def decide(me: Any, s: Any, team: Team) -> Intent:
        if me.has_disc:
            return hold(0 if me.call < 0 else NOTHING, 1, 0.0, 0.0)
        return without_disc(me, s, team)


def path(
    cut: Any, start: tuple[float, float], seconds: float = 3.0, open_side: int = 1
) -> np.ndarray:
    """Where a cutter goes who is called at once and never thrown to, (T, 2) m from the disc."""
    plan = CallsOnly(looks=(Look("a1", cut, 0.0, 10.0),))
    x, y = start
    start_scene = scene(
        [(0.0, 30.0), (x * open_side, y)], [(-0.7 * open_side, 30.9)], guards=[0],
        open_side=open_side, time_cap=seconds, stall=1.0,
    )  # fmt: skip
    model = Possession(start_scene, plan, Still())
    places = []
    while not model.over:
        model.step()
        me = model.game.players[1]
        places.append((me.x * open_side, me.y - 30.0))
    return np.array(places)


def test_the_strike_crosses_the_front_at_45_degrees_and_bends_flat_at_its_depth() -> None:
    run = path(CUTS["strike"](), SIDES["left"])
    crossing = run[np.argmin(np.abs(run[:, 0]))]
    assert crossing[1] == pytest.approx(9.0, abs=1.0)
    early = run[(run[:, 1] > 2.0) & (run[:, 1] < 6.0)]
    way = early[-1] - early[0]
    assert math.degrees(math.atan2(way[0], way[1])) == pytest.approx(45.0, abs=6.0)
    assert run[:, 1].max() < 10.5


def test_the_wrong_way_round_runs_to_the_break_side() -> None:
    run = path(CUTS["strike"](toward="break"), SIDES["right"])
    assert run[-1, 0] < 0.0 < run[0, 0]


@pytest.mark.parametrize(
    ("name", "start", "spot"),
    [
        ("dump", "left", (-4.0, -3.5)),
        ("swing", "right", (10.0, -2.0)),
        ("around", "left", (-7.0, 1.0)),
    ],
)
def test_resets_run_through_their_spot_at_speed(
    name: str, start: str, spot: tuple[float, float]
) -> None:
    """Nobody gets open by stopping: half of top speed there, or all that so short a run gives."""
    run = path(CUTS[name](), SIDES[start], seconds=2.5)
    far = np.hypot(run[:, 0] - spot[0], run[:, 1] - spot[1])
    near = min(int(far.argmin()), len(run) - 2)
    assert far[near] < 0.5
    speed = np.hypot(*(run[near + 1] - run[near - 1])) / 0.1
    assert speed > min(4.4, 2.0 * math.sqrt(far[0]))


def test_a_reset_that_got_no_disc_turns_and_comes_back() -> None:
    run = path(CUTS["dump"](), SIDES["left"], seconds=4.0)
    assert np.abs(run[:, 0]).max() < 14.0 and run[:, 1].min() > -12.0


@pytest.mark.parametrize("start", [(10.0, 30.0), (5.0, 27.0), (14.0, 29.0), (-8.0, 30.0)])
def test_up_line_goes_up_the_line_and_never_inward(start: tuple[float, float]) -> None:
    run = path(CUTS["up-line"](), start)
    side = math.copysign(1.0, start[0])
    assert (np.diff(side * run[:, 0]) > -0.02).all()
    assert run[-1, 1] - run[0, 1] > 10.0


def test_under_comes_back_into_the_open_side_and_deep_goes_away() -> None:
    under = path(CUTS["under"](), SIDES["deep"])
    assert under[-1, 1] < 9.0 and under[-1, 0] > 4.0
    deep = path(CUTS["deep"](), SIDES["deep"])
    assert deep[-1, 1] > deep[0, 1] + 12.0


def test_pop_comes_into_the_gap_at_speed() -> None:
    run = path(CUTS["pop"](), (3.0, 44.0), seconds=2.0)
    assert np.hypot(run[:, 0] - 3.0, run[:, 1] - 8.0).min() < 1.0


@pytest.mark.parametrize("name", sorted(CUTS))
def test_the_other_force_is_the_mirror_image(name: str) -> None:
    start = SIDES["deep"] if name in ("under", "deep") else SIDES["left"]
    one, other = (path(CUTS[name](), start, open_side=side) for side in (1, -1))
    np.testing.assert_array_equal(one, other)


def test_false_steps_go_the_other_way_first() -> None:
    straight = path(CUTS["strike"](), SIDES["left"])
    stepped = path(CUTS["strike"](false_steps=1), SIDES["left"])
    assert stepped[:, 1].min() < -0.2 <= straight[:, 1].min() + 0.2
    assert stepped[-1, 0] < straight[-1, 0], "and cost time"


def test_a_slower_pace_is_slower() -> None:
    assert (
        path(CUTS["strike"](pace=0.6), SIDES["left"])[-1, 0]
        < path(CUTS["strike"](), SIDES["left"])[-1, 0]
    )
