"""The stored flights and their lookup: against the integrator, and compiled against not."""

from __future__ import annotations

import dataclasses
import math
from functools import lru_cache

import numpy as np
import pytest

from sim.flight import SHAPES, THROWS
from sim.flight.build import build
from sim.flight.fit import fly_erring
from sim.flight.lookup import duration, lay_out, load_table, made, reach
from sim.flight.shapes import BACKHAND, FLAT, FLOATED, FOREHAND
from sim.flight.solver import Solution, find, solve
from sim.flight.targets import Target, World
from tests.sim.compiled import compiled

TABLE = load_table()
WORLD = World()
KNOTS = 25
# One standard deviation of a good thrower's errors (judgement): speed, pitch, roll, spin.
ONE = np.array([0.05, math.radians(2.0), math.radians(5.0), 0.1])


def path(
    throw: int, shape: int, distance: float, along: float = 0.0, across: float = 0.0,
    height: float = 1.0, errors: tuple = (0.0, 0.0, 0.0, 0.0), knots: int = KNOTS,
) -> tuple[float, np.ndarray]:  # fmt: skip
    """Seconds from release to the ground, and the knots."""
    filled = np.full((knots, 3), np.nan)
    step = lay_out(TABLE, throw, shape, distance, along, across, height, *errors, filled)
    return step * (knots - 1), filled


def some_throws(count: int, seed: int, wind: float, share: float, furthest: float = 99.0) -> Target:
    """Throws of all kinds to distances spread up to a share of the reach in their wind."""
    draw = np.random.default_rng(seed)
    throw, shape = draw.integers(0, len(THROWS), count), draw.integers(0, len(SHAPES), count)
    along, across = draw.uniform(-wind, wind, (2, count))
    longest = np.array(
        [reach(TABLE, *row) for row in zip(throw, shape, along, across, strict=True)]
    )
    most = np.minimum(share * longest, furthest)
    return Target(throw, shape, 1.0 + (most - 1.0) * draw.uniform(0, 1, count), along, across)


def rows(target: Target) -> list[tuple]:
    fields = (target.throw, target.shape, target.distance, target.wind_along, target.wind_across)
    return list(zip(*(field.tolist() for field in fields), strict=True))


def _all_ways(
    seed: int, count: int, shapes: int
) -> tuple[np.random.Generator, np.ndarray, np.ndarray]:
    """Throws and shapes drawn, with the generator to go on with."""
    draw = np.random.default_rng(seed)
    return draw, draw.integers(0, 2, count), draw.integers(0, shapes, count)


def _at_nodes() -> Target:
    """Throws to nodes of the table, in winds of it."""
    draw, throw, shape = _all_ways(3, 30, 4)
    i, j = draw.integers(0, 7, (2, 30))
    inside = [np.searchsorted(TABLE.distances, 0.85 * r) for r in TABLE.reach[throw, shape, i, j]]
    node = np.array([draw.integers(2, top) for top in inside])
    return Target(throw, shape, TABLE.distances[node], TABLE.winds[i], TABLE.winds[j])


def _in_a_calm() -> Target:
    """Throws to seven tenths of the reach in still air."""
    _, throw, shape = _all_ways(9, 24, 3)
    middle = np.full(24, len(TABLE.winds) // 2)
    node = np.array([np.searchsorted(TABLE.distances, 0.7 * TABLE.reach[t, s, m, m]) for t, s, m in
                     zip(throw, shape, middle, strict=True)])  # fmt: skip
    return Target(throw, shape, TABLE.distances[node], TABLE.winds[middle], TABLE.winds[middle])


def _floated() -> Target:
    """Floated throws in winds of 6 to 10 m/s from all sides."""
    draw = np.random.default_rng(77)
    speed, toward = draw.uniform(6.0, 10.0, 100), draw.uniform(0.0, 2.0 * np.pi, 100)
    throw, shape = draw.integers(0, 2, 100), np.full(100, FLOATED)
    along, across = speed * np.cos(toward), speed * np.sin(toward)
    furthest = [reach(TABLE, *row) for row in zip(throw, shape, along, across, strict=True)]
    distance = np.minimum(draw.uniform(8.0, 45.0, 100), 0.9 * np.array(furthest))
    return Target(throw, shape, distance, along, across)


WANTED = {
    "calm": lambda: some_throws(60, seed=21, wind=3.0, share=0.9, furthest=45.0),
    "windy": lambda: some_throws(60, seed=21, wind=10.0, share=0.9, furthest=45.0),
    "erring": lambda: some_throws(60, seed=8, wind=4.0, share=0.85, furthest=40.0),
    "floated": _floated,
    "at nodes": _at_nodes,
    "in a calm": _in_a_calm,
}


@lru_cache(maxsize=1)
def _every_search() -> dict[str, tuple[Target, Solution]]:
    targets = {name: make() for name, make in WANTED.items()}
    places = np.cumsum([0] + [len(one.distance) for one in targets.values()])
    fields = [field.name for field in dataclasses.fields(Target)]
    whole = Target(
        *(np.concatenate([getattr(one, name) for one in targets.values()]) for name in fields)
    )
    found = find(whole, WORLD)
    return {
        name: (one, Solution(found.angles[:, a:b], found.solved[a:b]))
        for (name, one), a, b in zip(targets.items(), places, places[1:], strict=False)
    }


def thrown(name: str) -> tuple[Target, Solution]:
    """Wanted throws and the releases found for them; one search finds all, for little more than a few."""
    return _every_search()[name]


def gaps(target: Target, angles: np.ndarray, errors: np.ndarray) -> np.ndarray:
    """How far lookups are from the integrator, (4, N).

    Metres on the way to the aim (greatest), seconds and metres where it lands, and metres by which
    the errors moved the landing.
    """
    count = angles.shape[1]
    flight = fly_erring(target, angles, errors, WORLD)
    landing = flight.landing()
    there = flight.at(landing)[[1, 0]]
    result = np.zeros((4, count))
    laid = []
    for i, row in enumerate(rows(target)):
        whole, knots = path(*row, errors=tuple(errors[:, i]))
        _, plain = path(*row)
        laid.append((whole, knots, duration(TABLE, *row)))
        result[1, i] = abs(whole - landing[i])
        result[2, i] = np.hypot(*(knots[-1, :2] - there[:, i]))
        result[3, i] = np.hypot(*(plain[-1, :2] - there[:, i]))
    for share in np.linspace(0.1, 1.0, 10):
        t = np.array([min(share * catch, whole) for whole, _, catch in laid])
        true = flight.at(np.minimum(t, landing))[[1, 0, 2]]
        for i, (whole, knots, _) in enumerate(laid):
            clock = np.linspace(0, whole, KNOTS)
            here = np.array([np.interp(t[i], clock, knots[:, axis]) for axis in range(3)])
            result[0, i] = max(result[0, i], np.linalg.norm(here - true[:, i]))
    return result


def test_compiled_and_plain_give_the_same_bits():
    """Over throws of all kinds, errors, heights and distances out of reach."""
    target = some_throws(150, seed=4, wind=10.0, share=1.2)
    draw = np.random.default_rng(1)
    for i, row in enumerate(rows(target)):
        errors = (draw.normal(size=4) * ONE * (i % 3)).tolist()
        one, other = np.zeros((2, KNOTS, 3))
        height = draw.uniform(0.4, 2.0)
        step = lay_out(TABLE, *row, height, *errors, one)
        assert compiled(lay_out)(TABLE, *row, height, *errors, other) == step
        assert np.array_equal(one, other)
        assert compiled(duration)(TABLE, *row) == duration(TABLE, *row)
        assert compiled(reach)(TABLE, *row[:2], *row[3:]) == reach(TABLE, *row[:2], *row[3:])


def test_a_flight_starts_comes_to_its_aim_and_ends_where_it_says():
    """Exactly, anywhere between nodes, from any height; only ahead and time, not aside, grow."""
    draw = np.random.default_rng(2)
    for row in rows(some_throws(120, seed=2, wind=10.0, share=1.0)):
        height = draw.uniform(0.4, 2.0)
        whole, knots = path(*row, height=height)
        catch = duration(TABLE, *row)
        assert 0 < catch < whole
        assert knots[0].tolist() == [0.0, 0.0, height]
        assert knots[-1, 2] == 0.0
        fine = 1201
        _, knots = path(*row, height=height, knots=fine)
        clock = np.linspace(0, whole, fine)
        there = [np.interp(catch, clock, knots[:, axis]) for axis in range(3)]
        assert there == pytest.approx([row[2], 0.0, TABLE.catch_height], abs=2e-3)
        assert knots[1:-1, 2].min() > 0.0


# Metres on the way to the aim, seconds and metres where it lands: nine throws of ten, all.
CLOSE = {
    "calm": ((0.3, 0.1, 0.6), (1.0, 0.3, 2.5)),
    "windy": ((0.5, 0.2, 1.0), (2.5, 0.6, 4.0)),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["calm", "windy"])
def test_between_nodes_a_lookup_is_close_to_the_integrator(name):
    """Without errors, to nine tenths of the reach; the last tenth is the end of what an arm can do
    and changes within a metre."""
    target, found = thrown(name)
    assert found.solved.mean() > 0.9
    gap = gaps(target, found.angles, np.zeros((4, 60)))[:3, found.solved]
    nine, every = CLOSE[name]
    assert (np.quantile(gap, 0.9, axis=1) < nine).all()
    floated = target.shape[found.solved] == FLOATED
    assert (gap[:, ~floated].max(axis=1) < every).all()


@pytest.mark.slow
def test_a_floated_throw_in_a_strong_wind_is_close_to_the_integrator():
    """Winds of 6 to 10 m/s from all sides, the hardest to blend: the raised edge takes the wind."""
    target, found = thrown("floated")
    assert found.solved.mean() > 0.9
    gap = gaps(target, found.angles, np.zeros((4, 100)))[:3, found.solved]
    assert (np.quantile(gap, 0.9, axis=1) < (0.6, 0.2, 0.5)).all()
    assert (gap.max(axis=1) < (3.5, 0.6, 2.0)).all()


@pytest.mark.slow
@pytest.mark.parametrize("axis", range(4), ids=["speed", "pitch", "roll", "spin"])
def test_sensitivities_are_those_of_the_integrator(axis):
    """What an error of one standard deviation, up less down, does to the place at half and four
    fifths of the time to the catch: within 5 % of the integrator's difference at nodes, plus 1 cm,
    which is what the coefficients are stored to."""
    target, found = thrown("at nodes")
    count = len(target.distance)
    assert found.solved.mean() > 0.8
    catch = np.array([duration(TABLE, *row) for row in rows(target)])
    true, ours = np.zeros((2, 2, 3, count))
    for sign in (1, -1):
        errors = np.zeros((4, count))
        errors[axis] = sign * ONE[axis]
        flight = fly_erring(target, found.angles, errors, WORLD)
        for k, share in enumerate((0.5, 0.8)):
            true[k] += sign * flight.at(share * catch)[[1, 0, 2]]
        for n, row in enumerate(rows(target)):
            whole, knots = path(*row, errors=tuple(errors[:, n]), knots=501)
            clock = np.linspace(0, whole, 501)
            for k, share in enumerate((0.5, 0.8)):
                here = [np.interp(share * catch[n], clock, knots[:, a]) for a in range(3)]
                ours[k, :, n] += sign * np.array(here)
    gap, size = np.linalg.norm(ours - true, axis=1), np.linalg.norm(true, axis=1)
    assert (gap < 0.05 * size + 0.01)[:, found.solved].all()
    assert (size.max(axis=1) > 0.05).all()


@pytest.mark.slow
@pytest.mark.parametrize("axis", range(3), ids=["speed", "pitch", "roll"])
def test_errors_are_kept_to_the_second_order(axis):
    """What an error of two standard deviations up and one down have in common, which a slope alone
    would not have: the integrator's, before half of the time to the catch, to a quarter."""
    target, found = thrown("in a calm")
    count = len(target.distance)
    catch = np.array([duration(TABLE, *row) for row in rows(target)])
    true, ours = np.zeros((2, 3, count))
    for sign, part in ((2, 1), (-2, 1), (0, -2)):
        errors = np.zeros((4, count))
        errors[axis] = sign * ONE[axis]
        flight = fly_erring(target, found.angles, errors, WORLD)
        true += part * flight.at(0.45 * catch)[[1, 0, 2]]
        for n, row in enumerate(rows(target)):
            whole, knots = path(*row, errors=tuple(errors[:, n]), knots=501)
            clock = np.linspace(0, whole, 501)
            ours[:, n] += part * np.array(
                [np.interp(0.45 * catch[n], clock, knots[:, a]) for a in range(3)]
            )
    gap = np.linalg.norm(ours - true, axis=0)[found.solved]
    size = np.linalg.norm(true, axis=0)[found.solved]
    assert np.median(size) > 0.02
    assert np.median(gap / size) < 0.25


# Errors of all kinds at once, in standard deviations, and what nine throws of ten and the median
# are within: metres on the way to the aim, seconds and metres where it lands.
AT_ONCE = {1.0: ((0.15, 0.1, 0.5), (0.5, 0.4, 2.0)), 2.0: ((0.3, 0.3, 1.5), (2.0, 1.5, 8.0))}


@pytest.mark.slow
@pytest.mark.parametrize("size", [1.0, 2.0])
def test_an_error_makes_another_flight_and_not_a_turned_one(size):
    """Errors of every kind at once, drawn normal, against the integrator; and what the errors do
    to the landing is many times what the lookup leaves out."""
    target, found = thrown("erring")
    errors = np.random.default_rng(5).normal(size=(4, 60)) * ONE[:, None] * size
    gap = gaps(target, found.angles, errors)[:, found.solved]
    for share, limits in zip((0.5, 0.9), AT_ONCE[size], strict=True):
        assert (np.quantile(gap[:3], share, axis=1) < limits).all()
    assert np.median(gap[3]) > 4 * np.median(gap[2])


def test_errors_have_the_signs_they_should():
    """Harder and nose-up throws go farther, right edge low goes right; less spin turns over
    more: a right-hander's flat backhand to the right, the forehand to the left."""
    for throw, side in ((BACKHAND, 1), (FOREHAND, -1)):
        _, plain = path(throw, FLAT, 20.0)
        _, hard = path(throw, FLAT, 20.0, errors=(0.05, 0.0, 0.0, 0.0))
        _, high = path(throw, FLAT, 20.0, errors=(0.0, 0.03, 0.0, 0.0))
        _, rolled = path(throw, FLAT, 20.0, errors=(0.0, 0.0, 0.1, 0.0))
        _, weak = path(throw, FLAT, 20.0, errors=(0.0, 0.0, 0.0, -0.15))
        assert hard[-1, 0] > plain[-1, 0] + 1.0
        assert high[-1, 0] > plain[-1, 0] + 1.0
        assert high[:, 2].max() > plain[:, 2].max() + 0.3
        assert rolled[-1, 1] > plain[-1, 1] + 0.5
        assert side * weak[-1, 1] > side * plain[-1, 1] + 0.1


def test_wind_in_the_face_is_wind_in_the_face():
    """Along is positive from behind: reach grows with it and the flat throw's time falls; across is
    positive to the right: an inside-out backhand is shorter for a wind under its raised edge."""
    for shape in range(len(SHAPES)):
        assert reach(TABLE, 0, shape, -6.0, 0.0) < 0.9 * reach(TABLE, 0, shape, 0.0, 0.0)
        assert reach(TABLE, 0, shape, 6.0, 0.0) > reach(TABLE, 0, shape, 0.0, 0.0)
    times = [duration(TABLE, 0, FLAT, 35.0, along, 0.0) for along in (-6.0, 0.0, 6.0)]
    assert times[0] > times[1] > times[2]


@pytest.mark.slow
@pytest.mark.parametrize("height", [0.4, 2.0])
def test_another_height_of_release_is_close_to_a_throw_solved_for_it(height):
    """The stated error of the shifted start: to the aim a flat throw is within 0.2 m in height and
    0.12 s; past it, it lands within 0.6 s and 5 m."""
    other = World(throws=dataclasses.replace(WORLD.throws, release_height=height))
    distance = np.array([5.0, 8.0, 12.0, 18.0, 25.0, 32.0])
    zero = np.zeros(6)
    target = Target(np.zeros(6, int), np.full(6, FLAT), distance, zero, zero)
    found = solve(target, other, find(target, WORLD).angles)
    assert found.solved.all()
    flight = fly_erring(target, found.angles, np.zeros((4, 6)), other)
    catch, landing = flight.first(1, distance), flight.landing()
    there = flight.at(landing)[[1, 0]]
    for n, row in enumerate(rows(target)):
        whole, knots = path(*row, height=height)
        time_up = duration(TABLE, *row)
        assert time_up == pytest.approx(catch[n], abs=0.12)
        assert whole == pytest.approx(landing[n], abs=0.6)
        assert np.hypot(*(knots[-1, :2] - there[:, n])) < 5.0
        for share in (0.25, 0.5, 0.75):
            here = np.interp(share * time_up, np.linspace(0, whole, KNOTS), knots[:, 2])
            assert here == pytest.approx(flight.at(share * catch)[2, n], abs=0.2)


def test_out_of_reach_gives_the_longest_flight():
    longest = reach(TABLE, 0, FLAT, 0.0, 0.0)
    assert path(0, FLAT, 90.0)[1].tolist() == path(0, FLAT, longest)[1].tolist()
    assert duration(TABLE, 0, FLAT, 90.0, 0.0, 0.0) == duration(TABLE, 0, FLAT, longest, 0.0, 0.0)


def test_times_rise_with_distance_and_floated_throws_are_later():
    """Of floated throws up to 16 m: farther ones are thrown harder, to hang as high, and from there
    take hardly longer."""
    for along, across in ((0.0, 0.0), (-4.0, 2.0), (5.0, -5.0)):
        times = np.array(
            [
                [duration(TABLE, 0, shape, d, along, across) for d in np.linspace(2.0, 16.0, 30)]
                for shape in (FLAT, FLOATED)
            ]
        )
        assert (np.diff(times) > 0).all()
        assert (times[1, 20:] > 1.3 * times[0, 20:]).all()


@pytest.mark.parametrize(
    ("along", "across", "nearest"),
    [(0, 0, 11.0), (-6, 0, 12.5), (6, 0, 12.5), (0, 6, 12.5), (0, -6, 12.5), (-10, 0, 19.0),
     (10, 0, 19.0), (0, 10, 19.0), (0, -10, 19.0)],
)  # fmt: skip
def test_floated_throws_hang_above_a_trailing_hand_in_every_wind(along, across, nearest):
    """From some distance on, to nine tenths of the reach, the disc is at 2.8 m and more from 0.6 to
    three quarters of its way. In winds of 10 m/s at an angle, 14 in all, only from 27 m on."""
    for throw in (BACKHAND, FOREHAND):
        most = 0.9 * reach(TABLE, throw, FLOATED, float(along), float(across))
        assert most > nearest
        for distance in np.linspace(nearest, most, 8):
            row = (throw, FLOATED, distance, float(along), float(across))
            whole, knots = path(*row, knots=401)
            before = np.linspace(0, whole, 401) <= duration(TABLE, *row)
            ahead, height = knots[before, 0] / distance, knots[before, 2]
            late = (ahead > 0.6) & (ahead < 0.75)
            assert height[late].min() > 2.8
            assert height[-1] < 1.6


def test_the_stored_table_is_what_a_build_makes():
    """The whole way, search, fit and store, over a corner of the grid; 2 cm, 5 ms."""
    distances, winds = TABLE.distances[:3], np.array([0.0, 3.0])
    fresh = made(build(WORLD, distances, winds))
    assert (fresh.reach == distances[-1]).all()
    place = np.searchsorted(TABLE.winds, winds)
    stored = TABLE.times[:, :, place[0] : place[1] + 1, place[0] : place[1] + 1, :3]
    assert fresh.times == pytest.approx(stored, abs=5e-3)
    for throw, shape in np.ndindex(2, 4):
        one, other = np.zeros((2, KNOTS, 3))
        args = (throw, shape, 2.5, 1.5, 1.5, 1.0, 0.02, 0.02, 0.05, 0.1)
        lay_out(TABLE, *args, one)
        lay_out(fresh, *args, other)
        assert one == pytest.approx(other, abs=0.03)


@pytest.mark.slow
def test_the_reach_is_where_the_solver_stops():
    """Nine tenths of it can be thrown, a sixth more cannot; the step between nodes is 4 m."""
    throw, shape, wind, share = (
        a.ravel() for a in np.meshgrid([0, 1], np.arange(4), [-6.0, 0.0], [0.9, 1.17])
    )
    longest = np.array(
        [reach(TABLE, t, s, w, 0.0) for t, s, w in zip(throw, shape, wind, strict=True)]
    )
    found = find(Target(throw, shape, share * longest, wind, 0.0 * wind), WORLD, stride=8.0)
    assert (found.solved == (share < 1.0)).all()


def test_a_table_of_another_version_is_refused():
    with pytest.raises(ValueError, match="rebuild"):
        made({"throws": ["backhand"], "shapes": SHAPES})
