"""The field: bounds, zones, brick marks, crossings; sizes that make no sense are refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.field import FIELDS, Field, named

FIELD = named("wfdf")
inside = {
    "x": st.floats(-18.4, 18.4),
    "y": st.floats(-17.9, 81.9),
}
anywhere = st.floats(-200, 200)


@pytest.mark.parametrize("field", FIELDS.values(), ids=list(FIELDS))
def test_every_perimeter_line_is_out_and_a_hair_inside_is_in(field):
    hair = 1e-9
    low, high = field.back_lines
    middle = field.length / 2
    side = field.half_width
    assert not field.in_bounds([side, -side, 0, 0], [middle, middle, low, high]).any()
    near_x = [side - hair, hair - side, 0, 0]
    assert field.in_bounds(near_x, [middle, middle, low + hair, high - hair]).all()


def test_a_point_on_the_goal_line_is_no_goal_and_one_past_it_is():
    y = [FIELD.goal_line, FIELD.goal_line + 1e-9, FIELD.back_lines[1], -5.0]
    assert FIELD.in_end_zone(np.zeros(4), y).tolist() == [False, True, False, False]
    assert not FIELD.in_end_zone(FIELD.half_width, 70.0)


def test_distance_to_the_nearer_sideline():
    assert FIELD.sideline_distance([0.0, 18.5, -20.0, -10.0]).tolist() == [18.5, 0.0, -1.5, 8.5]


def test_where_a_path_leaves_on_each_side():
    x, y = FIELD.where_crossed(
        [10.0, -10.0, 0.0, 3.0, 0.0], [30.0, 30.0, 80.0, -16.0, 30.0], [20.0, -20.0, 0.0, 3.0, 5.0],
        [40.0, 40.0, 84.0, -20.0, 31.0],
    )  # fmt: skip
    np.testing.assert_allclose(x[:4], [18.5, -18.5, 0.0, 3.0])
    np.testing.assert_allclose(y[:4], [38.5, 38.5, 82.0, -18.0])
    assert np.isnan(x[4])
    assert np.isnan(y[4])


def test_a_path_that_starts_outside_left_where_it_started():
    x, y = FIELD.where_crossed(19.0, 30.0, 0.0, 30.0)
    assert (float(x), float(y)) == (19.0, 30.0)


@given(**inside, x1=anywhere, y1=anywhere)
def test_a_crossing_lies_on_the_perimeter_and_on_the_path(x, y, x1, y1):
    cx, cy = FIELD.where_crossed(x, y, x1, y1)
    if FIELD.in_bounds(x1, y1):
        assert np.isnan(cx)
        return
    low, high = FIELD.back_lines
    assert abs(cx) == FIELD.half_width or cy in (low, high)
    assert abs(cx) <= FIELD.half_width + 1e-9
    assert low - 1e-9 <= cy <= high + 1e-9
    across = (cx - x) * (y1 - y) - (cy - y) * (x1 - x)
    assert abs(across) < 1e-7 * (1 + abs(x1) + abs(y1)) ** 2
    assert (cx - x) * (x1 - x) + (cy - y) * (y1 - y) >= 0


@given(**inside, x1=anywhere, y1=anywhere)
def test_a_mirrored_path_leaves_at_the_mirrored_point_bit_for_bit(x, y, x1, y1):
    cx, cy = FIELD.where_crossed(x, y, x1, y1)
    mx, my = FIELD.where_crossed(-x, y, -x1, y1)
    assert np.array_equal(mx, -cx, equal_nan=True)
    assert np.array_equal(my, cy, equal_nan=True)


def test_any_size_is_allowed_within_reason():
    field = Field(length=50, width=30, end_zone=10, players=6, stall=7, name="school yard")
    assert field.brick_points == ((0.0, 10), (0.0, 40))
    assert field.back_lines == (-10, 60)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"length": 0.0}, "length is 0 m; allowed is 10 to 150 m"),
        ({"width": -3.0}, "width is -3 m"),
        ({"end_zone": float("nan")}, "end_zone is nan; it must be a finite number"),
        ({"players": 2.5}, "players is 2.5; it must be a whole number"),
        ({"stall": 2}, "stall is 2 count"),
        ({"stall_radius": 30.0}, "stall_radius is 30 m"),
    ],
)
def test_a_size_that_makes_no_sense_is_refused_in_plain_words(wrong, words):
    with pytest.raises(ValueError, match=words):
        Field(**wrong)


def test_an_unknown_standard_is_refused_and_the_known_ones_named():
    with pytest.raises(ValueError, match="'snow'; there are wfdf, usau, beach, indoor"):
        named("snow")
