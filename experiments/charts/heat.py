"""A measure over two settings: the map of where a plan works."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from experiments.charts.style import INK, LINES, Style, dress, ink_on, new_axes, percent_axis
from experiments.words.looks import HARDLY
from experiments.words.wording import minus

# Even in lightness from dark to light, so it reads the same in grey and with colour blindness.
MAP = "cividis"
# Over a cell whose number is mostly that of another look; the number keeps a patch of paper.
HATCHED: dict[str, Any] = {"fill": False, "edgecolor": "white", "hatch": "//", "linewidth": 0.0}


def heat(
    grid: pd.DataFrame,
    ax: Axes | None = None,
    *,
    across: str,
    up: str,
    across_unit: str = "",
    up_unit: str = "",
    measure: str = "completed",
    share: bool = True,
    mark: str | None = None,
    hatch: str | None = None,
    hatch_words: str = HARDLY,
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw a heat map with the number in each cell where there is room for it.

    Parameters
    ----------
    grid : columns `across`, `up` and `estimate`, one row a cell; a missing cell stays empty.
    ax : axes to draw on; None makes a figure.
    across, up : the columns that are the two settings, and the words of the axes.
    across_unit, up_unit : their units.
    measure : what the numbers are.
    share : True when they are shares, shown in per cent.
    mark : name of a column of true and false; cells where it is true are outlined, as good as the best.
    hatch, hatch_words : the same for cells that are hatched, and what that means.
    title : of the chart.
    style : sizes.
    """
    style = style or Style()
    if ax is None:
        ax = new_axes(style)
    table = grid.pivot(index=up, columns=across, values="estimate").sort_index().sort_index(axis=1)
    values = np.ma.masked_invalid(table.to_numpy(dtype=float))
    columns, rows = len(table.columns), len(table.index)
    norm = colours_of(values, share=share)
    mesh = ax.pcolormesh(
        np.arange(columns + 1) - 0.5,
        np.arange(rows + 1) - 0.5,
        values,
        cmap=MAP,
        norm=norm,
        edgecolor="white",
        linewidth=0.4 * style.sizes.line,
    )
    mesh.set_gid("cells")
    if columns <= (10 if style.size == "page" else 8) and rows <= 12:
        cell_numbers(ax, values, norm, style, share=share)
    if mark is not None:
        outline = {"fill": False, "edgecolor": INK, "linewidth": 1.6 * style.sizes.line}
        _cells(ax, grid, table, across, up, mark, 0.46, gid="outlined cell", **outline)
    if hatch is not None:
        _cells(ax, grid, table, across, up, hatch, 0.5, gid="hatched cell", **HATCHED)
    bar = ax.figure.colorbar(mesh, ax=ax, pad=0.02)
    if share:
        percent_axis(bar.ax.yaxis)
    bar.ax.tick_params(labelsize=style.sizes.text)
    bar.set_label(measure, fontsize=style.sizes.text, color=INK)
    bar.outline.set_edgecolor(LINES)  # type: ignore[operator]
    _ticks(ax, table)
    for spine in ax.spines.values():
        spine.set_visible(False)
    words = [f"{n} ({unit})" if unit else n for n, unit in ((across, across_unit), (up, up_unit))]
    if mark is not None:
        words[0] += "\noutlined: as good as the best"
    if hatch is not None and grid[hatch].any():
        words[0] += f"\nhatched: {hatch_words}"
    dress(ax, style, title=title, x=words[0], y=words[1])
    return ax


def _ticks(ax: Axes, table: pd.DataFrame) -> None:
    """Values of the settings at the cells, some left out when they are many."""
    for axis, names, most in ((ax.xaxis, table.columns, 9), (ax.yaxis, table.index, 12)):
        step = -(-len(names) // most)
        spots = np.arange(0, len(names), step)
        axis.set_ticks(spots, [minus(f"{names[int(i)]:.4g}") for i in spots])


def cell_numbers(
    ax: Axes, values: np.ma.MaskedArray, norm: Normalize, style: Style, *, share: bool
) -> None:
    """Write each value in its cell, light on dark and dark on light."""
    shown = 100.0 * values if share else values
    form = f".{places(shown)}f"
    for row in range(values.shape[0]):
        for column in range(values.shape[1]):
            if np.ma.getmaskarray(values)[row, column]:
                continue
            paper = colormaps[MAP](norm(values[row, column]))
            ax.text(
                column,
                row,
                minus(f"{float(shown[row, column]):{form}}"),
                ha="center",
                va="center",
                fontsize=style.sizes.text,
                color=ink_on(paper),
                bbox={"facecolor": paper, "edgecolor": "none", "pad": 1.0},
                gid="number",
            )


def colours_of(values: np.ndarray, *, share: bool) -> Normalize:
    """From value to colour: shares from 0 to 100 %, so that two charts can be compared by eye."""
    if share:
        return Normalize(0.0, 1.0)
    return Normalize(float(np.nanmin(values)), float(np.nanmax(values)) + 1e-9)


def places(shown: np.ndarray) -> int:
    """Digits after the point that tell the values of a table apart, 1 at least and 3 at most."""
    spread = float(np.ptp(np.ma.masked_invalid(shown).compressed())) if shown.size else 0.0
    return 1 if spread == 0.0 else min(max(1 - math.floor(math.log10(spread)), 1), 3)


def _cells(
    ax: Axes,
    grid: pd.DataFrame,
    table: pd.DataFrame,
    across: str,
    up: str,
    flags: str,
    half: float,
    **look: Any,
) -> None:
    """A frame of half a width around each cell whose flag is set."""
    columns, rows = list(table.columns), list(table.index)
    for _, cell in grid[grid[flags].astype(bool)].iterrows():
        corner = columns.index(cell[across]) - half, rows.index(cell[up]) - half
        ax.add_patch(Rectangle(corner, 2 * half, 2 * half, **look))
