"""Releases that the solver finds: they get there, and each shape is what its name says."""

from __future__ import annotations

import dataclasses
import math
from functools import cache

import numpy as np
import pytest

from sim.flight import SHAPES, THROWS, ThrowSettings
from sim.flight.shapes import BACKHAND, FLAT, FLOATED, FOREHAND, INSIDE_OUT, OUTER_SIDE, OUTSIDE_IN
from sim.flight.solver import find, solve
from sim.flight.targets import Target, World, fly_to, misses, release_of

# Arithmetic alone, used only to build the stored flights; a test of the lookup goes that way as well.
pytestmark = pytest.mark.slow
WORLD = World()
EVERY = [(throw, shape) for throw in range(len(THROWS)) for shape in range(len(SHAPES))]


def targets(
    distance: float, along: float = 0.0, across: float = 0.0, kinds: list | None = None
) -> Target:
    """One wanted throw of every throw and shape."""
    throw, shape = np.array(EVERY if kinds is None else kinds).T
    full = np.full(throw.shape, 1.0)
    return Target(throw, shape, distance * full, along * full, across * full)


GETTING_THERE = [
    (3.0, 0.0, 0.0), (12.0, 0.0, 0.0), (12.0, -6.0, 4.0), (30.0, 3.0, -3.0), (43.0, 0.0, 0.0),
]  # fmt: skip
HANGING = [
    (12.5, 0.0, 0.0), (15.0, -6.0, 0.0), (15.0, 0.0, 6.0), (25.0, 6.0, 0.0), (40.0, 0.0, 0.0),
]  # fmt: skip
FLOATED_AND_FLAT = [(throw, shape) for shape in (FLOATED, FLAT) for throw in (BACKHAND, FOREHAND)]


@cache
def _all_flown(cases: tuple, kinds: tuple):
    """Every kind of throw in every case, found in one search: many cost little more than a few."""
    every = [targets(*case, kinds=list(kinds)) for case in cases]
    fields = [field.name for field in dataclasses.fields(Target)]
    whole = Target(*(np.concatenate([getattr(one, name) for one in every]) for name in fields))
    found = find(whole, WORLD)
    assert found.solved.all()
    ((_, flight),) = fly_to(whole, found.angles, WORLD)
    return flight


def flight_of(case: tuple, cases: list, kinds: list):
    """The flights of all kinds of throw in one of several cases."""
    flight, first = _all_flown(tuple(cases), tuple(kinds)), cases.index(case) * len(kinds)
    return dataclasses.replace(flight, states=flight.states[:, :, first : first + len(kinds)])


def flown(target: Target):
    """Solve, and fly what was found on the full equations."""
    found = find(target, WORLD)
    assert found.solved.all()
    ((_, flight),) = fly_to(target, found.angles, WORLD)
    return found, flight


@pytest.mark.parametrize("case", GETTING_THERE)
def test_every_shape_gets_there_at_catching_height(case):
    """Within 1 cm, on the full equations; in calm air and in wind, near and far."""
    target, flight = targets(*case), flight_of(case, GETTING_THERE, EVERY)
    aside, ahead, height = flight.at(flight.first(1, target.distance))
    assert ahead == pytest.approx(case[0], abs=1e-6)
    assert np.abs(aside).max() < 0.01
    assert height == pytest.approx(WORLD.throws.catch_height, abs=0.01)
    assert (flight.landing() > flight.first(1, target.distance)).all()


def test_shapes_are_what_their_names_say():
    """At 20 m in calm air: the flat throw hardly leaves its line; inside-out bows away from the
    side of the body it is thrown from and comes back to it, outside-in the other way."""
    target = targets(20.0)
    found, flight = flown(target)
    middle = flight.at(0.5 * flight.first(1, target.distance))[0]
    for throw in range(len(THROWS)):
        of = {shape: i for i, (t, shape) in enumerate(EVERY) if t == throw}
        side = OUTER_SIDE[throw]
        assert abs(middle[of[FLAT]]) < 0.2
        assert side * middle[of[INSIDE_OUT]] < -0.4
        assert side * middle[of[OUTSIDE_IN]] > 0.4
        assert side * found.angles[1, of[INSIDE_OUT]] > side * found.angles[1, of[OUTSIDE_IN]]


@pytest.mark.parametrize("case", HANGING)
def test_a_floated_throw_passes_above_a_trailing_hand_and_comes_down(case):
    """Above 2.9 m from the middle to three quarters of its way and more, still above 2.4 m at
    0.85 of it, falling at the aim; it is in the air half as long again as the flat one."""
    target = targets(*case, kinds=FLOATED_AND_FLAT)
    flight = flight_of(case, HANGING, FLOATED_AND_FLAT)
    for share, least in ((0.5, 2.9), (0.6, 2.9), (0.75, 2.9), (0.85, 2.3)):
        height = flight.at(flight.first(1, share * target.distance))[2]
        assert (height[:2] > least).all()
    time, flat = flight.first(1, target.distance).reshape(2, 2)
    rows = (time / 0.02).astype(int)
    assert (flight.states[rows, 5, [0, 1]] < -0.5).all()
    assert (time > 1.25 * flat).all()


def test_short_throws_have_touch_and_a_wind_takes_it():
    """6-10 m/s over 3-8 m in calm air (judgement), firmer in a wind, never slower than nearer."""
    settings, short = ThrowSettings(), np.array([3.0, 5.0, 8.0])
    assert settings.speed(short) == pytest.approx([6.1, 8.0, 10.5], abs=0.1)
    assert (np.diff(settings.speed(np.linspace(1, 60, 200))) >= 0).all()
    for along, across in ((6.0, 0.0), (-6.0, 0.0), (0.0, 6.0)):
        assert (settings.speed(short, along, across) > settings.speed(short) + 0.5).all()


def test_throws_are_harder_into_the_wind():
    """Common practice, no source; with the wind behind nobody throws harder than in a calm."""
    settings, far = ThrowSettings(), np.array([20.0, 30.0])
    assert (settings.speed(far, -6.0) > settings.speed(far) + 1.0).all()
    assert settings.speed(far, 6.0) == pytest.approx(settings.speed(far))


def test_a_flat_throw_is_level_on_the_average():
    target = targets(25.0, kinds=[(BACKHAND, FLAT), (FOREHAND, FLAT)])
    _, flight = flown(target)
    tilt = flight.mean(6, flight.first(1, target.distance))
    assert np.degrees(np.abs(tilt)).max() < 0.1


def test_a_forehand_with_the_spin_of_a_backhand_is_its_mirror_image():
    """The two differ in nothing but the side and how fast they spin. To what the search's own
    difference quotients leave, which nudge both to one side; the flights mirror bit for bit."""
    same = ThrowSettings(forehand_spin=ThrowSettings().backhand_spin)
    world = World(throws=same)
    throw, shapes = np.repeat([BACKHAND, FOREHAND], 4), np.tile(np.arange(len(SHAPES)), 2)
    calm, breeze = np.full(8, -1.5), np.repeat([2.5, -2.5], 4)
    found = find(Target(throw, shapes, np.full(8, 18.0), calm, breeze), world)
    assert found.solved.all()
    mirrored = found.angles[:, :4] * np.array([[1], [-1], [-1], [1]])
    assert found.angles[:, 4:] == pytest.approx(mirrored, abs=1e-5)


def test_a_throw_out_of_reach_is_said_to_be():
    found = find(targets(85.0, kinds=[(BACKHAND, FLAT), (FOREHAND, FLOATED)]), WORLD, stride=14.0)
    assert not found.solved.any()


def test_the_search_does_not_depend_on_where_it_begins():
    target = targets(15.0, across=3.0)
    found = find(target, WORLD)
    other = solve(target, WORLD, found.angles + np.array([[0.02], [-0.05], [0.03], [0.0]]))
    assert other.solved.all()
    assert other.angles == pytest.approx(found.angles, abs=2e-3)


def test_a_thrower_holds_the_disc_to_the_wind():
    """Nose down for a fast throw and into the wind, nose up for a slow one, up to a limit."""
    target = targets(10.0, kinds=[(BACKHAND, FLAT), (BACKHAND, FLAT)])
    level = np.zeros((4, 2))
    level[3] = [0.3, -0.3]
    calm = np.asarray(release_of(target, level, WORLD).nose)
    against = np.asarray(release_of(targets(10.0, -8.0, kinds=EVERY[:1]), level[:, :1], WORLD).nose)
    assert calm[1] > calm[0] > against[0]
    slow = release_of(targets(2.0, 3.0, kinds=[(BACKHAND, FLAT)]), level[:, :1], WORLD)
    assert math.degrees(slow.nose[0]) == pytest.approx(WORLD.throws.most_attack)


def test_a_flight_that_falls_short_counts_as_too_low():
    target = targets(60.0, kinds=[(BACKHAND, FLAT)])
    low = misses(target, np.array([[-0.2], [0.0], [0.0], [0.0]]), WORLD)
    lower = misses(target, np.array([[-0.3], [0.0], [0.0], [0.0]]), WORLD)
    assert lower[0, 0] < low[0, 0] < -10.0


def test_settings_out_of_range_are_refused():
    with pytest.raises(ValueError, match="top_speed"):
        ThrowSettings(top_speed=60.0)
