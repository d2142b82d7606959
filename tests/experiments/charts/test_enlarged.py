"""The enlargement of the place where most catches are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure

from experiments.charts.style import Style
from experiments.charts.where import where
from tests.experiments.fakes import InventedStudy, invented_table
from tests.experiments.looking import cut_off, overlapping

KINDS = ("completed", "blocked", "dropped", "missed")
STYLES = (Style(), Style(size="clinic"), Style(units="yd", upright=False))


def _study(spread: float) -> InventedStudy:
    table = invented_table()
    caught = table["outcome"] == "completed"
    table.loc[caught, "end_x_m"] = 4.0 + spread * (table.loc[caught, "end_x_m"] - 4.0)
    table.loc[caught, "end_y_m"] = 35.5 + spread * (table.loc[caught, "end_y_m"] - 35.5)
    # On a slide with every outcome in its legend there is no room under it.
    return replace(InventedStudy(), rows=table[table["outcome"].isin(KINDS)])


@pytest.mark.parametrize("style", STYLES, ids=str)
def test_close_catches_are_drawn_again_larger(style: Style) -> None:
    """The enlargement shows the very square that is drawn on the field, at a larger scale."""
    ax = where(_study(0.2), style=style)
    figure = ax.figure
    assert isinstance(figure, Figure)
    (small,) = [one for one in figure.axes if one.get_gid() == "enlarged"]
    (square,) = [one for one in ax.patches if one.get_gid() == "enlarged place"]
    box = square.get_bbox()
    np.testing.assert_allclose(sorted(small.get_xlim()), [box.x0, box.x1])
    np.testing.assert_allclose(sorted(small.get_ylim()), [box.y0, box.y1])
    figure.draw_without_rendering()
    scale = [one.transData.transform([(0, 0), (1, 0)])[:, 0] for one in (ax, small)]
    assert np.ptp(scale[1]) > 2.5 * np.ptp(scale[0])
    # Nine in ten catches are inside it.
    table = _study(0.2).table
    points = table.loc[table["completed"], ["end_x_m", "end_y_m"]].to_numpy()
    u, v = style.place(points[:, 0], points[:, 1])
    inside = (box.x0 <= u) & (u <= box.x1) & (box.y0 <= v) & (v <= box.y1)
    assert inside.mean() > 0.9
    words = small.get_title("left")
    assert f"{square.get_width():.1f} {style.units}" in words
    assert overlapping(figure) == []
    assert cut_off(figure) == []


def test_catches_all_over_the_field_are_not() -> None:
    figure = where(_study(3.0)).figure
    assert isinstance(figure, Figure)
    assert [one for one in figure.axes if one.get_gid() == "enlarged"] == []
