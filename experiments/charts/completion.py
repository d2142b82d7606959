"""Completion of single passes by distance and by bearing, run by run."""

from __future__ import annotations

from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, MultipleLocator

from experiments.charts.style import (
    COVERED,
    INK,
    Style,
    dress,
    legend_above,
    new_axes,
    percent_axis,
    plain_frame,
)
from experiments.studies.completion import RING, Passes
from experiments.words.measured import headline
from experiments.words.wording import length, minus

# Neither the offence's colour nor the defence's: both run and defend in every line.
BLUE, PURPLE, OCHRE = "#0072B2", "#AA3377", "#B8860B"

# One look for each run; told apart by marker and line as well as by colour.
LOOKS: dict[str, dict[str, Any]] = {
    "back": {"color": BLUE, "marker": "o", "linestyle": "-"},
    "to the break side": {"color": PURPLE, "marker": "^", "linestyle": "--"},
    "to the open side": {"color": OCHRE, "marker": "s", "linestyle": "-."},
    "away": {"color": INK, "marker": "D", "linestyle": ":"},
}


def completion_by_distance(
    found: Passes, ax: Axes | None = None, style: Style | None = None
) -> Axes:
    """Draw how often passes are completed over their distance, one line for each run."""
    style = style or Style()
    ax = new_axes(style, height=4.2) if ax is None else ax
    _lines(ax, found.by_distance, "distance_m", style, style.per_metre)
    ax.set_xlim(left=0.0)
    words = f"distance from the thrower to the catch ({style.unit_word})"
    return _dressed(ax, style, _title(found), words)


def completion_by_bearing(
    found: Passes, ax: Axes | None = None, style: Style | None = None
) -> Axes:
    """Draw how often passes of one distance are completed over their direction.

    Hatched is what the mark stops; dotted is where it stands.
    """
    style = style or Style()
    ax = new_axes(style, height=4.2) if ax is None else ax
    _lines(ax, found.by_bearing, "bearing_deg", style, 1.0)
    mark = found.passing.mark_bearing
    ax.axvspan(
        *found.passing.covered,
        facecolor="none",
        edgecolor=COVERED,
        hatch="////",
        linewidth=0.0,
        zorder=0.5,
        label="stopped if thrown without a pivot",
        gid="covered",
    )
    words = f"the mark, at {minus(f'{mark:.0f}°')}"
    line = style.sizes.line
    ax.axvline(mark, color=INK, linestyle=":", linewidth=line, label=words, gid="mark")
    ax.set_xlim(-205.0, 205.0)  # room for the words at the corner
    ax.xaxis.set_major_locator(MultipleLocator(60.0))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda degrees, _: minus(f"{degrees:.0f}°")))
    title = f"{_title(found)}, over {length(RING, style.units, 0)}"
    return _dressed(ax, style, title, "direction of the throw (0° downfield, + to the right)")


def _dressed(ax: Axes, style: Style, title: str, words: str) -> Axes:
    ax.set_ylim(0.0, 1.02)
    percent_axis(ax.yaxis)
    plain_frame(ax)
    return dress(ax, style, title=title, x=words, y="completed", legend=legend_above(ax, style))


def _title(found: Passes) -> str:
    levels = f"{found.passing.level} against {found.passing.defenders}"
    return f"Single passes, {levels}: {headline(found.situation, plan=False, defence=False)}"


def _lines(ax: Axes, frame: pd.DataFrame, column: str, style: Style, per_unit: float) -> None:
    line = style.sizes.line
    for run, rows in frame.groupby("run", sort=False):
        rows = rows.sort_values(column)
        look = LOOKS[str(run)]
        x = rows[column].to_numpy(dtype=float) * per_unit
        middle, low, high = (rows[c].to_numpy(dtype=float) for c in ("estimate", "low", "high"))
        ax.fill_between(
            x, low, high, color=look["color"], alpha=0.15, linewidth=0.0, gid=f"band {run}"
        )
        ax.plot(
            x,
            middle,
            **look,
            linewidth=1.5 * line,
            markersize=0.6 * style.sizes.marker,
            label=f"run {run}",
            gid=f"line {run}",
        )
