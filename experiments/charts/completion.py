"""Completion of single passes by distance and by bearing, run by run."""

from __future__ import annotations

from typing import Any

import numpy as np
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
from experiments.words.wording import minus

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
    frame: pd.DataFrame,
    ax: Axes | None = None,
    *,
    title: str = "Completion by distance",
    style: Style | None = None,
) -> Axes:
    """Draw how often passes are completed over their distance, one line for each run.

    Parameters
    ----------
    frame : as `experiments.studies.completion.by_throw` gives it, for one bearing.
    ax : axes to draw on; None makes a figure.
    title : of the chart.
    style : units and sizes.

    Raises
    ------
    ValueError : the frame holds several bearings.
    """
    style = style or Style()
    _only_one(frame, "bearing_deg")
    ax = _new(ax, style)
    _lines(ax, frame, "distance_m", style, style.per_metre)
    ax.set_xlim(left=0.0)
    ax.set_ylim(0.0, 1.02)
    percent_axis(ax.yaxis)
    plain_frame(ax)
    return dress(
        ax,
        style,
        title=title,
        x=f"distance from the thrower to the catch ({style.unit_word})",
        y="completed",
        legend=legend_above(ax, style),
    )


def completion_by_bearing(
    frame: pd.DataFrame,
    ax: Axes | None = None,
    *,
    covered: tuple[float, float] | None = None,
    mark: float | None = None,
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw how often passes of one distance are completed over their direction.

    Parameters
    ----------
    frame : as `experiments.studies.completion.by_throw` gives it, for one distance.
    ax : axes to draw on; None makes a figure.
    covered : lowest and highest bearing (deg) that the mark stops, hatched.
    mark : bearing (deg) at which the mark stands, drawn as a dotted line.
    title : of the chart; empty says the distance.
    style : units and sizes.

    Raises
    ------
    ValueError : the frame holds several distances.
    """
    style = style or Style()
    distance = _only_one(frame, "distance_m")
    ax = _new(ax, style)
    line = style.sizes.line
    _lines(ax, frame, "bearing_deg", style, 1.0)
    if covered is not None:
        ax.axvspan(
            *covered,
            facecolor="none",
            edgecolor=COVERED,
            hatch="////",
            linewidth=0.0,
            zorder=0.5,
            label="stopped if thrown without a pivot",
            gid="covered",
        )
    if mark is not None:
        words = f"the mark, at {minus(f'{mark:.0f}°')}"
        ax.axvline(mark, color=INK, linestyle=":", linewidth=line, label=words, gid="mark")
    ax.set_xlim(-205.0, 205.0)  # room for the words at the corner
    ax.set_ylim(0.0, 1.02)
    ax.xaxis.set_major_locator(MultipleLocator(60.0))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda degrees, _: minus(f"{degrees:.0f}°")))
    percent_axis(ax.yaxis)
    plain_frame(ax)
    shown = f"{float(style.length(distance)):.3g} {style.unit_word}"
    return dress(
        ax,
        style,
        title=title or f"Completion by direction, at {shown}",
        x="direction of the throw (0° downfield, + to the right)",
        y="completed",
        legend=legend_above(ax, style),
    )


def _new(ax: Axes | None, style: Style) -> Axes:
    if ax is not None:
        return ax
    return new_axes(style, height=4.2)


def _only_one(frame: pd.DataFrame, column: str) -> float:
    values = np.unique(frame[column].to_numpy(dtype=float))
    if len(values) != 1:
        raise ValueError(f"the chart needs rows of one {column}; there are {len(values)}")
    return float(values[0])


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
