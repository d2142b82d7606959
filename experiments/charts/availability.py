"""Where on the field a plan works, and where it leaves the disc, one force at a time."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.colors import Normalize

from experiments.charts.field import around, draw_arrow, draw_field
from experiments.charts.heat import MAP, cell_number, colour_bar, colours_of
from experiments.charts.style import INK, Style, chart, own_figure
from experiments.studies.map import Map
from experiments.words.looks import HALF, HARDLY
from experiments.words.measured import headline
from experiments.words.wording import percent_range

ENDS = ["end_x_m", "end_y_m"]


@chart
def availability(found: Map, ax: Axes | None, style: Style) -> Axes:
    """Draw one field for each force, side by side with common colours.

    At each place of the disc it says how often the look is there, with an arrow to the catches. A note
    tells how often it was thrown and kept; places where it was hardly thrown are squares.
    """
    own_figure(ax, "map")
    places, field = found.table(), found.situation.playing_field
    forces = list(dict.fromkeys(places["force"]))
    starts = places[["x_m", "y_m"]].to_numpy(dtype=float)
    window = around(field, [starts, places[ENDS].to_numpy(float)], margin=5.0)
    title = headline(found.situation, force=False)
    rows, columns = (1, len(forces)) if style.upright else (len(forces), 1)
    high = ((style.sizes.width - 1.6) / columns - 0.3) * window.shape(style) + 0.3
    figure = style.figure(float(np.clip(rows * high + 0.6, 3.0, 9.4)), title)
    axes = figure.subplots(rows, columns, squeeze=False).ravel()
    note = style.broken(_look_note(found, places), figure.get_figwidth())
    figure.supxlabel(note, x=0.01, ha="left", fontsize=style.sizes.text)
    # The bar and the empty fields come first: the size of the marks depends on the space left.
    for place, (force, each) in enumerate(zip(forces, axes, strict=True)):
        draw_field(field, each, style=style, window=window)
        words = each.get_ylabel() if place == 0 else ""
        below = each.get_xlabel() if place == len(forces) - 1 else ""
        style.dress(each, title=f"force {force}", x=below, y=words)
    norm = colours_of(places["worked"].to_numpy(dtype=float), share=True)
    words = "look completed; arrows: where it goes"
    colour_bar(figure, norm, list(axes), words, style, share=True, shrink=0.9)
    for force, each in zip(forces, axes, strict=True):
        _places(each, places[places["force"] == force], norm, style)
    return axes[0]


def _look_note(found: Map, places: pd.DataFrame) -> str:
    """How often the look was thrown, what it completed, and what a square is."""
    thrown, kept = (
        percent_range(places[name].min(), places[name].max())
        for name in ("available", "completed_look")
    )
    text = f"{found.look or 'any look'}: thrown first in {thrown} of the plays"
    if places["completed_look"].notna().any():
        text += f", kept in {kept} of those"
    return text + (f"; squares: {HARDLY}" if (places["available"] < HALF).any() else "")


def _places(ax: Axes, places: pd.DataFrame, norm: Normalize, style: Style) -> None:
    """A disc of colour at each place, small enough to leave its neighbours free; a square if the
    look was hardly thrown there."""
    spots, ends = (places[names].to_numpy(dtype=float) for names in (["x_m", "y_m"], ENDS))
    worked = places["worked"].to_numpy(dtype=float)
    hardly = places["available"].to_numpy(float) < HALF
    figure: Any = ax.figure
    figure.draw_without_rendering()
    u, v = style.place(*spots.T)
    size = 2.5 * style.sizes.text
    if len(spots) > 1:
        pixels = ax.transData.transform(np.column_stack([u, v]))
        gaps = np.hypot(*(pixels[:, None] - pixels[None]).transpose(2, 0, 1))
        nearest = float(gaps[gaps > 1e-6].min()) * 72.0 / figure.dpi
        size = min(size, 0.8 * nearest)
    look: dict[str, Any] = {"color": INK, "linewidth": style.sizes.line, "start": 0.5 * size}
    look |= {"zorder": 4, "gid": "leaves the disc"}
    for spot, end in zip(spots, ends, strict=True):
        if np.isfinite(end).all():
            draw_arrow(ax, style, spot, end, 1.2 * style.sizes.marker, **look)
    look = {"s": size**2, "cmap": MAP, "norm": norm, "edgecolors": INK, "zorder": 5}
    look["linewidths"] = 0.6 * style.sizes.line
    for marker, some, gid in (("o", ~hardly, "places"), ("s", hardly, "hardly thrown")):
        ax.scatter(u[some], v[some], c=worked[some], marker=marker, gid=gid, **look)
    if size < 1.7 * style.sizes.text:
        return
    for across, along, value in zip(u, v, worked, strict=True):
        if np.isfinite(value):
            words = f"{100 * value:.0f}"
            cell_number(ax, along, across, words, norm(value), patch=False, zorder=6)
