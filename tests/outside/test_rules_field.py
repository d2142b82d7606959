"""Field sizes and counts against the published rules.

Sources (published): WFDF Rules of Ultimate 2021-24, rules 2.1, 2.3, 2.4, 2.5, 5.1, 9.1, 9.3 and
13.2.2; USA Ultimate Official Rules (field 110 x 40 yd); WFDF beach 5-a-side and EUF indoor sizes.
"""

import pytest

from sim.field import named

YARD = 0.9144


@pytest.mark.parametrize(
    ("name", "total", "width", "end_zone", "players", "stall", "radius"),
    [
        ("wfdf", 100, 37, 18, 7, 10, 3),
        ("usau", 110 * YARD, 40 * YARD, 20 * YARD, 7, 10, 10 * 0.3048),
        ("beach", 75, 25, 15, 5, 10, 3),
        ("indoor", 40, 20, 6, 5, 8, 3),
    ],
)
def test_sizes_and_counts(name, total, width, end_zone, players, stall, radius):
    field = named(name)
    low, high = field.back_lines
    assert high - low == pytest.approx(total)
    assert field.width == pytest.approx(width)
    assert field.end_zone == pytest.approx(end_zone)
    assert (field.players, field.stall) == (players, stall)
    assert field.stall_radius == pytest.approx(radius)
    assert field.name == name


@pytest.mark.parametrize(("name", "central"), [("wfdf", 64), ("usau", 70 * YARD)])
def test_central_zone(name, central):
    assert named(name).goal_line == pytest.approx(central)


@pytest.mark.parametrize(("name", "in_from_line"), [("wfdf", 18), ("usau", 20 * YARD)])
def test_brick_marks_lie_an_end_zone_length_in_from_each_goal_line(name, in_from_line):
    field = named(name)
    (x0, y0), (x1, y1) = field.brick_points
    assert (x0, x1) == (0, 0)
    assert y0 == pytest.approx(in_from_line)
    assert field.goal_line - y1 == pytest.approx(in_from_line)


def test_perimeter_lines_are_out_and_the_goal_line_is_not_end_zone():
    """WFDF 2.3 and 2.4."""
    field = named("wfdf")
    assert not field.in_bounds(18.5, 30)
    assert not field.in_bounds(0, -18)
    assert not field.in_bounds(0, 82)
    assert field.in_bounds(0, 64)
    assert not field.in_end_zone(0, 64)
    assert field.in_end_zone(0, 64.01)


def test_carried_out_pivots_where_the_perimeter_was_crossed():
    """WFDF 11.3.2.1: caught in bounds at 1 m from the sideline, carried out running at 45 deg."""
    x, y = named("wfdf").where_crossed(17.5, 40, 20.5, 43)
    assert (float(x), float(y)) == pytest.approx((18.5, 41))
