"""A measure over two settings: the map of where a plan works."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from experiments.charts.style import INK, LINES, Style, chart, ink_on, percent_axis
from experiments.studies.vary import Varied, first_look
from experiments.words.looks import HALF, HARDLY
from experiments.words.measured import axis_of, headline, measure_axis
from experiments.words.wording import minus

# Even in lightness from dark to light, so it reads the same in grey and with colour blindness.
MAP = "cividis"


@chart
def heat(found: Varied, ax: Axes | None, style: Style) -> Axes:
    """Draw a measure over two settings, with the number in each cell where there is room for it.

    Cells as good as the best are outlined; those where something else than the plan's first look
    was thrown are hatched.
    """
    ax = style.axes(ax)
    measure, across, up = found.measure, *found.settings
    grid = found.table()
    grid["hardly"] = grid["first_look"] < HALF

    def cells(name: str) -> pd.DataFrame:
        return grid.pivot(index=up.path, columns=across.path, values=name)

    values = np.ma.masked_invalid(cells(measure.name).to_numpy(float))
    rows, columns = values.shape
    norm = colours_of(values, share=measure.share)
    draw_cells(ax, values, norm, 0.4 * style.sizes.line)
    if columns <= (8 if style.clinic else 10) and rows <= 12:
        shown = 100.0 * values if measure.share else values
        form = f".{places(shown)}f"
        for row, column in np.argwhere(~np.ma.getmaskarray(values)):
            words = minus(f"{float(shown[row, column]):{form}}")
            cell_number(ax, row, column, words, norm(values[row, column]), patch=True)
    if found.best is not None:
        for row, column in np.argwhere(cells("as_good").to_numpy(bool)):
            look: dict[str, Any] = {"fill": False, "edgecolor": INK, "gid": "outlined cell"}
            look["linewidth"] = 1.6 * style.sizes.line
            ax.add_patch(Rectangle((column - 0.46, row - 0.46), 0.92, 0.92, **look))
    hatch_cells(ax, cells("hardly").to_numpy(bool))
    words = measure_axis(measure, found.situation)
    colour_bar(ax.figure, norm, ax, words, style, share=measure.share)
    table = cells(measure.name)
    for axis, names, most in ((ax.xaxis, table.columns, 9), (ax.yaxis, table.index, 12)):
        # Some values are left out when they are many.
        spots = np.arange(0, len(names), -(-len(names) // most))
        axis.set_ticks(spots, [minus(f"{names[int(i)]:.4g}") for i in spots])
    words = axis_of(across)
    if found.best is not None:
        words += "\noutlined: as good as the best"
    if grid["hardly"].any():
        words += f"\nhatched: {first_look(found.situation)} {HARDLY}"
    style.dress(ax, title=headline(found.situation), x=words, y=axis_of(up))
    ax.spines[:].set_visible(False)
    return ax


def draw_cells(ax: Axes, values: np.ndarray, norm: Normalize, gap: float) -> None:
    """Colour the cells of a table; the first row is at 0."""
    rows, columns = values.shape
    edges = np.arange(columns + 1) - 0.5, np.arange(rows + 1) - 0.5
    mesh = ax.pcolormesh(*edges, values, cmap=MAP, norm=norm, edgecolor="white", linewidth=gap)
    mesh.set_gid("cells")


def cell_number(
    ax: Axes, row: int, column: int, words: str, colour: Any, *, patch: bool, **look: Any
) -> None:
    """Write into a cell, light on dark and dark on light; with a patch of its paper under a hatch."""
    paper = colormaps[MAP](colour)
    if patch:
        look["bbox"] = {"facecolor": paper, "edgecolor": "none", "pad": 1.0}
    look |= {"ha": "center", "va": "center", "color": ink_on(paper), "gid": "number"}
    ax.text(column, row, words, **look)


def hatch_cells(ax: Axes, flags: np.ndarray) -> None:
    """Hatch each cell whose flag is set: its number is mostly that of another look."""
    look: dict[str, Any] = {"fill": False, "edgecolor": "white", "hatch": "//", "linewidth": 0.0}
    for row, column in np.argwhere(flags):
        spot = column - 0.5, row - 0.5
        ax.add_patch(Rectangle(spot, 1.0, 1.0, gid="hatched cell", **look))


def colour_bar(
    figure: Any, norm: Normalize, beside: Any, words: str, style: Style, *, share: bool, **look: Any
) -> None:
    """Draw the bar that says what the colours mean, beside axes."""
    bar = figure.colorbar(ScalarMappable(norm, MAP), ax=beside, pad=0.02, **look)
    if share:
        percent_axis(bar.ax.yaxis)
    bar.ax.tick_params(labelsize=style.sizes.text)
    bar.set_label(words, fontsize=style.sizes.text, color=INK)
    bar.outline.set_edgecolor(LINES)


def colours_of(values: np.ndarray, *, share: bool) -> Normalize:
    """From value to colour: shares from 0 to 100 %, so that two charts can be compared by eye."""
    if share:
        return Normalize(0.0, 1.0)
    return Normalize(float(np.nanmin(values)), float(np.nanmax(values)) + 1e-9)


def places(shown: np.ndarray) -> int:
    """Digits after the point that tell the values of a table apart, 1 at least and 3 at most."""
    spread = float(np.ptp(np.ma.masked_invalid(shown).compressed())) if shown.size else 0.0
    return 1 if spread == 0.0 else min(max(1 - math.floor(math.log10(spread)), 1), 3)
