"""Perception: everybody sees the past, late at first, sooner once on the trail, sometimes wrong."""

from __future__ import annotations

import numpy as np
import pytest
from sim.world import World

from sim.perception import (
    CLOSING_IN,
    DRIFTING_OFF,
    MOVING,
    RECENT,
    WRONG_STEP,
    Attention,
    History,
)
from sim.scene import Scene
from sim.view import View
from tests.sim.rig import fits, lay_out, player, spread_fits, sure, world_of

TICK = 0.05
RUNNER, WATCHER = 1, 2


def pair(**eyes: float) -> Scene:
    """A runner who is watched by a defender with such eyes."""
    return lay_out(
        [player("thrower", (0.0, 20.0)), player("runner", (0.0, 30.0))],
        [player("watcher", (0.0, 32.0), sure(**eyes), role="defender", guards=RUNNER)],
        tick=TICK,
    )


class Clock:
    """A world in which velocities are given by hand and perception is kept up tick by tick."""

    def __init__(self, scene: Scene, n: int = 1) -> None:
        self.scene, self.world, self.now = scene, world_of(scene, n), 0.0
        self.attention = Attention(self.world, scene)
        self.history = History(self.world, scene)

    def pass_time(self, seconds: float, velocity: tuple[float, float]) -> None:
        """The runner moves with a velocity for a while; everybody looks each tick."""
        for _ in range(round(seconds / TICK)):
            self.world.vel[:, RUNNER] = velocity
            self.world.pos[:, RUNNER] += np.array(velocity) * TICK
            self.now += TICK
            self.history.push(self.world)
            self.attention.update(self.world, self.history, self.now, TICK)

    @property
    def lag(self) -> np.ndarray:
        return self.world.lag[:, WATCHER]

    def seen(self) -> tuple[np.ndarray, np.ndarray]:
        rows = np.arange(len(self.world))
        view = View(self.scene, self.world, self.history, WATCHER, rows, self.now)
        return view.seen(RUNNER)


# --- the past ----------------------------------------------------------------------------------


@pytest.mark.parametrize("lag", [0.0, 0.05, 0.12, 0.31, 0.6, 0.99])
def test_history_gives_back_what_was_where(lag):
    """A runner on a circle, looked back at between ticks: linear in between, exact on them."""
    clock = Clock(pair())
    places = []
    for k in range(60):
        angle = 0.1 * k
        clock.world.pos[:, RUNNER] = [np.sin(angle), np.cos(angle)]
        clock.world.vel[:, RUNNER] = [2 * np.cos(angle), -2 * np.sin(angle)]
        places.append([*clock.world.pos[0, RUNNER], *clock.world.vel[0, RUNNER]])
        clock.history.push(clock.world)
    back = lag / TICK
    whole = int(back)
    expected = np.array(places[-1 - whole]) * (1 - (back - whole))
    expected = expected + np.array(places[-2 - whole]) * (back - whole)
    found = clock.history.ago(np.array([0]), np.array([RUNNER]), np.array([lag]))[0]
    assert found == pytest.approx(expected, abs=1e-9)


def test_history_before_the_start_is_the_start():
    clock = Clock(pair())
    found = clock.history.ago(np.array([0]), np.array([RUNNER]), np.array([0.8]))[0]
    assert found == pytest.approx([0.0, 30.0, 0.0, 0.0])


def test_only_the_rehearsals_kept_are_remembered():
    clock = Clock(pair(), n=4)
    clock.world.pos[:, RUNNER, 0] = [10.0, 11.0, 12.0, 13.0]
    clock.history.push(clock.world)
    clock.history.keep(np.array([1, 3]))
    found = clock.history.ago(np.arange(2), np.array([RUNNER, RUNNER]), np.zeros(2))
    assert found[:, 0].tolist() == [11.0, 13.0]


# --- how late ----------------------------------------------------------------------------------


def test_a_start_nobody_announced_is_noticed_a_reaction_time_late_and_not_before():
    clock = Clock(pair(reaction=0.35, tracking=0.22))
    clock.pass_time(0.5, (0.0, 0.0))
    began, noticed = clock.now, None
    for _ in range(12):
        clock.pass_time(TICK, (0.0, -6.0))
        if noticed is None and (clock.seen().vel != 0.0).any():
            noticed = clock.now - began
    # interpolation between ticks: the first trace is at most a tick before the whole delay
    assert noticed is not None
    assert 0.35 - TICK <= noticed - TICK <= 0.35 + 1e-9


def test_the_lag_closes_in_on_tracking_while_a_runner_moves_and_drifts_back_at_rest():
    clock = Clock(pair(reaction=0.40, tracking=0.20))
    clock.pass_time(0.5, (0.0, 0.0))
    assert clock.lag == pytest.approx(0.40)
    clock.pass_time(0.45, (0.0, -6.0))
    before = clock.lag.copy()
    clock.pass_time(0.10, (0.0, -6.0))
    assert before - clock.lag == pytest.approx(CLOSING_IN * 0.10)
    clock.pass_time(1.0, (0.0, -6.0))
    assert clock.lag == pytest.approx(0.20)
    clock.pass_time(0.5, (0.0, 0.0))
    before = clock.lag.copy()
    clock.pass_time(0.2, (0.0, 0.0))
    assert clock.lag - before == pytest.approx(DRIFTING_OFF * 0.2)
    clock.pass_time(3.0, (0.0, 0.0))
    assert clock.lag == pytest.approx(0.40)


def test_a_false_step_warns():
    """After a step and a stop, the real start is seen sooner than without: lag below reaction."""
    clock = Clock(pair(reaction=0.40, tracking=0.20))
    clock.pass_time(0.5, (0.0, 0.0))
    clock.pass_time(0.3, (0.0, 5.0))
    clock.pass_time(0.3, (0.0, 0.0))
    assert (clock.lag < 0.40 - 0.05).all()


def test_slower_than_walking_pace_is_standing():
    clock = Clock(pair(reaction=0.40, tracking=0.20))
    clock.pass_time(2.0, (0.0, 0.9 * MOVING))
    assert clock.lag == pytest.approx(0.40)


def test_reaction_times_spread_between_rehearsals_as_stated():
    """Relative spread 0.13, cut at 2.5 sd; N 4000, false alarm below 1e-6."""
    clock = Clock(pair(reaction=0.35, reaction_spread=0.13), n=4000)
    shares = clock.attention.first[:, WATCHER] / 0.35 - 1.0
    assert np.abs(shares).max() <= 0.13 * 2.5 + 1e-12
    inner = shares[np.abs(shares) < 0.13 * 2.5 - 1e-9]
    # the variance of a normal cut at 2.5 sd: 1 - 5 phi(2.5) / (2 Phi(2.5) - 1) = 0.9113
    assert spread_fits(inner, 0.13 * np.sqrt(0.9113))


# --- carried on, rightly and wrongly -----------------------------------------------------------


def test_a_steady_runner_is_seen_where_the_runner_is():
    clock = Clock(pair(reaction=0.40, tracking=0.22))
    clock.pass_time(2.5, (3.0, -4.0))
    pos, vel = clock.seen()
    assert pos == pytest.approx(clock.world.pos[:, RUNNER])
    assert vel == pytest.approx(clock.world.vel[:, RUNNER])


def test_a_runner_who_turns_is_carried_on_the_old_way():
    clock = Clock(pair(reaction=0.40, tracking=0.20))
    clock.pass_time(2.5, (0.0, -5.0))
    at_turn = clock.world.pos[0, RUNNER].copy()
    clock.pass_time(0.15, (5.0, 0.0))
    pos, vel = clock.seen()
    assert vel[0] == pytest.approx([0.0, -5.0])
    assert pos[0] == pytest.approx(at_turn + np.array([0.0, -5.0 * 0.15]))


def misread_share(clock: Clock, n: int, expected: float) -> bool:
    fooled = clock.world.fooled_until[:, WATCHER] > clock.now - 0.6
    return fits(int(fooled.sum()), n, expected)


def test_starts_are_misread_as_often_as_published_and_more_often_the_second_time():
    """Henry 2013: 94 % and 83 % right. N 4000, false alarm below 1e-6 each."""
    n = 4000
    clock = Clock(pair(reaction=0.30, tracking=0.20, misread=0.06, misread_again=0.17), n)
    clock.pass_time(0.5, (0.0, 0.0))
    clock.pass_time(0.45, (0.0, -5.0))
    assert misread_share(clock, n, 0.06)
    clock.pass_time(0.30, (0.0, 0.0))
    clock.world.fooled_until[:] = -1.0
    clock.pass_time(0.45, (0.0, 5.0))  # less than RECENT after the first start
    assert (clock.world.starts_seen[:, WATCHER] == 2).all()
    assert misread_share(clock, n, 0.17)
    clock.pass_time(RECENT + 1.0, (0.0, 0.0))
    clock.world.fooled_until[:] = -1.0
    clock.pass_time(0.45, (0.0, -5.0))
    assert misread_share(clock, n, 0.06)


def test_the_misreader_carries_the_watched_runner_the_wrong_way_for_a_while_and_nobody_else():
    scene = pair(reaction=0.30, tracking=0.20, misread=0.5)
    clock = Clock(scene, 400)
    clock.world.vel[:, 0] = [1.5, 0.0]  # somebody else who moves
    clock.pass_time(0.5, (0.0, 0.0))
    clock.pass_time(0.45, (0.0, -5.0))
    fooled = clock.world.fooled_until[:, WATCHER] > clock.now
    assert 0 < fooled.sum() < 400
    _, vel = clock.seen()
    assert (vel[fooled, 1] > 0.0).all()
    assert (vel[~fooled, 1] < 0.0).all()
    rows = np.arange(400)
    other = View(scene, clock.world, clock.history, WATCHER, rows, clock.now).seen(0)
    assert (other.vel[:, 0] == 1.5).all()
    clock.pass_time(WRONG_STEP + TICK, (0.0, -5.0))
    assert (clock.seen().vel[:, 1] < 0.0).all()


def test_the_same_rehearsal_has_the_same_eyes_in_any_company():
    scene = pair(reaction_spread=0.2, misread=0.3)

    def fooled(numbers: np.ndarray) -> np.ndarray:
        clock = Clock(scene, len(numbers))
        clock.world = World.begin(scene, numbers, 9, 1)
        clock.attention = Attention(clock.world, scene)
        clock.history = History(clock.world, scene)
        clock.pass_time(0.5, (0.0, 0.0))
        clock.pass_time(0.6, (0.0, -5.0))
        return np.stack([clock.world.fooled_until[:, WATCHER], clock.lag])

    whole, part = fooled(np.arange(50)), fooled(np.array([41, 7]))
    assert (whole[:, [41, 7]] == part).all()
