"""The mark: clearances worked out by hand, chances that only fall with room, and the mirror."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.marking import (
    MarkBody,
    clearance,
    covered_sector,
    pressure,
    release_point,
    slid,
    stop_chance,
)

BODY = MarkBody()
rooms = np.linspace(0.0, 3.0, 601)
low_throw = np.zeros(len(rooms), dtype=bool)
places = st.tuples(st.floats(-20, 20), st.floats(-20, 20)).map(np.array)


def point(x: float, y: float) -> np.ndarray:
    return np.array([x, y])


@pytest.mark.parametrize(
    ("aim", "side", "expected"),
    [
        ((0.0, 10.0), 1.0, (0.8 * np.sqrt(0.75), 0.4)),  # to the right, half a lunge forward
        ((0.0, 10.0), -1.0, (-0.8 * np.sqrt(0.75), 0.4)),
        ((10.0, 0.0), 1.0, (0.4, -0.8 * np.sqrt(0.75))),  # facing right, the right hand is behind
        ((0.0, -10.0), 1.0, (-0.8 * np.sqrt(0.75), -0.4)),  # facing back, it is at -x
    ],
)
def test_the_disc_leaves_the_hand_beside_the_thrower(aim, side, expected):
    found = release_point(point(0, 0), point(*aim), np.array(side), np.array(0.8))
    assert found == pytest.approx(expected, abs=1e-12)
    assert np.hypot(*found) == pytest.approx(0.8)  # the whole lunge, whichever way


@pytest.mark.parametrize(
    ("mark", "room"),
    [
        ((0.5, 1.0), 0.5),  # beside the line, 1 m on
        ((-0.5, 1.0), 0.5),
        ((0.0, 1.1), 0.0),  # in the line
        ((1.0, 0.0), 1.0),  # level with the hand
        ((0.3, -0.4), 0.5 + 0.45),  # 0.5 m off, and left behind: a whole share of `passed`
        ((0.0, -0.15), 0.15 + 0.45 / 2),  # half of it at 0.15 m
    ],
)
def test_clearance_by_hand(mark, room):
    assert BODY.passed == 0.45
    found = clearance(point(0, 0), point(0, 10), point(*mark), BODY)
    assert found == pytest.approx(room, abs=1e-12)


@given(release=places, aim=places, mark=places, turn=st.floats(-np.pi, np.pi))
def test_clearance_does_not_depend_on_where_and_which_way(release, aim, mark, turn):
    if np.hypot(*(aim - release)) < 1e-3:
        return
    rotate = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    moved = [rotate @ (p - release) for p in (release, aim, mark)]
    assert clearance(*moved, BODY) == pytest.approx(clearance(release, aim, mark, BODY), abs=1e-6)


def test_the_chance_to_stop_a_line_only_falls_with_room():
    chance = stop_chance(rooms, low_throw, BODY)
    assert (np.diff(chance) <= 0.0).all()
    assert chance[rooms <= BODY.body] == pytest.approx(BODY.stop_at_body)
    assert (chance[rooms >= BODY.stretch] == 0.0).all()
    between = (rooms > BODY.body + 0.01) & (rooms < BODY.stretch - 0.01)
    assert (np.diff(chance[between]) < 0.0).all()
    assert ((chance >= 0.0) & (chance <= 1.0)).all()


def test_a_throw_over_the_top_keeps_a_share_of_the_danger():
    assert stop_chance(rooms, ~low_throw, BODY) == pytest.approx(
        BODY.over_reach * stop_chance(rooms, low_throw, BODY)
    )


def test_pressure_only_falls_with_room_and_reaches_further_than_the_hand():
    bother = pressure(rooms, BODY)
    assert (np.diff(bother) <= 0.0).all()
    assert ((bother >= 0.0) & (bother <= 1.0)).all()
    assert bother[rooms <= BODY.stretch / 2] == pytest.approx(1.0)
    assert (bother[rooms >= BODY.bother] == 0.0).all()
    out_of_hand = (rooms > BODY.stretch) & (rooms < BODY.bother - 0.01)
    assert (bother[out_of_hand] > 0.0).all()


@pytest.mark.parametrize(
    ("time", "bites", "x"),
    [
        (0.0, False, 0.7),
        (-0.2, False, 0.7),  # a wind-up shorter than the delay: no time to slide
        (0.1, False, 0.7 - 0.2),  # 2 m/s
        (1.0, False, 0.0),  # as far as the line and not across it
        (0.1, True, 0.7 + 0.1),  # the wrong way, at half the speed
    ],
)
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_mark_slides_into_the_line_or_bites_on_a_fake(time, bites, x, side):
    assert BODY.slide == 2.0
    found = slid(
        point(0.7 * side, 0.8), point(0, 0), point(0, 9), np.array(time), np.array(bites), BODY
    )
    assert found == pytest.approx([x * side, 0.8], abs=1e-12)


@given(release=places, aim=places, mark=places, time=st.floats(0.0, 1.0))
def test_sliding_never_leaves_more_room_and_biting_never_less(release, aim, mark, time):
    if np.hypot(*(aim - release)) < 1e-3:
        return
    before = clearance(release, aim, mark, BODY)
    for bites, sign in ((False, 1.0), (True, -1.0)):
        after = slid(mark, release, aim, np.array(time), np.array(bites), BODY)
        assert sign * (before - clearance(release, aim, after, BODY)) >= -1e-6


def test_the_covered_sector_is_what_the_hand_reaches_around_the_mark():
    """A straight line from the thrower's place at the sector's edge passes at arm's length."""
    thrower, mark = point(2.0, 30.0), point(1.3, 30.8)
    low, high = covered_sector(thrower, mark, BODY)
    for bearing in (low, high):
        aim = thrower + 10.0 * np.array([np.sin(bearing), np.cos(bearing)])
        assert clearance(thrower, aim, mark, BODY) == pytest.approx(BODY.stretch)
    assert low < np.arctan2(-0.7, 0.8) < high


def test_a_mark_closer_than_its_arm_covers_half_of_everything():
    low, high = covered_sector(point(0, 0), point(0.0, 0.5), BODY)
    assert high - low == pytest.approx(np.pi)


def test_mirror_images_are_exact():
    """Flipping x flips release points and slid marks, and leaves chances as they are: same bits."""
    rng = np.random.default_rng(5)
    place, aim, mark = rng.uniform(-10, 10, size=(3, 500, 2))
    side, pivot = rng.choice([-1.0, 1.0], 500), rng.uniform(0.2, 1.5, 500)
    time, bites = rng.uniform(0, 0.5, 500), rng.random(500) < 0.3
    flip = np.array([-1.0, 1.0])

    def play(k, side):
        start = release_point(place * k, aim * k, side, pivot)
        chest = slid(mark * k, start, aim * k, time, bites, BODY)
        return start * k, chest * k, clearance(start, aim * k, chest, BODY)

    for one, other in zip(play(1.0, side), play(flip, -side), strict=True):
        assert (one == other).all()
    low, high = covered_sector(place, mark, BODY)
    mirrored_low, mirrored_high = covered_sector(place * flip, mark * flip, BODY)
    assert (mirrored_low == -high).all()
    assert (mirrored_high == -low).all()


@pytest.mark.parametrize("wrong", [{"stop_at_body": 1.2}, {"stretch": 0.1}, {"slide": -1.0}])
def test_settings_outside_their_range_are_refused(wrong):
    with pytest.raises(ValueError, match=next(iter(wrong))):
        MarkBody(**wrong)


@pytest.mark.parametrize("wrong", [{"body": 0.6, "stretch": 0.5}, {"stretch": 1.2, "bother": 0.9}])
def test_an_arm_that_reaches_less_far_than_the_chest_is_refused(wrong):
    """Each value is in its range, but then a line further away would be stopped more often."""
    with pytest.raises(ValueError, match="must be more than"):
        MarkBody(**wrong)
