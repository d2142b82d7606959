"""The lines of the field stand where the rules say, in the units and direction asked for."""

from __future__ import annotations

import numpy as np
import pytest

from experiments.charts.field import Window, around, draw_field, whole
from experiments.charts.style import Style
from sim.field import named
from tests.experiments.looking import by_gid, cut_off, overlapping, points, words


def corners(ax, gid: str) -> np.ndarray:
    (patch,) = by_gid(ax, gid)
    return patch.get_xy()


def test_lines_of_the_wfdf_field() -> None:
    """100 x 37 m with 18 m end zones and bricks 18 m in (WFDF rules 2.1, 2.5)."""
    ax = draw_field(named("wfdf"))
    outline = corners(ax, "perimeter")
    assert np.ptp(outline[:, 0]) == pytest.approx(37.0)
    assert np.ptp(outline[:, 1]) == pytest.approx(100.0)
    assert sorted(points(ax, "brick mark").tolist()) == [[0.0, 18.0], [0.0, 46.0]]
    assert sorted(set(points(ax, "goal line")[:, 1])) == [0.0, 64.0]
    assert np.ptp(corners(ax, "end zone attacked")[:, 1]) == pytest.approx(18.0)


def test_yards_of_the_usau_field() -> None:
    """110 x 40 yd with end zones of 20 yd (USA Ultimate Official Rules)."""
    ax = draw_field(named("usau"), style=Style(units="yd"))
    outline = corners(ax, "perimeter")
    assert np.ptp(outline[:, 0]) == pytest.approx(40.0)
    assert np.ptp(outline[:, 1]) == pytest.approx(110.0)
    assert "yards from the goal line defended" in words(ax.figure)


@pytest.mark.parametrize("upright", [True, False])
@pytest.mark.parametrize("size", ["page", "clinic"])
@pytest.mark.parametrize("name", ["wfdf", "usau", "beach", "indoor"])
def test_nothing_overlaps_or_is_cut(name: str, size: str, upright: bool) -> None:
    ax = draw_field(named(name), style=Style(size=size, upright=upright))
    assert overlapping(ax.figure) == []
    assert cut_off(ax.figure) == []
    assert ax.get_aspect() == 1.0


def test_the_window_holds_the_points_and_the_full_width() -> None:
    window = around(named("wfdf"), [np.array([[0.0, 30.0], [3.0, 55.0], [np.nan, 2.0]])])
    assert window.left < -18.5
    assert window.right > 18.5
    assert window.low == 26.0
    assert window.high == 59.0
    assert window.holds([0.0, 0.0], [30.0, 60.0]).tolist() == [True, False]


def test_the_window_is_never_tiny_and_never_beyond_the_field() -> None:
    one = around(named("wfdf"), [np.array([[0.0, 30.0]])])
    assert one.high - one.low == pytest.approx(26.0)
    back = around(named("wfdf"), [np.array([[0.0, 0.0], [0.0, 81.9]])])
    assert back.high == whole(named("wfdf")).high
    assert around(named("wfdf"), [np.full((2, 2), np.nan)]) == whole(named("wfdf"))


def test_a_window_at_the_end_of_the_field_keeps_its_length() -> None:
    end = around(named("wfdf"), [np.array([[0.0, 80.0]])], least=40.0)
    assert (end.low, end.high) == (44.0, 84.0)


def test_limits_follow_the_window() -> None:
    ax = draw_field(named("wfdf"), window=Window(-20.0, 20.0, 10.0, 50.0))
    assert ax.get_ylim() == (10.0, 50.0)
    ax = draw_field(
        named("wfdf"), window=Window(-20.0, 20.0, 10.0, 50.0), style=Style(upright=False)
    )
    assert ax.get_xlim() == (10.0, 50.0)
    assert ax.get_ylim() == (-20.0, 20.0)
