"""Cuts: where they run, where they are expected to be, and when they are thrown."""

from __future__ import annotations

import numpy as np
import pytest

from policies.cuts import CUTS, Runner, Strike
from sim import motion

SPEED, TAU, GRIP = 8.8, 1.15, 8.0
TICK = 0.05


def _runner(pos, vel=(0.0, 0.0), since=10.0, spot=None, guard=(50.0, 50.0)):
    at = np.array([pos], dtype=float)
    return Runner(
        pos=at,
        vel=np.array([vel], dtype=float),
        spot=at if spot is None else np.array([spot], dtype=float),
        guard=np.array([guard], dtype=float),
        since=np.array([since], dtype=float),
        speed=np.array([SPEED]),
        tau=np.array([TAU]),
        grip=np.array([GRIP]),
    )


def _play(cut, runner, seconds, start=0.0):
    """The path (T, 2) of a runner who runs the cut for some seconds."""
    path, spot = [runner.pos[0]], runner.spot
    for step in range(round(seconds / TICK)):
        want = motion.limit(cut.run(runner), SPEED)
        pos, vel = motion.advance(runner.pos, runner.vel, want, TAU, GRIP, TICK)
        runner = _runner(pos[0], vel[0], start + (step + 1) * TICK, spot=spot[0])
        path.append(pos[0])
    return np.array(path), runner


def test_a_strike_runs_at_its_angle_and_bends_flat_at_its_depth():
    cut = Strike(angle=45.0, depth=9.0)
    path, _ = _play(cut, _runner((-10.0, 0.0), since=0.0), 4.0)
    early = path[path[:, 1] < 6.0]
    way = early[-1] - early[0]
    assert np.degrees(np.arctan2(way[0], way[1])) == pytest.approx(45.0, abs=1.0)
    assert path[-1, 1] == pytest.approx(9.0, abs=1.0)
    assert path[-1, 0] > 2.0


def test_the_wrong_way_strike_is_the_mirror_image_of_the_right_one():
    right, _ = _play(Strike(), _runner((-10.0, 0.0), since=0.0), 3.0)
    wrong, _ = _play(Strike(toward="break"), _runner((10.0, 0.0), since=0.0), 3.0)
    np.testing.assert_array_equal(right * [-1.0, 1.0], wrong)


@pytest.mark.parametrize("name", sorted(CUTS))
def test_the_forecast_of_a_cut_is_where_the_runner_is_a_second_later(name):
    """A teammate's forecast over 0.8 s is within 1.2 m of the run itself, well into the cut."""
    cut = CUTS[name]()
    start = (-10.0, 0.0) if name not in ("under", "deep") else (0.0, 15.0)
    _, runner = _play(cut, _runner(start, since=0.0), 1.2)
    forecast = cut.ahead(runner, np.array([0.8]))[0]
    path, _ = _play(cut, runner, 0.8, start=1.2)
    assert np.hypot(*(forecast - path[-1])) < 1.2


def test_the_cue_of_a_strike_comes_as_the_runner_crosses_the_front():
    cut, wind_up, meeting = Strike(), np.array([0.35]), np.array([[4.0, 9.0]])
    moving = (5.4, 5.4)
    before = cut.cue(_runner((-2.5, 7.0), moving), wind_up, meeting)
    after = cut.cue(_runner((-1.5, 8.0), moving), wind_up, meeting)
    assert not before[0]
    assert after[0]


def test_a_late_release_waits_for_its_offset():
    wind_up, meeting = np.array([0.35]), np.array([[4.0, 9.0]])
    runner = _runner((-1.5, 8.0), (5.4, 5.4))
    assert Strike().cue(runner, wind_up, meeting)[0]
    assert not Strike(release_offset=0.6).cue(runner, wind_up, meeting)[0]


def test_false_steps_go_the_other_way_first():
    cut = Strike(false_steps=2)
    path, _ = _play(cut, _runner((-10.0, 0.0), since=0.0), 0.3)
    assert path[-1, 0] < -10.0
    assert cut.delay == pytest.approx(3 * cut.STEP)


def test_a_two_way_handler_takes_the_side_the_defender_leaves():
    cut = CUTS["two-way"]()
    fronted = _runner((-10.0, 0.0), guard=(-9.0, 0.5))
    behind = _runner((-10.0, 0.0), guard=(-11.0, -0.5))
    assert not cut.strikes(fronted)[0]
    assert cut.strikes(behind)[0]


def test_a_dump_ends_standing_behind_the_disc():
    path, runner = _play(CUTS["dump"](), _runner((-10.0, 0.0), since=0.0), 3.0)
    assert path[-1] == pytest.approx([-4.0, -3.5], abs=0.2)
    assert np.hypot(*runner.vel[0]) < 0.3
