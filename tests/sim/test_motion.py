"""Motion: closed forms against a plain integration, tick-free paths, reach and pursuit."""

from typing import NamedTuple

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from sim.motion import advance, arrive, limit, meet
from sim.reach import chase, may_reach, reach_time

NO_CAP = 1e9


class States(NamedTuple):
    """Players in all sorts of states, each with a point to go to."""

    pos: np.ndarray
    vel: np.ndarray
    target: np.ndarray
    vmax: np.ndarray
    tau: np.ndarray
    grip: np.ndarray

    def part(self, index):
        return States(*(column[index] for column in self))


def vectors(rng, lengths):
    bearing = rng.uniform(-np.pi, np.pi, len(lengths))
    return np.stack((lengths * np.sin(bearing), lengths * np.cos(bearing)), axis=-1)


def states(n, seed, furthest=40.0):
    """Speeds up to vmax in any direction, more points near than far, published ability ranges."""
    rng = np.random.default_rng(seed)
    vmax, tau, grip = rng.uniform(6.5, 9.5, n), rng.uniform(0.8, 1.3, n), rng.uniform(6, 9, n)
    pos = rng.uniform(-20, 20, (n, 2))
    vel = vectors(rng, vmax * np.sqrt(rng.uniform(0, 1, n)))
    way = vectors(rng, furthest * rng.uniform(0, 1, n) * rng.uniform(0, 1, n))
    return States(pos, vel, pos + way, vmax, tau, grip)


def distance(a, b):
    return np.hypot(a[..., 0] - b[..., 0], a[..., 1] - b[..., 1])


def plain_integration(pos, vel, u, tau, grip, dt):
    """The equation of motion as it reads, integrated by small steps."""

    def rate(_, state):
        wanted = (u - state[2:]) / tau
        size = np.hypot(*wanted)
        return np.concatenate((state[2:], wanted * min(1.0, grip / max(size, 1e-12))))

    start = np.concatenate((pos, vel))
    end = solve_ivp(rate, (0, dt), start, rtol=1e-10, atol=1e-10, max_step=0.02).y[:, -1]
    return end[:2], end[2:]


def test_advance_agrees_with_a_plain_integration_capped_or_not():
    some = states(40, seed=1)
    u = limit(vectors(np.random.default_rng(2), np.linspace(0, 9.5, 40)), some.vmax)
    dt = np.linspace(0.05, 3.0, 40)
    pos, vel = advance(some.pos, some.vel, u, some.tau, some.grip, dt)
    gap = distance(u, some.vel)
    assert 8 < (gap > some.grip * some.tau).sum() < 32, "the sample must hold both kinds"
    for i in range(40):
        p, v = plain_integration(some.pos[i], some.vel[i], u[i], some.tau[i], some.grip[i], dt[i])
        np.testing.assert_allclose(pos[i], p, atol=1e-6)
        np.testing.assert_allclose(vel[i], v, atol=1e-6)


@pytest.mark.parametrize("ticks", [2, 7, 60])
def test_ticks_leave_no_trace(ticks):
    some = states(500, seed=3)
    u = chase(*some)
    whole = advance(some.pos, some.vel, u, some.tau, some.grip, 1.8)
    cuts = np.sort(np.random.default_rng(4).uniform(0, 1.8, ticks - 1))
    pos, vel = some.pos, some.vel
    for dt in np.diff(np.concatenate(([0.0], cuts, [1.8]))):
        pos, vel = advance(pos, vel, u, some.tau, some.grip, dt)
    np.testing.assert_allclose(pos, whole[0], atol=1e-11)
    np.testing.assert_allclose(vel, whole[1], atol=1e-11)


def test_no_time_changes_nothing_and_a_player_on_intent_keeps_it():
    some = states(50, seed=5)
    pos, vel = advance(some.pos, some.vel, chase(*some), some.tau, some.grip, 0.0)
    assert np.array_equal(pos, some.pos)
    np.testing.assert_allclose(vel, some.vel, atol=1e-14)
    pos, vel = advance(some.pos, some.vel, some.vel, some.tau, some.grip, 2.0)
    assert np.array_equal(vel, some.vel)
    np.testing.assert_allclose(pos, some.pos + 2 * some.vel, atol=1e-12)


def test_speed_stays_within_vmax_and_the_change_of_velocity_within_grip():
    some = states(2000, seed=6)
    u = chase(*some)
    pos, vel = some.pos, some.vel
    for _ in range(60):
        pos, new = advance(pos, vel, u, some.tau, some.grip, 0.05)
        assert (distance(new, vel) <= some.grip * 0.05 * (1 + 1e-9)).all()
        assert (np.hypot(new[:, 0], new[:, 1]) <= some.vmax * (1 + 1e-9)).all()
        vel = new


def test_limit_shortens_only_what_is_too_long():
    u = np.array([[3.0, 4.0], [6.0, 8.0], [0.0, 0.0]])
    np.testing.assert_allclose(limit(u, 6.0), [[3, 4], [3.6, 4.8], [0, 0]])
    assert np.array_equal(limit(u, np.inf), u)


def test_reach_time_is_the_first_moment_in_the_closed_form_disc_when_grip_does_not_bind():
    """The set of Fujimura & Sugihara 2005, looked at every 2 ms."""
    some = states(300, seed=7, furthest=25.0)
    radius = 0.5
    times = np.arange(0, 8, 0.002)[:, None]
    lag = some.tau * (1 - np.exp(-times / some.tau))
    centre = some.pos + some.vel * lag[..., None]
    inside = distance(centre, some.target) <= some.vmax * (times - lag) + radius
    first = times[np.argmax(inside, axis=0), 0]
    assert inside.any(axis=0).all()
    found = reach_time(*some._replace(grip=np.full(300, NO_CAP)), radius)
    late = found - first
    grazes = late < -0.01  # counted as reached when missed by less than 2 cm
    assert grazes.sum() <= 3
    assert np.abs(late[~grazes]).max() < 0.01


def test_reach_time_is_the_soonest_of_all_straight_full_speed_intents_under_the_cap():
    """A fan of 720 intents, each advanced by the closed form and looked at every 10 ms.

    The best way to bring a point within arm's reach under the cap may be a slightly other intent
    than the one straight at it, which costs up to 0.05 s, as stated in `reach_time`.
    """
    some = states(60, seed=8, furthest=15.0)
    radius = 0.6
    found = reach_time(*some, radius)
    late = np.empty(60)
    fan = np.linspace(-np.pi, np.pi, 721)[:-1]
    unit = np.stack((np.sin(fan), np.cos(fan)), axis=-1)
    times = np.arange(0, 5, 0.01)[:, None]
    for i in range(60):
        one = some.part(i)
        pos, _ = advance(one.pos, one.vel, one.vmax * unit[None], one.tau, one.grip, times)
        soonest = times[(distance(pos, one.target) <= radius).any(axis=1)][0, 0]
        late[i] = found[i] - soonest
    assert late.min() > -0.015
    assert late.max() < 0.05
    assert np.quantile(late, 0.9) < 0.01


def pursue(some, radius, tick=0.05):
    """Re-aim each tick until the promised moment.

    Returns the distance then still missing, and whether the player was there well before.
    """
    left = reach_time(*some, radius)
    pos, vel, early = some.pos, some.vel, np.zeros(len(left), bool)
    while (left > 0).any():
        dt = np.minimum(left, tick)
        u = chase(pos, vel, *some[2:], radius)
        pos, vel = advance(pos, vel, u, some.tau, some.grip, dt)
        left = left - dt
        early |= (left > 0.03) & (distance(pos, some.target) < radius - 0.03)
    return distance(pos, some.target) - radius, early


@pytest.mark.parametrize("radius", [0.0, 0.3, 0.8])
def test_reach_time_agrees_with_pursuit_within_the_stated_error(radius):
    """As stated in `reach_time`, over 10,000 states of any speed, direction and distance."""
    some = states(10_000, seed=9)
    missing, early = pursue(some, radius)
    assert np.quantile(missing, 0.99) < 0.012
    assert np.quantile(missing, 0.998) < 0.05
    assert not early.any()


def test_a_point_within_the_radius_takes_no_time():
    some = states(200, seed=10)
    far = distance(some.pos, some.target)
    assert (reach_time(*some, far + 1e-9) == 0).all()
    assert (reach_time(*some, far * 0.9 - 0.05) > 0)[far > 1].all()


def test_nearly_there_and_running_away_from_it():
    """Where a careless step divides by a difference of nearly equal numbers."""
    vel = np.array([0.0, -8.0])
    short = np.array([0.0, 1e-300, 1e-17, 1e-12, 1e-9, 1e-6])
    target = np.stack((np.zeros(6), 0.5 + short), axis=-1)
    found = reach_time(np.zeros(2), vel, target, 8.5, 1.1, 8.0, 0.5)
    assert found[0] == 0
    assert (found < 6).all()
    further = reach_time(np.zeros(2), vel, [0.0, 0.6], 8.5, 1.1, 8.0, 0.5)
    assert 1.5 < further < 3


def test_chase_runs_at_full_speed_and_stands_still_on_the_point_itself():
    some = states(500, seed=11)
    u = chase(*some)
    np.testing.assert_allclose(np.hypot(u[:, 0], u[:, 1]), some.vmax)
    assert np.array_equal(chase(*some._replace(target=some.pos)), np.zeros((500, 2)))


@pytest.mark.parametrize("spare", [0.0, 0.3, 1.5])
def test_meet_is_at_the_point_when_the_time_is_over_and_not_before(spare):
    """From rest and on the run; those who can be there `spare` s early come no earlier."""
    some = states(2000, seed=18)
    late = some._replace(vel=np.zeros((2000, 2)))
    for start in (some, late):
        due = reach_time(*start) + spare
        # in one fell swoop for each, in as many equal ticks of at most 0.05 s as it takes
        ticks = np.maximum(np.ceil(due / 0.05), 1.0)
        pos, vel, left = start.pos, start.vel, due
        for _ in range(int(ticks.max())):
            going = left > 1e-9
            u = meet(pos, vel, start.target, left, start.vmax, start.tau)
            assert (np.hypot(u[:, 0], u[:, 1]) <= start.vmax * (1 + 1e-12)).all()
            tick = np.where(going, due / ticks, 0.0)
            pos, vel = advance(pos, vel, u, start.tau, start.grip, tick)
            left = left - tick
        missed = distance(pos, start.target)
        assert np.quantile(missed, 0.95) < 0.1
        assert np.quantile(missed, 0.99) < 0.5  # a sharp turn at the limit of the grip


def test_whoever_can_be_there_in_time_passes_the_sieve():
    some = states(5000, seed=19)
    time = reach_time(*some, 0.4)
    assert may_reach(*some[:3], time, some.vmax, some.tau, 0.4).all()
    # and the sieve does hold back: nobody is let through far ahead of the time
    early = may_reach(*some[:3], time - 1.0, some.vmax, some.tau, 0.4)
    assert early[time > 1.5].mean() < 0.1


@pytest.mark.parametrize("tick", [0.05, 0.1])
@pytest.mark.parametrize("speed", [np.inf, 3.5])
def test_arrive_gets_there_and_stands(tick, speed):
    some = states(2000, seed=12, furthest=25.0)
    pos, vel = some.pos, some.vel
    for _ in range(round(12 / tick)):
        u = arrive(pos, vel, *some[2:], speed)
        assert (np.hypot(u[:, 0], u[:, 1]) <= some.vmax * (1 + 1e-12)).all()
        pos, vel = advance(pos, vel, u, some.tau, some.grip, tick)
    assert distance(pos, some.target).max() < 0.01
    assert np.hypot(vel[:, 0], vel[:, 1]).max() < 0.02


@pytest.mark.parametrize("tick", [0.05, 0.1])
@pytest.mark.parametrize("speed", [np.inf, 3.5])
def test_arrive_from_rest_never_runs_past_nor_faster_than_asked(tick, speed):
    some = states(1000, seed=13, furthest=25.0)
    some = some._replace(vel=np.zeros((1000, 2)))
    way = distance(some.target, some.pos)
    pos, vel, before = some.pos, some.vel, way
    for _ in range(round(6 / tick)):
        pos, vel = advance(pos, vel, arrive(pos, vel, *some[2:], speed), some.tau, some.grip, tick)
        now = distance(some.target, pos)
        assert (now <= before + 1e-9).all()
        assert (np.hypot(vel[:, 0], vel[:, 1]) <= min(speed, 10) + 0.02).all()
        before = now


def test_arrive_costs_little_over_the_fastest_way_and_a_stop():
    """Straight 10 m from rest: 0.3 to 1.2 s after a player who runs through."""
    zero, target, ability = np.zeros(2), np.array([0.0, 10.0]), (8.8, 1.15, 8.0)
    pos, vel, time = zero, zero, 0.0
    while distance(pos, target) > 0.1 or np.hypot(*vel) > 0.3:
        pos, vel = advance(pos, vel, arrive(pos, vel, target, *ability), *ability[1:], 0.05)
        time += 0.05
    assert 0.3 < time - reach_time(zero, zero, target, *ability) < 1.2


FUNCTIONS = {
    "advance": lambda s: advance(s.pos, s.vel, chase(*s), s.tau, s.grip, 0.07),
    "limit": lambda s: (limit(s.vel * 1.5, s.vmax),),
    "reach_time": lambda s: (reach_time(*s, 0.4),),
    "chase": lambda s: (chase(*s),),
    "meet": lambda s: (meet(*s[:3], 1.3, s.vmax, s.tau),),
    "arrive": lambda s: (arrive(*s),),
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_mirrored_state_gives_the_mirrored_result_bit_for_bit(name):
    some = states(5000, seed=14)
    flip = np.array([-1.0, 1.0])
    flipped = some._replace(pos=some.pos * flip, vel=some.vel * flip, target=some.target * flip)
    for one, other in zip(FUNCTIONS[name](some), FUNCTIONS[name](flipped), strict=True):
        assert np.array_equal(one * flip if one.ndim == 2 else one, other)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_player_moves_alike_in_any_company_bit_for_bit(name):
    some = states(9001, seed=15)
    whole = FUNCTIONS[name](some)
    rng = np.random.default_rng(16)
    for index in (np.arange(1), np.arange(4097), rng.permutation(9001)[:700]):
        for one, other in zip(whole, FUNCTIONS[name](some.part(index)), strict=True):
            assert np.array_equal(one[index], other)
    square = FUNCTIONS[name](
        States(*(column[:9000].reshape(3000, 3, *column.shape[1:]) for column in some))
    )
    for one, other in zip(whole, square, strict=True):
        assert np.array_equal(one[:9000], other.reshape(9000, *one.shape[1:]))


def test_leading_axes_broadcast():
    some = states(12, seed=17)
    ability = (some.vmax[0], some.tau[:3], 8.0)
    pos, vel = some.pos.reshape(4, 3, 2), some.vel.reshape(4, 3, 2)
    found = reach_time(pos, vel, some.target[0], *ability)
    intent = chase(pos, vel, some.target[0], *ability)
    moved, _ = advance(pos, vel, intent, some.tau[:3], 8.0, 0.1)
    assert found.shape == (4, 3)
    assert moved.shape == intent.shape == arrive(pos, vel, some.target[0], *ability).shape
    for i in range(4):
        for j in range(3):
            one = (pos[i, j], vel[i, j], some.target[0], some.vmax[0], some.tau[j], 8.0)
            assert reach_time(*one) == found[i, j]
            assert np.array_equal(chase(*one), intent[i, j])
