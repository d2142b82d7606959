"""The place where most catches are, enlarged under the panel of a field chart."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure
from matplotlib.offsetbox import AnchoredOffsetbox
from matplotlib.patches import Rectangle

from experiments.charts.field import Window
from experiments.charts.outcomes import draw_outcomes
from experiments.charts.style import INK, LINES, OFFENCE, Style
from experiments.tapes.landing import Density, caught_points, density

# Catches that spread over more than this share of the field's width need no enlargement.
WIDE = 0.35
LEAST = 3.0  # m, side of the smallest place that is enlarged
ROOM = 1.6  # inches, height of the smallest enlargement worth having


def enlarge(ax: Axes, box: AnchoredOffsetbox, table: pd.DataFrame, style: Style) -> Axes | None:
    """Draw the place of nine in ten catches again, larger, under the panel beside the field.

    Parameters
    ----------
    ax : the field, laid out with `box`, its panel, at the right.
    table : rows of rehearsals.
    style : units, sizes and direction.

    Returns
    -------
    The new axes; None when there are too few catches, they are not close together, or there is no
    room.
    """
    caught = caught_points(table)
    found = density(caught, inside=(0.5, 0.9))
    figure = ax.figure
    assert isinstance(figure, Figure)
    if found is None:
        return None
    window = _place(caught)
    across = abs(float(np.diff(ax.get_xlim() if style.upright else ax.get_ylim())[0]))
    if float(style.length(window.right - window.left)) > WIDE * across:
        return None
    spot = _free(figure, box, style)
    if spot is None:
        return None
    small = figure.add_axes(spot, gid="enlarged")
    small.set_in_layout(False)
    small.set_anchor("NW")
    for share, line in ((0.5, "-"), (0.9, "--")):
        draw_outline(small, found, share, line, style)
    draw_outcomes(table, small, style=style, window=window, most=150)
    _frame(small, ax, window, style)
    return small


def draw_outline(ax: Axes, found: Density, share: float, line: str, style: Style) -> ContourSet:
    """Outline the smallest area that holds this share of the catches."""
    return ax.contour(
        *style.place(*np.meshgrid(found.x, found.y)),
        found.share,
        levels=[found.levels[share]],
        colors=[OFFENCE],
        linestyles=[line],
        linewidths=[1.4 * style.sizes.line],
        zorder=4,
    )


def _place(caught: np.ndarray) -> Window:
    """A square, in metres, around the middle nineteen of twenty catches."""
    low, high = np.quantile(caught, [0.025, 0.975], axis=0)
    middle = (low + high) / 2.0
    half = max(LEAST, 1.4 * float((high - low).max())) / 2.0
    return Window(
        float(middle[0] - half),
        float(middle[0] + half),
        float(middle[1] - half),
        float(middle[1] + half),
    )


def _free(
    figure: Figure, box: AnchoredOffsetbox, style: Style
) -> tuple[float, float, float, float] | None:
    """The room under the panel, in shares of the figure; a page is made higher to have some."""
    line = style.sizes.text / 72.0
    left, bottom = _corner(figure, box)
    if style.size == "page" and bottom < ROOM + 4.6 * line:
        figure.set_figheight(figure.get_figheight() + ROOM + 4.6 * line - bottom)
        left, bottom = _corner(figure, box)
    wide, high = figure.get_size_inches()
    side = min(bottom - 4.5 * line, wide - left - 0.15)
    if side < ROOM:
        return None
    return left / wide, (bottom - 2.4 * line - side) / high, side / wide, side / high


def _corner(figure: Figure, box: AnchoredOffsetbox) -> tuple[float, float]:
    """Left end and lower end of the panel, in inches."""
    canvas: Any = figure.canvas
    figure.draw_without_rendering()
    extent = box.get_window_extent(canvas.get_renderer())
    return extent.x0 / figure.dpi, extent.y0 / figure.dpi


def _frame(small: Axes, ax: Axes, window: Window, style: Style) -> None:
    """The same box on both axes, and how long its side is."""
    u, v = style.place([window.left, window.right], [window.low, window.high])
    small.set_xlim(float(u.min()), float(u.max()))
    small.set_ylim(float(v.min()), float(v.max()))
    small.set_aspect("equal")
    small.set_xticks([])
    small.set_yticks([])
    for spine in small.spines.values():
        spine.set_color(LINES)
        spine.set_linewidth(style.sizes.line)
    side = float(style.length(window.right - window.left))
    small.set_title(
        f"enlarged: {side:.1f} {style.units} wide",
        fontsize=style.sizes.text,
        color=INK,
        loc="left",
        pad=0.4 * style.sizes.text,
    )
    corner = float(u.min()), float(v.min())
    ax.add_patch(
        Rectangle(
            corner,
            side,
            side,
            facecolor="none",
            edgecolor=LINES,
            linewidth=style.sizes.line,
            zorder=6,
            gid="enlarged place",
        )
    )
