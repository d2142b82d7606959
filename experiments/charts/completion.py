"""Completion of single passes by distance and by bearing, run by run."""

from __future__ import annotations

from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, MultipleLocator

from experiments.charts.style import BLUE, HATCHED, INK, OCHRE, PURPLE, Style, chart, percent_axis
from experiments.studies.completion import RING, Passes
from experiments.words.measured import headline
from experiments.words.wording import length, minus

# One look for each run; told apart by marker and line as well as by colour. No team's colour: both
# run and defend in every line.
LOOKS: dict[str, dict[str, Any]] = {
    "back": {"color": BLUE, "marker": "o", "linestyle": "-"},
    "to the break side": {"color": PURPLE, "marker": "^", "linestyle": "--"},
    "to the open side": {"color": OCHRE, "marker": "s", "linestyle": "-."},
    "away": {"color": INK, "marker": "D", "linestyle": ":"},
}


@chart
def completion_by_distance(found: Passes, ax: Axes | None, style: Style) -> Axes:
    """Draw how often passes are completed over their distance, one line for each run."""
    ax = _lines(found.by_distance, "distance_m", ax, style, style.per_metre)
    ax.set_xlim(left=0.0)
    words = f"distance from the thrower to the catch ({style.unit_word})"
    return style.dress(ax, title=_title(found), x=words, y="completed", legend=True)


@chart
def completion_by_bearing(found: Passes, ax: Axes | None, style: Style) -> Axes:
    """Draw how often passes of one distance are completed over their direction.

    Hatched is what the mark stops; dotted is where it stands.
    """
    ax = _lines(found.by_bearing, "bearing_deg", ax, style, 1.0)
    mark = found.passing.mark_bearing
    stopped = "stopped if thrown without a pivot"
    look: dict[str, Any] = {**HATCHED, "hatch": "////", "zorder": 0.5, "gid": "covered"}
    ax.axvspan(*found.passing.covered, label=stopped, **look)
    words = f"the mark, at {minus(f'{mark:.0f}°')}"
    ax.axvline(mark, color=INK, linestyle=":", label=words, gid="mark")
    ax.set_xlim(-205.0, 205.0)  # room for the words at the corner
    ax.xaxis.set_major_locator(MultipleLocator(60.0))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda degrees, _: minus(f"{degrees:.0f}°")))
    title = f"{_title(found)}, over {length(RING, style.units, 0)}"
    words = "direction of the throw (0° downfield, + to the right)"
    return style.dress(ax, title=title, x=words, y="completed", legend=True)


def _title(found: Passes) -> str:
    levels = f"{found.passing.level} against {found.passing.defenders}"
    return f"Single passes, {levels}: {headline(found.situation, plan=False, defence=False)}"


def _lines(
    frame: pd.DataFrame, column: str, ax: Axes | None, style: Style, per_unit: float
) -> Axes:
    """Axes of shares with a line for each run."""
    ax = style.axes(ax, 4.2)
    for run, rows in frame.groupby("run", sort=False):
        rows = rows.sort_values(column)
        look = {**LOOKS[str(run)], "linewidth": 1.5 * style.sizes.line, "label": f"run {run}"}
        x = rows[column].to_numpy(dtype=float) * per_unit
        style.band(ax, x, rows.itertuples(), shade=0.15, of=f" {run}", **look)
    ax.set_ylim(0.0, 1.02)
    percent_axis(ax.yaxis)
    return ax
