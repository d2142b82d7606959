"""How far from the middle of the field the disc ends up."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from experiments.charts.style import (
    COVERED,
    INK,
    LINES,
    OFFENCE,
    Style,
    dress,
    legend_above,
    new_axes,
    percent_axis,
    plain_frame,
)
from experiments.tapes.landing import off_centre_shares
from experiments.words.measured import headline
from experiments.words.wording import length, percent
from sim.record import TRAPPED_WITHIN

GOALS = "#F0E442"  # the yellow of the same palette


def off_centre(study: Any, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw the distribution of the distance from the middle of the completed passes.

    The strip within 5 m of a sideline, where a team is trapped, is hatched. Goals stand on top in a
    colour of their own: play is over there, so they trap nobody wherever they are caught.

    Parameters
    ----------
    study : `experiments.Study`.
    ax : axes to draw on; None makes a figure.
    style : units and sizes.
    """
    style = style or Style()
    half = float(study.situation.playing_field.half_width)
    found = off_centre_shares(study.table, half)
    if ax is None:
        ax = new_axes(style, height=3.4)
    edges = style.length(found.edges)
    kinds = (
        (found.share, 0.0, OFFENCE, "catches, play goes on"),
        (found.goals, found.share, GOALS, "goals, where nobody is trapped"),
    )
    for shares, bottom, colour, words in kinds:
        if not shares.any():
            continue
        bars = ax.bar(
            edges[:-1],
            shares,
            bottom=bottom,
            width=np.diff(edges),
            align="edge",
            color=colour,
            edgecolor=LINES,
            linewidth=0.5 * style.sizes.line,
            label=words,
        )
        for bar in bars:
            bar.set_gid(words.partition(",")[0])
    line = float(style.length(half))
    trap = float(style.length(half - TRAPPED_WITHIN))
    top = 1.25 * max(float((found.share + found.goals).max()), 0.02)
    ax.axvspan(
        trap, line, facecolor="none", edgecolor=COVERED, hatch="////", linewidth=0, gid="trapped"
    )
    ax.set_xlim(0.0, line)
    ax.set_ylim(0.0, top)
    size = style.sizes.text
    ax.text(
        0.5 * (trap + line),
        0.97 * top,
        f"trapped {percent(found.trapped)}",
        ha="center",
        va="top",
        fontsize=size,
        color=INK,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
        gid="trapped words",
    )
    if found.n:
        middle = float(style.length(found.median))
        ax.axvline(middle, color=INK, linewidth=1.4 * style.sizes.line, gid="median")
        ax.annotate(
            f"half nearer than {length(found.median, style.units)}",
            xy=(middle, 0.9 * top),
            xytext=(0.5 * size if middle < 0.5 * line else -0.5 * size, 0.0),
            textcoords="offset points",
            ha="left" if middle < 0.5 * line else "right",
            va="top",
            fontsize=size,
            color=INK,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
        )
    percent_axis(ax.yaxis)
    ax.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    plain_frame(ax)
    return dress(
        ax,
        style,
        title=headline(study.situation),
        x=f"{style.unit_word} from the middle of the field (sideline at the right)",
        y="share of catches",
        legend=legend_above(ax, style) if found.goals.any() else None,
    )
