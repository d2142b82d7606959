"""The throw: a pivot that takes time, errors that grow, and the flight they make."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from sim import throwing
from sim.ability import ability
from sim.flight.lookup import lay_out, load_table
from sim.intent import BACKHAND, FOREHAND, throw
from sim.perception import disc_at
from sim.scene import Wind
from sim.state import FLYING, HELD, KNOTS, WIND_UP
from tests.sim.plays import begun, place, scene

ALONE = [(0.0, 20.0), (0.0, 32.0)], [(12.0, 40.0), (14.0, 40.0)]


def thrown(rehearsal: int, to: tuple[float, float] = (0.0, 35.0), *, kind: int = BACKHAND, **more):  # type: ignore[no-untyped-def]
    """A play in which the disc has just been released; and the place where it comes down."""
    moving, mark = more.pop("moving", 0.0), more.pop("mark", None)
    height = more.pop("height", 1.0)
    arena = begun(scene(*ALONE, **more), rehearsal=rehearsal)
    g = arena.games[0]
    g.players[0].vx = moving
    if mark is not None:
        g.play.mark = 2
        place(g, 2, mark[0], 20.0 + mark[1])
    g.play.thrower, g.play.receiver, g.play.kind, g.play.curve = 0, 1, kind, 0
    g.play.aim_x, g.play.aim_y, g.play.height, g.play.events = *to, height, 1
    throwing.let_go(g, arena.table)
    return g, (float(g.knots[-1, 0]), float(g.knots[-1, 1]))


def spread(**more) -> float:  # type: ignore[no-untyped-def]
    """Root mean square distance of where 400 throws come down from their mean, m."""
    places = np.array([thrown(r, **more)[1] for r in range(400)])
    return float(np.sqrt(((places - places.mean(axis=0)) ** 2).sum(axis=1).mean()))


def aside(**more) -> float:  # type: ignore[no-untyped-def]
    """The same across the line of the throw only."""
    return float(np.std([thrown(r, **more)[1][0] for r in range(400)]))


def test_a_throw_without_errors_is_at_its_aim_at_catching_height() -> None:
    exact = dataclasses.replace(
        ability(), aim_error=0.0, loft_error=0.0, pace_error=0.0, roll_error=0.0, spin_error=0.0
    )
    for kind in (BACKHAND, FOREHAND):
        g, _ = thrown(0, (6.0, 32.0), kind=kind, able=exact)
        ages = np.linspace(0.0, 3.0, 3001)
        path = np.array([disc_at(g, a) for a in ages])
        near = np.hypot(path[:, 0] - 6.0, path[:, 1] - 32.0)
        assert near.min() < 0.15
        assert path[near.argmin(), 2] == pytest.approx(1.2, abs=0.15)


EXACT = dataclasses.replace(
    ability(), aim_error=0.0, loft_error=0.0, pace_error=0.0, roll_error=0.0, spin_error=0.0,
    wind_feel=0.0, slip=0.0,
)  # fmt: skip


@pytest.mark.parametrize("toward", [0.0, 90.0, 180.0, -90.0, 40.0])
@pytest.mark.parametrize("kind", [BACKHAND, FOREHAND])
def test_a_throw_flies_in_the_wind_that_blows(toward: float, kind: int) -> None:
    """The path of an exact throw is that of the table for the wind along and across its own line."""
    wind = Wind(6.0, math.radians(toward))
    g, _ = thrown(0, (9.0, 38.0), kind=kind, able=EXACT, wind=wind)
    start = g.knots[0, :2].copy()
    line = np.subtract((9.0, 38.0), start)
    far = float(np.hypot(*line))
    line /= far
    blows = 6.0 * np.array([math.sin(math.radians(toward)), math.cos(math.radians(toward))])
    right = np.array([line[1], -line[0]])
    knots = np.zeros((KNOTS, 3))
    step = lay_out(
        load_table(), kind, 0, far, blows @ line, blows @ right, 1.0, 0.0, 0.0, 0.0, 0.0, knots
    )
    path = start + knots[:, :1] * line + knots[:, 1:2] * right
    assert g.play.knot_step == pytest.approx(step)
    assert np.asarray(g.knots)[:, :2] == pytest.approx(path, abs=1e-9)


def test_errors_grow_with_all_that_disturbs_a_throw() -> None:
    calm = spread()
    assert spread(able=ability("club")) > 1.1 * calm
    assert spread(able=ability("novice")) > 1.5 * calm
    assert spread(moving=4.0) > 1.1 * calm
    assert spread(mark=(0.0, 1.1)) > 1.1 * calm
    assert spread(wind=Wind(8.0, 1.0)) > 1.2 * calm
    assert aside(height=1.8) > 1.2 * aside(height=1.6), "over the mark's hands or below them"
    weak = dataclasses.replace(ability(), weak_side=2.0)
    assert spread(able=weak, kind=FOREHAND) > 1.3 * calm


@pytest.mark.parametrize("degrees", [2.0, 5.0])
def test_the_error_of_aim_is_the_spread_of_the_direction(degrees: float) -> None:
    """The setting is the sd of the direction of a throw, deg; 400 throws, five standard errors."""
    able = dataclasses.replace(EXACT, aim_error=degrees)
    off = []
    for r in range(400):
        g, (x, y) = thrown(r, able=able)
        start = g.knots[0]
        meant = math.atan2(0.0 - start[0], 35.0 - start[1])
        off.append(math.degrees(math.atan2(x - start[0], y - start[1]) - meant))
    assert np.std(off) == pytest.approx(degrees, rel=5.0 / math.sqrt(800))


def test_slips_are_rare_and_large() -> None:
    """With all throws slipping the spread is far larger; without any it is the usual one."""
    never, always = (dataclasses.replace(ability(), slip=p) for p in (0.0, 0.2))
    assert spread(able=always) > spread(able=never)


def test_it_is_released_to_the_side_of_the_hand_and_never_past_the_middle() -> None:
    right = throwing.release_offset(0.0, 0.0, 0.0, 10.0, 1.0, 0.9)
    left = throwing.release_offset(0.0, 0.0, 0.0, 10.0, -1.0, 0.9)
    assert right[0] == -left[0] > 0.0 and right[1] == left[1] > 0.0
    assert math.hypot(*right) == pytest.approx(0.9)
    near = throwing.release_offset(0.0, 0.0, 0.0, 1.0, 1.0, 0.9)
    assert near[1] <= 0.5, "an aim at hand does not make the disc fly backward"
    assert throwing.side_of(1.0, FOREHAND) == 1.0 == throwing.side_of(-1.0, BACKHAND)


def test_bringing_the_disc_out_takes_time() -> None:
    arena = begun(scene(*ALONE))
    g = arena.games[0]
    intent = throw(1, 0.0, 32.0, FOREHAND, 0, 1.0, 0, 0.9, 0.0, 1.0, 0.1)
    throwing.wind_up(g, 0, intent)
    assert g.play.phase == WIND_UP
    straight = float(g.play.release_at)
    assert straight >= ability().wind_up
    arena = begun(scene(*ALONE))
    g = arena.games[0]
    g.play.hand_x = -0.9  # still out on the other side
    throwing.wind_up(g, 0, intent)
    assert g.play.release_at > straight + 0.2


def test_no_wind_up_right_after_the_catch_nor_on_the_run_nor_to_oneself() -> None:
    for spoil in ("caught", "running", "self"):
        arena = begun(scene(*ALONE))
        g = arena.games[0]
        if spoil == "caught":
            g.play.held_since = -0.1
        if spoil == "running":
            g.players[0].vy = 5.0
        to = 0 if spoil == "self" else 1
        throwing.wind_up(g, 0, throw(to, 0.0, 32.0, FOREHAND, 0, 1.0, 0, 0.9, 0.0, 1.0, 0.1))
        assert g.play.phase == HELD, spoil


def test_a_mark_in_the_way_stops_many_and_one_behind_none() -> None:
    stops = {}
    for where, mark in (("before", (0.0, 1.1)), ("behind", (0.0, -1.1))):
        stops[where] = 0
        for r in range(60):
            arena = begun(scene(*ALONE), rehearsal=r)
            g = arena.games[0]
            g.play.mark = 2
            place(g, 2, mark[0], 20.0 + mark[1])
            g.body[0].pivot = 0.1
            g.play.thrower, g.play.receiver, g.play.events = 0, 1, 1
            g.play.aim_x, g.play.aim_y, g.play.height = 0.0, 35.0, 1.0
            stops[where] += throwing.let_go(g, arena.table)
            assert g.play.phase == FLYING
    assert stops["before"] > 30 and stops["behind"] == 0
