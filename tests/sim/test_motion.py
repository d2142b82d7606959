"""Running: the sprint law, exact over any tick, and soonest arrivals against simulated pursuit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim import motion, reach
from sim.motion import Legs, Moving

SPEED, TAU, GRIP = 8.8, 1.15, 8.0
LEGS = Legs(SPEED, TAU, GRIP)
REST = Moving(0.0, 0.0, 0.0, 0.0)
numbers = st.floats(-8.0, 8.0)


def test_from_rest_it_is_the_sprint_law() -> None:
    """v = vmax (1 - exp(-t/tau)): Furusawa, Hill & Parkinson 1927; grip not binding."""
    for t in (0.2, 1.0, 3.0):
        _, y, _, v = motion.advance(REST, Legs(SPEED, TAU, 99.0), 0.0, SPEED, t)
        assert v == pytest.approx(SPEED * (1 - math.exp(-t / TAU)), rel=1e-12)
        assert y == pytest.approx(SPEED * (t - TAU * (1 - math.exp(-t / TAU))), rel=1e-12)


@settings(max_examples=200, deadline=None)
@given(numbers, numbers, numbers, numbers, st.integers(1, 20))
def test_ticks_leave_no_trace(vx: float, vy: float, ux: float, uy: float, parts: int) -> None:
    """A tick cut in pieces ends where the whole one does, cap on grip or not."""
    whole = motion.advance(Moving(1.0, 2.0, vx, vy), LEGS, ux, uy, 0.6)
    state = (1.0, 2.0, vx, vy)
    for _ in range(parts):
        state = motion.advance(Moving(*state), LEGS, ux, uy, 0.6 / parts)
    assert state == pytest.approx(whole, abs=1e-9)


@settings(max_examples=200, deadline=None)
@given(numbers, numbers, numbers, numbers)
def test_nobody_accelerates_beyond_the_grip(vx: float, vy: float, ux: float, uy: float) -> None:
    _, _, wx, wy = motion.advance(Moving(0.0, 0.0, vx, vy), LEGS, ux, uy, 0.01)
    assert math.hypot(wx - vx, wy - vy) <= GRIP * 0.01 + 1e-9


@settings(max_examples=100, deadline=None)
@given(numbers, numbers, numbers, numbers)
def test_a_mirrored_run_is_the_mirror_image(vx: float, vy: float, ux: float, uy: float) -> None:
    x, y, wx, wy = motion.advance(Moving(0.5, 0.0, vx, vy), LEGS, ux, uy, 0.05)
    mx, my, mwx, mwy = motion.advance(Moving(-0.5, 0.0, -vx, vy), LEGS, -ux, uy, 0.05)
    assert (mx, my, mwx, mwy) == (-x, y, -wx, wy)


def run_to(target: tuple[float, float], state: tuple[float, float, float, float], time: float):  # type: ignore[no-untyped-def]
    """Re-aim at a target every 0.05 s; the nearest distance and the last state."""
    near = math.inf
    for _ in range(round(time / 0.05)):
        u = reach.chase(Moving(*state), LEGS, *target)
        state = motion.advance(Moving(*state), LEGS, *u, 0.05)
        near = min(near, math.hypot(state[0] - target[0], state[1] - target[1]))
    return near, state


def test_soonest_arrivals_are_kept_by_a_pursuit() -> None:
    """Within 5 cm in 99 % of 300 random states, as stated in `reach_time`, plus a tick of running."""
    rng = np.random.default_rng(3)
    missed = []
    for _ in range(300):
        angle, speed = rng.uniform(0, 2 * math.pi), rng.uniform(0, SPEED)
        state = (0.0, 0.0, speed * math.sin(angle), speed * math.cos(angle))
        target = tuple(rng.uniform(-15, 15, 2))
        t = reach.reach_time(Moving(*state), LEGS, *target, 0.0)
        whole = math.floor(t / 0.05) * 0.05
        _, state = run_to(target, state, whole)
        u = reach.chase(Moving(*state), LEGS, *target)
        x, y, _, _ = motion.advance(Moving(*state), LEGS, *u, t - whole)
        missed.append(math.hypot(x - target[0], y - target[1]))
    assert np.quantile(missed, 0.98) < 0.05, np.sort(missed)[-8:]


def test_nobody_is_sooner_than_the_soonest_arrival() -> None:
    """No straight full-speed run gets there 3 % before the time returned."""
    rng = np.random.default_rng(4)
    for _ in range(60):
        v = rng.uniform(-6, 6, 2)
        target = rng.uniform(-12, 12, 2)
        t = reach.reach_time(Moving(0.0, 0.0, *v), LEGS, *target, 0.0)
        for angle in np.linspace(0, 2 * math.pi, 240):
            u = (SPEED * math.sin(angle), SPEED * math.cos(angle))
            x, y, _, _ = motion.advance(Moving(0.0, 0.0, *v), LEGS, *u, 0.97 * t)
            assert math.hypot(x - target[0], y - target[1]) > 0.02 or t < 0.1


def test_a_point_at_hand_is_reached_at_once_and_arms_help() -> None:
    assert reach.reach_time(Moving(0.0, 0.0, 3.0, 0.0), LEGS, 0.3, 0.3, 0.5) == 0.0
    bare = reach.reach_time(REST, LEGS, 0.0, 8.0, 0.0)
    armed = reach.reach_time(REST, LEGS, 0.0, 8.0, 0.8)
    assert armed < bare


def test_the_sieve_hides_nobody_who_can_be_there() -> None:
    """The set without the cap holds the one with it: none of 2,000 random states."""
    rng = np.random.default_rng(5)
    hidden = 0
    for _ in range(2000):
        v, target = rng.uniform(-6, 6, 2), rng.uniform(-12, 12, 2)
        t = reach.reach_time(Moving(0.0, 0.0, *v), LEGS, *target, 0.7)
        hidden += not reach.may_reach(Moving(0.0, 0.0, *v), LEGS, *target, t + 1e-6, 0.7)
    assert hidden == 0


def test_arriving_stops_on_the_spot_and_meeting_is_on_time() -> None:
    state = (0.0, 0.0, 2.0, -1.0)
    for _ in range(100):
        u = motion.arrive(Moving(*state), LEGS, 6.0, 5.0, SPEED)
        state = motion.advance(Moving(*state), LEGS, *u, 0.05)
    assert math.hypot(state[0] - 6.0, state[1] - 5.0) < 0.05
    assert math.hypot(state[2], state[3]) < 0.05
    for vx, vy in ((0.0, 3.0), (3.0, 0.0), (-2.0, 2.0)):
        state, due = (0.0, 0.0, vx, vy), 1.5
        for k in range(30):
            u = motion.meet(Moving(*state), LEGS, 1.0, 5.0, due - 0.05 * k)
            state = motion.advance(Moving(*state), LEGS, *u, 0.05)
        assert math.hypot(state[0] - 1.0, state[1] - 5.0) < 0.1


def test_a_runner_who_is_to_stand_on_a_spot_brakes_as_late_as_legs_allow() -> None:
    """Peak deceleration of team-sport players 7-9 m/s2 (memory): who keeps something in hand still
    uses 5 and more on the way to a spot, and stops from 6 m/s in 36 / (2 a), 3.6 m at most."""
    state, runs = (0.0, 0.0, 0.0, 0.0), []
    for _ in range(600):
        u = motion.arrive(Moving(*state), LEGS, 0.0, 20.0, 6.0)
        state = motion.advance(Moving(*state), LEGS, *u, 0.01)
        runs.append((state[1], state[3]))
    y, v = np.array(runs).T
    assert -np.diff(v).min() / 0.01 <= GRIP + 1e-6
    from_six = y[v > 5.9].max()
    assert 2.0 <= 20.0 - from_six <= 3.6


def test_one_intent_meets_a_moving_start_on_time() -> None:
    """The intent holds for the whole way, whatever the speed before; grip not binding."""
    for vx, vy in ((0.0, 3.0), (2.0, 1.0), (-2.0, 0.0)):
        start = Moving(0.0, 0.0, vx, vy)
        u = motion.meet(start, Legs(99.0, TAU, 999.0), 1.0, 6.0, 1.5)
        x, y, _, _ = motion.advance(start, Legs(99.0, TAU, 999.0), *u, 1.5)
        assert (x, y) == pytest.approx((1.0, 6.0), abs=1e-9)


def test_hips_slow_who_runs_away_from_them() -> None:
    """Full speed up to 45 degrees off, the stated share straight behind, between them in order."""
    speeds = [
        motion.speed_with_hips(math.sin(a), math.cos(a), 0.0, 8.0, 0.6)
        for a in np.radians([0, 40, 80, 120, 180])
    ]
    assert speeds[0] == speeds[1] == 8.0
    assert speeds[4] == pytest.approx(4.8)
    assert speeds == sorted(speeds, reverse=True)
    assert motion.turned(3.0, -3.0, 2.0, 0.05) > 3.0, "the shorter way round, past straight back"
    assert motion.turned(0.0, 1.0, 7.0, 0.05) == pytest.approx(0.35)


def test_a_point_within_the_arms_takes_no_time_however_one_runs() -> None:
    """Also on the way off: the first moment is now, not the one of coming back."""
    rng = np.random.default_rng(6)
    for speed, heading, bearing, far in rng.uniform(size=(500, 4)):
        vx, vy = 8.8 * speed * math.sin(6.3 * heading), 8.8 * speed * math.cos(6.3 * heading)
        x, y = 0.74 * far * math.sin(6.3 * bearing), 0.74 * far * math.cos(6.3 * bearing)
        assert reach.reach_time(Moving(0.0, 0.0, vx, vy), LEGS, x, y, 0.75) == 0.0
