"""Bodies: nobody gets through anybody, and who goes round pays for it in time."""

from __future__ import annotations

import math

import pytest

from sim import bodies, play
from tests.sim.plays import begun, place, scene


def run_past(across: float, wide: float = 0.0) -> tuple[float, float]:
    """Time that an attacker takes over 10 m with a defender `across` m off the line at 5 m.

    Returns the time and the least distance of the two.
    """
    arena = begun(scene([(-15.0, 0.0), (0.0, 20.0)], [(-15.0, 1.1), (wide + across, 25.0)]))
    g = arena.games[0]
    place(g, 1, 0.0, 20.0)
    near = math.inf
    for k in range(200):
        g.players[1].ux, g.players[1].uy = -0.5 * g.players[1].x, 8.8
        g.players[3].ux = g.players[3].uy = 0.0
        play._aim_run(g, 1)
        play.move(g, 1)
        bodies.hold_up(g)
        near = min(near, math.hypot(g.players[1].x - g.players[3].x, g.players[1].y - 25.0))
        over = float(g.players[1].y) - 30.0
        if over >= 0.0:
            return (k + 1) * float(g.ground.tick) - over / float(g.players[1].vy), near
    return math.inf, near


def test_nobody_runs_through_anybody() -> None:
    for across in (0.0, 0.1, 0.3, 0.5, -0.2):
        _, near = run_past(across)
        assert near > 0.35, f"{across} m off the line: {near:.2f} m apart"


def test_going_round_costs_time_and_the_more_the_nearer_to_the_line() -> None:
    free, _ = run_past(6.0)
    times = [run_past(across)[0] for across in (1.2, 0.6, 0.1)]
    assert times[0] <= times[1] + 1e-9 <= times[2] + 1e-9
    assert times[2] > free + 0.005


def test_it_is_the_same_on_the_other_side() -> None:
    assert run_past(0.3) == run_past(-0.3)


def test_two_who_touch_keep_what_they_run_past_each_other() -> None:
    arena = begun(scene([(0.0, 20.0), (5.0, 20.0)], [(0.0, 25.0), (5.3, 20.0)]))
    g = arena.games[0]
    place(g, 1, 5.0, 20.0, 4.0, 3.0)
    place(g, 3, 5.3, 20.0, -1.0, 0.0)
    bodies.hold_up(g)
    assert g.players[1].vx == pytest.approx(0.0) and g.players[1].vy == 3.0
    assert g.players[3].vx == pytest.approx(0.0)
    place(g, 1, 5.0, 20.0, 4.0, 0.0)
    place(g, 3, 5.3, 20.0, 1.0, 0.0)
    bodies.hold_up(g)
    assert (g.players[1].vx, g.players[3].vx) == (1.0, 1.0), "the one who runs in front keeps on"


@pytest.mark.parametrize("start", [2.0, 2.3, 2.6, 3.0, 4.0])
@pytest.mark.parametrize("aside", [0.0, 0.1, 0.3])
def test_two_sprinters_face_to_face_are_not_through_each_other_between_two_ticks(
    start: float, aside: float
) -> None:
    """One tick of both is 0.9 m, more than a body; looked at all along the tick, not at its ends."""
    g = begun(scene([(-15.0, 0.0), (0.0, 20.0)], [(-15.0, 1.1), (aside, 20.0 + start)])).games[0]
    place(g, 1, 0.0, 20.0, 0.0, 8.8)
    place(g, 3, aside, 20.0 + start, 0.0, -8.8)
    near = math.inf
    for _ in range(14):
        gap = [float(g.players[3].x - g.players[1].x), float(g.players[3].y - g.players[1].y)]
        for slot, way in ((1, 8.8), (3, -8.8)):
            g.players[slot].ux, g.players[slot].uy = 0.0, way
            play._aim_run(g, slot)
        for slot in (1, 3):
            play.move(g, slot)
        bodies.hold_up(g)
        for k in range(11):
            part = 0.1 * k
            x = gap[0] + part * (float(g.players[3].x - g.players[1].x) - gap[0])
            y = gap[1] + part * (float(g.players[3].y - g.players[1].y) - gap[1])
            near = min(near, math.hypot(x, y))
    assert near > 0.9 * float(g.laws.legs.apart)
