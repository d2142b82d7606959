"""Throws from the side and from above, as the table of flights has them."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes

from experiments.charts.flights import flights
from experiments.charts.style import Style
from sim.flight.lookup import duration, lay_out, load_table
from sim.flight.shapes import SHAPES
from tests.experiments.looking import cut_off, overlapping


def _line(ax: Axes, gid: str) -> np.ndarray:
    (line,) = [one for one in ax.lines if one.get_gid() == gid]
    return np.column_stack([np.asarray(part, dtype=float) for part in line.get_data()])


def test_a_flight_ends_over_its_distance_at_catching_height() -> None:
    """To a millimetre."""
    side, top = flights(20.0)
    table = load_table()
    for code, shape in enumerate(SHAPES):
        end = _line(side, f"flight {shape}")[-1]
        np.testing.assert_allclose(end, [20.0, table.catch_height], atol=1e-3)
        np.testing.assert_allclose(_line(top, f"flight {shape}")[-1], [20.0, 0.0], atol=1e-3)
        words = [text.get_text() for text in side.get_legend().get_texts()]
        assert words[code] == f"{shape}: {duration(table, 0, code, 20.0, 0.0, 0.0):.1f} s"


def test_a_dot_stands_where_the_disc_is_each_half_second() -> None:
    side, _ = flights(20.0, shapes=["flat"])
    dots, table, knots = _line(side, "dots flat"), load_table(), np.zeros((25, 3))
    assert len(dots) == int(np.ceil(duration(table, 0, 0, 20.0, 0.0, 0.0) / 0.5)) + 1
    step = lay_out(table, 0, 0, 20.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, knots)
    half = [np.interp(0.5, step * np.arange(25), knots[:, axis]) for axis in (0, 2)]
    np.testing.assert_allclose(dots[1], half, atol=0.05)


def test_a_left_hander_throws_the_mirror_image_in_mirrored_wind() -> None:
    right = flights(15.0, "forehand", wind=(2.0, 3.0))[1]
    left = flights(15.0, "forehand", wind=(2.0, -3.0), hand=-1)[1]
    for shape in SHAPES:
        one, other = _line(right, f"flight {shape}"), _line(left, f"flight {shape}")
        np.testing.assert_array_equal(one * [1.0, -1.0], other)


def test_an_outside_in_backhand_swings_out_to_the_throwing_side_first() -> None:
    """A right-hander's outside is the left for a backhand, the right for a forehand.

    Common practice. On the picture the right of the throw is below.
    """
    for throw, side in (("backhand", -1.0), ("forehand", 1.0)):
        top = flights(20.0, throw, ["outside-in"])[1]
        assert side * _line(top, "flight outside-in")[20:40, 1].mean() > 0.3
        low, high = top.get_ylim()
        assert low > high


def test_lengths_are_in_the_units_asked_for_and_what_is_out_of_reach_is_told() -> None:
    side, _ = flights(20.0, shapes=["flat"], style=Style(units="yd", size="clinic"))
    assert _line(side, "flight flat")[-1, 0] == pytest.approx(20.0 / 0.9144, abs=1e-3)
    far, _ = flights(150.0, shapes=["flat"])
    assert ", reaches " in far.get_legend().get_texts()[0].get_text()


@pytest.mark.parametrize("size", ["page", "clinic"])
def test_nothing_overlaps_or_is_cut(size: str) -> None:
    figure = flights(35.0, wind=(-3.0, 3.0), style=Style(size=size))[0].figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []


def test_what_there_is_not_is_told() -> None:
    with pytest.raises(ValueError, match="found 'hammer'; allowed are backhand, forehand"):
        flights(20.0, "hammer")
    with pytest.raises(ValueError, match="found 'wobbly'"):
        flights(20.0, shapes=["wobbly"])
