"""Seeing late: what is seen is the past carried on, and how late hangs on what is watched."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sim import perception, play
from sim.ability import ability
from sim.state import FLYING, PLAYERS
from tests.sim.plays import begun, place, scene

STILL = scene([(0.0, 20.0), (5.0, 20.0)], [(0.0, 21.1), (5.0, 21.5)])


def moved(g, ticks: int, vx: float = 0.0, vy: float = 0.0):  # type: ignore[no-untyped-def]
    """Let attacker 1 run at a velocity for some ticks, remembered."""
    me = g.players[1]
    for _ in range(ticks):
        perception.remember(g)
        g.play.tick += 1
        me.x, me.y, me.vx, me.vy = me.x + vx * g.ground.tick, me.y + vy * g.ground.tick, vx, vy


def test_the_past_is_what_was_and_nothing_younger() -> None:
    arena = begun(STILL)
    g = arena.games[0]
    moved(g, 12, vx=6.0)
    perception.remember(g)
    for lag in (0.05, 0.22, 0.38):
        assert perception.ago(g, 1, lag)[0] == pytest.approx(g.players[1].x - 6.0 * lag, abs=1e-9)
    g.players[1].x += 100.0  # the present, not yet remembered
    assert perception.ago(g, 1, 0.22)[0] < 50.0


def test_a_start_is_seen_a_lag_later_and_then_carried_on() -> None:
    arena = begun(STILL)
    g, view = arena.games[0], arena.views[0]
    lag = float(g.players[3].lag)
    seen = []
    for k in range(20):
        moved(g, 1, vx=-5.0, vy=5.0)
        g.play.now = k * g.ground.tick
        perception.look_round(g, view, 3)
        seen.append(float(view.seen[1].y) - 20.0)
        assert view.seen[1].x - 5.0 == pytest.approx(-seen[-1], abs=1e-9)
    still = sum(abs(y) < 1e-9 for y in seen)
    assert still == pytest.approx(lag / g.ground.tick, abs=1.5)
    assert seen[-1] == pytest.approx(5.0 * 19 * g.ground.tick, abs=0.3), "carried on to the present"


def test_oneself_is_known_as_one_is() -> None:
    arena = begun(STILL)
    g, view = arena.games[0], arena.views[0]
    place(g, 1, 7.0, 22.0, 1.0, 2.0)
    perception.look_round(g, view, 1)
    own = view.seen[1]
    assert (own.x, own.y, own.vx, own.vy) == (7.0, 22.0, 1.0, 2.0)


def test_watching_a_run_makes_quicker_and_rest_slower_again() -> None:
    arena = begun(STILL)
    g = arena.games[0]
    me = g.players[3]
    first = float(me.lag)
    for k in range(30):
        moved(g, 1, vy=4.0)
        g.play.now = k * g.ground.tick
        perception.attend(g, 3)
    assert me.lag == pytest.approx(me.tracking)
    assert me.tracking < first
    for _ in range(80):
        moved(g, 1)
        perception.attend(g, 3)
    assert me.lag == pytest.approx(first)


def test_eyes_on_the_man_are_sooner_to_the_cut_and_later_to_the_disc() -> None:
    arena = begun(STILL)
    g = arena.games[0]
    both, notice = [], []
    for eyes in (0, 1):
        g.players[3].eyes = eyes
        for _ in range(60):
            moved(g, 1)
            perception.attend(g, 3)
        both.append(float(g.players[3].lag))
        notice.append(perception.notices_throw_after(g, 3))
    assert both[1] < both[0]
    assert notice[1] > notice[0]


def test_a_misread_start_is_seen_the_wrong_way_round_for_a_while() -> None:
    sure = dataclasses.replace(ability(), misread=0.5)
    fooled = 0
    for rehearsal in range(60):
        arena = begun(
            scene([(0.0, 20.0), (5.0, 20.0)], [(0.0, 21.1), (5.0, 21.5)], theirs=sure),
            rehearsal=rehearsal,
        )
        g, view = arena.games[0], arena.views[0]
        for k in range(11):
            moved(g, 1, vy=4.0)
            g.play.now = k * g.ground.tick
            perception.attend(g, 3)
        perception.look_round(g, view, 3)
        if g.players[3].fooled_until > g.play.now:
            fooled += 1
            assert view.seen[1].vy < 0.0
        elif g.players[3].starts_seen:
            assert view.seen[1].vy > 0.0
    assert 10 < fooled < 50, "half of the starts, false alarm far below 0.001"


def starts(g, gap: float) -> bool:  # type: ignore[no-untyped-def]
    """Whether the second of two starts, `gap` s apart, is misread."""
    me, tick = g.players[3], g.ground.tick
    g.players[1].x, g.players[1].y = 5.0, 20.0
    clock = 0
    for vy, seconds in ((0.0, 0.3), (4.0, 0.4), (0.0, gap - 0.4), (-4.0, 0.6)):
        for _ in range(round(seconds / tick)):
            moved(g, 1, vy=vy)
            clock += 1
            g.play.now = clock * tick
            perception.attend(g, 3)
        if vy >= 0.0:
            me.fooled_until = -1.0
    return bool(me.fooled_until > 0.0)


@pytest.mark.slow
def test_a_second_movement_is_read_less_surely_than_the_first() -> None:
    """Henry 2013, JSCR 27(11):3190 (published): 94 % right, after a second stimulus 83 %. Read off what
    comes of two starts 0.6 s and 1.6 s apart, n 250; false alarm 0.001."""
    shares = {}
    for gap in (0.6, 1.6):
        g, wrong = begun(STILL).games[0], 0
        for r in range(250):
            g.luck.low = r
            me = g.players[3]
            me.starts_seen, me.sees_moving, me.last_start, me.lag = 0, 0, -10.0, me.first
            wrong += starts(g, gap)
        shares[gap] = 1.0 - wrong / 250
    assert shares[0.6] == pytest.approx(0.83, abs=0.078)
    assert shares[1.6] == pytest.approx(0.94, abs=0.05)
    assert shares[0.6] < shares[1.6]


def test_a_run_that_is_expected_is_answered_after_a_simple_reaction() -> None:
    """0.213-0.231 s, Woods 2015; one the other way after a choice, 0.278-0.40 s, Henry 2011, memory."""
    late = {}
    for expected in (1.0, -1.0):
        g, view = begun(STILL).games[0], begun(STILL).views[0]
        g.players[3].expect_y = expected
        for k in range(1, 30):
            moved(g, 1, vy=4.0)
            g.play.now = k * g.ground.tick
            perception.remember(g)
            perception.attend(g, 3)
            perception.look_round(g, view, 3)
            if abs(view.seen[1].vy) > 3.0:
                late[expected] = float(g.play.now)
                break
    tick = 0.05
    assert 0.213 <= late[1.0] <= 0.231 + 2.0 * tick
    assert 0.278 - tick <= late[-1.0] <= 0.40 + tick
    assert late[-1.0] > late[1.0]


def test_a_call_is_heard_after_a_simple_reaction_at_the_soonest() -> None:
    """About 0.2 s (Woods 2015, published), and nobody goes before the call."""
    arena = begun(STILL)
    g, view = arena.games[0], arena.views[0]
    g.play.call_look, g.play.call_who, g.play.call_at = 0, 1, 0.0
    heard = []
    for k in range(20):
        g.play.now = k * g.ground.tick
        play.look(g, view, 1)
        if view.call == 0:
            heard.append(float(g.play.now))
    assert 0.2 <= heard[0] <= 0.7


def test_reactions_spread_as_the_ability_says() -> None:
    firsts = []
    for rehearsal in range(300):
        g = begun(STILL, rehearsal=rehearsal).games[0]
        firsts.append(float(g.players[3].first))
    able = ability()
    assert np.mean(firsts) == pytest.approx(able.reaction, rel=0.03)
    assert np.std(firsts) == pytest.approx(able.reaction * able.reaction_spread, rel=0.25)


def test_the_disc_is_remembered_in_the_hand_and_in_the_air() -> None:
    arena = begun(STILL)
    g = arena.games[0]
    g.play.hand_x, g.play.hand_z = 0.7, 1.4
    perception.remember(g)
    x, _, _, _, height = perception.ago(g, PLAYERS, 0.0)
    assert (x, height) == (0.7, 1.4)
    g.knots[:, 0], g.knots[:, 2] = np.arange(25), 2.0
    g.play.phase, g.play.knot_step, g.play.release_at, g.play.now = FLYING, 0.1, 0.0, 0.55
    assert play.perception.disc_at(g, 0.55) == pytest.approx((5.5, 0.0, 2.0))
