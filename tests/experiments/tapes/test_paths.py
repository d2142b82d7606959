"""Reading a tape: throws, ticks, lanes, the covered sector; and where catches lie."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from experiments.tapes.landing import density, off_centre_shares
from experiments.tapes.paths import (
    covered_sector,
    distance_run,
    first_part,
    flights,
    lane,
    time_marks,
)
from tests.experiments.fakes import invented_table, invented_tape


def test_a_throw_is_from_the_hand_to_the_catch() -> None:
    (flight,) = flights(invented_tape())
    assert (flight.release, flight.arrival) == (50, 66)
    assert (flight.thrower, flight.receiver) == (0, 1)


def test_a_throw_nobody_caught_ends_with_the_tape() -> None:
    """The receiver is then the one the record names."""
    tape = invented_tape(completed=False)
    (flight,) = flights(tape)
    assert flight.arrival == len(tape.times) - 1
    assert flight.receiver == 1
    unknown = replace(tape, row={})
    assert flights(unknown)[0].receiver == -1


def test_several_throws_are_found_in_order() -> None:
    tape = invented_tape()
    holder = tape.holder.copy()
    holder[70:75] = -1
    holder[75:] = 2
    first, second = flights(replace(tape, holder=holder))
    assert (first.receiver, second.thrower, second.receiver) == (1, 1, 2)
    assert (second.release, second.arrival) == (69, 75)
    assert first_part(replace(tape, holder=holder)) == (66, first)


def test_ticks_are_where_the_runner_was_at_whole_seconds() -> None:
    """At 4 m/s along x, the ticks of 1 and 2 s are at 4 and 8 m, heading along x."""
    times = np.arange(0.0, 2.51, 0.05)
    path = np.column_stack([4.0 * times, np.zeros_like(times)])
    instants, spots, headings = time_marks(times, path)
    np.testing.assert_allclose(instants, [1.0, 2.0])
    np.testing.assert_allclose(spots, [[4.0, 0.0], [8.0, 0.0]], atol=1e-9)
    np.testing.assert_allclose(headings, [[1.0, 0.0], [1.0, 0.0]], atol=1e-9)


def test_somebody_who_stands_has_no_ticks() -> None:
    times = np.arange(0.0, 3.0, 0.05)
    assert len(time_marks(times, np.ones((len(times), 2)))[0]) == 0
    assert distance_run(np.ones((9, 2))) == 0.0


def test_the_lane_is_as_wide_as_asked_along_the_flight() -> None:
    tape = invented_tape()
    (flight,) = flights(tape)
    outline = lane(tape, flight, width=2.0)
    half = len(outline) // 2
    gaps = np.hypot(*(outline[:half] - outline[half:][::-1]).T)
    np.testing.assert_allclose(gaps, 2.0, atol=1e-9)


def test_the_sector_lies_between_its_bearings() -> None:
    """Bearings from downfield, positive to the right: 90 degrees is along +x."""
    tape = invented_tape()
    reach = np.tile(np.radians([0.0, 90.0]), (len(tape.times), 1))
    outline = covered_sector(replace(tape, mark_reach=reach), 0, radius=5.0)
    np.testing.assert_allclose(outline[0], [0.0, 30.0])
    np.testing.assert_allclose(outline[1], [0.0, 35.0], atol=1e-9)
    np.testing.assert_allclose(outline[-1], [5.0, 30.0], atol=1e-9)
    assert len(covered_sector(tape, 55, radius=5.0)) == 0


def test_a_normal_cloud_has_the_known_areas() -> None:
    """Half of a round normal cloud lies within 1.177 of its deviation, 90 % within 2.146.

    The radius of a share p is sd * sqrt(-2 ln(1 - p)) (Rayleigh distribution); smoothing adds a
    few per cent to it.
    """
    cloud = np.random.default_rng(5).normal([0.0, 40.0], 2.0, (20_000, 2))
    found = density(cloud)
    assert found is not None
    cell = (found.x[1] - found.x[0]) ** 2
    for share, wanted in ((0.5, 2.355), (0.9, 4.292)):
        area = float((found.share > found.levels[share]).sum()) * cell
        assert np.sqrt(area / np.pi) == pytest.approx(wanted, rel=0.06)
    assert float(found.share.sum()) * cell == pytest.approx(1.0, abs=0.01)


def test_density_is_mirrored_with_the_points() -> None:
    points = np.random.default_rng(6).normal(3.0, 2.0, (500, 2))
    one, other = density(points), density(points * [-1.0, 1.0])
    assert one is not None
    assert other is not None
    np.testing.assert_allclose(one.share, other.share[:, ::-1], atol=1e-12)


def test_a_few_points_claim_no_area() -> None:
    assert density(np.zeros((19, 2))) is None


def test_off_centre_shares_are_of_the_catches() -> None:
    table = invented_table()
    found = off_centre_shares(table, 18.5)
    assert found.n == int(table["completed"].sum())
    assert found.share.sum() + found.goals.sum() == pytest.approx(1.0)
    assert found.goals.sum() == pytest.approx(table["goal"].sum() / found.n)
    assert found.median == pytest.approx(table["off_centre_m"].median())
    nothing = off_centre_shares(table[~table["completed"]], 18.5)
    assert nothing.n == 0
    assert np.isnan(nothing.median)
