"""Where a study ends: the areas that hold most catches, and each failure by its cause.

The place where most catches are is drawn again, enlarged, under the panel.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.offsetbox import AnchoredOffsetbox
from matplotlib.patches import Rectangle

from experiments.charts.field import Window, around, draw_field, draw_marks, show_window
from experiments.charts.outcomes import ENDS, draw_outcomes, outcome_keys
from experiments.charts.panel import Block, Heading, Key, draw_panel
from experiments.charts.style import LINES, OFFENCE, ChartFigure, Style, chart
from experiments.charts.tape import draw_disc
from experiments.tapes.landing import Density, caught_points, density
from experiments.words.measured import headline
from experiments.words.wording import count, percent

# Share of catches inside an outline: its word and its line.
OUTLINES = {0.5: ("half of the catches", "-"), 0.9: ("nine of ten catches", "--")}
# Catches that spread over more than this share of the field's width need no enlargement.
WIDE = 0.35
LEAST = 3.0  # m, side of the smallest place that is enlarged
ROOM = 1.6  # inches, height of the smallest enlargement worth having


@chart
def where(study: Any, ax: Axes | None, style: Style, *, most: int = 400) -> Axes:
    """Draw where the rehearsals of a study ended; failures are thinned to `most` by their number."""
    table = study.table
    field = study.situation.playing_field
    start = table[["start_x_m", "start_y_m"]].to_numpy(float)[0]
    near = np.nanquantile(table[[*ENDS]].to_numpy(float), [0.01, 0.99], axis=0)
    window = around(field, [start, near], least=style.sizes.stretch)
    ax = draw_field(field, ax, style=style, window=window, panel=True)
    caught = caught_points(table)
    found = density(caught, inside=tuple(OUTLINES))
    keys: list[Block] = [draw_disc(start, ax, style=style, words="disc at the start")]
    if found is not None:
        _areas(ax, found, style)
        for word, line in OUTLINES.values():
            look = {"color": OFFENCE, "linestyle": line, "linewidth": 1.4 * style.sizes.line}
            keys.append(Key(word, "line", look))
    elif len(caught):
        look = {"marker": "o", "color": OFFENCE}
        draw_marks(ax, style, caught, "catches", markersize=style.sizes.dot, **look)
        keys.append(Key("catch", "marker", look))
    plain, goals = (table[table["outcome"] == name] for name in ("completed", "goal"))
    failed = table[~table["completed"].astype(bool)]
    drawn = [
        one
        for rows, some in ((plain, 120), (goals, 60), (failed, most))
        for one in draw_outcomes(rows, ax, style=style, window=window, most=some)
    ]
    style.dress(ax, title=headline(study.situation))
    rate = float(study.completion.estimate)
    told: list[Block] = [
        Heading("Where it ends", large=True),
        f"caught {percent(rate)}, failed {percent(1.0 - rate)}",
        f"of {count(study.n)} rehearsals",
    ]
    box = draw_panel(ax, told, [keys, outcome_keys(drawn, style)], style)
    if found is not None and isinstance(ax.figure, ChartFigure):
        _enlarge(ax, box, table, caught, found, style)
    return ax


def _areas(ax: Axes, found: Density, style: Style) -> None:
    """Shade and outline the smallest areas that hold half and nine tenths of the catches."""
    half, most, top = found.levels[0.5], found.levels[0.9], float(found.share.max())
    if most < half < top:
        grid = style.place(*np.meshgrid(found.x, found.y))
        look: dict[str, Any] = {"levels": [most, half, top], "colors": ["#D5EDE5", "#8FCFB9"]}
        ax.contourf(*grid, found.share, zorder=1.5, **look).set_gid("catch density")
    _outline(ax, found, style)


def _outline(ax: Axes, found: Density, style: Style) -> None:
    """Outline those areas."""
    grid, line = style.place(*np.meshgrid(found.x, found.y)), 1.4 * style.sizes.line
    for share, (_, dashes) in OUTLINES.items():
        look: dict[str, Any] = {"levels": [found.levels[share]], "linestyles": [dashes]}
        drawn = ax.contour(
            *grid, found.share, colors=[OFFENCE], linewidths=[line], zorder=4, **look
        )
        drawn.set_gid(f"outline {share}")


def _enlarge(
    ax: Axes,
    box: AnchoredOffsetbox,
    table: pd.DataFrame,
    caught: np.ndarray,
    found: Density,
    style: Style,
) -> None:
    """Draw the place of nine in ten catches again, larger, under the panel beside the field.

    Nothing where they are not close together, or there is no room.
    """
    # A square around the middle nineteen of twenty catches.
    low, high = np.quantile(caught, [0.025, 0.975], axis=0)
    (x, y), half = (low + high) / 2.0, max(LEAST, 1.4 * (high - low).max()) / 2.0
    window = Window(x - half, x + half, y - half, y + half)
    side = style.length(window.right - window.left)
    across = abs(float(np.diff(ax.get_xlim() if style.upright else ax.get_ylim())[0]))
    figure: Any = ax.figure
    if side > WIDE * across or (spot := _free(figure, box, style)) is None:
        return
    small = figure.add_axes(spot, gid="enlarged")
    small.set_in_layout(False)
    small.set_anchor("NW")
    _outline(small, found, style)
    draw_outcomes(table, small, style=style, window=window, most=150)
    show_window(small, style, window)
    small.set(xticks=[], yticks=[])
    small.spines[:].set(color=LINES, linewidth=style.sizes.line)
    size, words = style.sizes.text, f"enlarged: {side:.1f} {style.units} wide"
    small.set_title(words, fontsize=size, loc="left", pad=0.4 * size)
    look: dict[str, Any] = {"facecolor": "none", "edgecolor": LINES, "linewidth": style.sizes.line}
    corner, look["zorder"] = (small.get_xlim()[0], small.get_ylim()[0]), 6
    ax.add_patch(Rectangle(corner, side, side, gid="enlarged place", **look))


def _free(
    figure: Figure, box: AnchoredOffsetbox, style: Style
) -> tuple[float, float, float, float] | None:
    """The room under the panel, in shares of the figure; a page is made higher to have some."""
    line = style.sizes.text / 72.0
    left, bottom = _corner(figure, box)
    if not style.clinic and bottom < ROOM + 4.6 * line:
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
