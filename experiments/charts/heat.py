"""A measure over two settings: the map of where a plan works."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.collections import QuadMesh
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from experiments.charts.style import INK, LINES, Style, dress, ink_on, new_axes, percent_axis
from experiments.studies.vary import Varied, first_look
from experiments.words.looks import HALF, HARDLY
from experiments.words.measured import axis_of, headline, measure_axis
from experiments.words.wording import minus

# Even in lightness from dark to light, so it reads the same in grey and with colour blindness.
MAP = "cividis"
# Over a cell whose number is mostly that of another look; the number keeps a patch of paper.
HATCHED: dict[str, Any] = {"fill": False, "edgecolor": "white", "hatch": "//", "linewidth": 0.0}


def heat(found: Varied, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw a measure over two settings, with the number in each cell where there is room for it.

    Cells as good as the best are outlined; those where something else than the plan's first look
    was thrown are hatched.
    """
    style = style or Style()
    if ax is None:
        ax = new_axes(style)
    measure, across, up = found.measure, *found.settings
    grid = found.table()
    grid["hardly"] = grid["first_look"] < HALF

    def cells(name: str) -> pd.DataFrame:
        return grid.pivot(index=up.path, columns=across.path, values=name)

    values = np.ma.masked_invalid(cells(measure.name).to_numpy(float))
    columns, rows = values.shape[1], values.shape[0]
    norm = colours_of(values, share=measure.share)
    mesh = draw_cells(ax, values, norm, 0.4 * style.sizes.line)
    if columns <= (10 if style.size == "page" else 8) and rows <= 12:
        cell_numbers(ax, values, norm, style, share=measure.share)
    if found.best is not None:
        outline = {"fill": False, "edgecolor": INK, "linewidth": 1.6 * style.sizes.line}
        _frames(ax, cells("as_good"), 0.46, gid="outlined cell", **outline)
    _frames(ax, cells("hardly"), 0.5, gid="hatched cell", **HATCHED)
    bar = ax.figure.colorbar(mesh, ax=ax, pad=0.02)
    if measure.share:
        percent_axis(bar.ax.yaxis)
    bar.ax.tick_params(labelsize=style.sizes.text)
    bar.set_label(measure_axis(measure, found.situation), fontsize=style.sizes.text, color=INK)
    bar.outline.set_edgecolor(LINES)  # type: ignore[operator]
    _ticks(ax, cells(measure.name))
    for spine in ax.spines.values():
        spine.set_visible(False)
    words = axis_of(across)
    if found.best is not None:
        words += "\noutlined: as good as the best"
    if grid["hardly"].any():
        words += f"\nhatched: {first_look(found.situation)} {HARDLY}"
    return dress(ax, style, title=headline(found.situation), x=words, y=axis_of(up))


def draw_cells(ax: Axes, values: np.ndarray, norm: Normalize, gap: float) -> QuadMesh:
    """Colour the cells of a table; the first row is at 0."""
    rows, columns = values.shape
    edges = np.arange(columns + 1) - 0.5, np.arange(rows + 1) - 0.5
    mesh = ax.pcolormesh(*edges, values, cmap=MAP, norm=norm, edgecolor="white", linewidth=gap)
    mesh.set_gid("cells")
    return mesh


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


def _frames(ax: Axes, flags: pd.DataFrame, half: float, **look: Any) -> None:
    """A frame of half a width around each cell whose flag is set."""
    for row, column in np.argwhere(flags.to_numpy(bool)):
        ax.add_patch(Rectangle((column - half, row - half), 2 * half, 2 * half, **look))
