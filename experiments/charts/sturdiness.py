"""How much a comparison depends on each assumption, and at which value it is reversed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.legend import Legend

from experiments.charts.style import (
    DEFENCE,
    INK,
    LINES,
    OFFENCE,
    Style,
    dress,
    new_axes,
    new_figure,
    plain_frame,
)


def screening(
    effects: pd.DataFrame,
    ax: Axes | None = None,
    *,
    advice: float,
    measure: str = "score",
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw the average size of the effect of each assumption, the largest on top.

    Parameters
    ----------
    effects : columns `setting`, `mu_star`, `mu_star_spread`, `noise`, `matters`.
    ax : axes to draw on; None makes a figure.
    advice : the difference with everything as in use; an effect beyond it can overturn it.
    measure : what the difference is in.
    title : of the chart.
    style : sizes.
    """
    style = style or Style()
    if ax is None:
        height = 1.5 + 0.3 * max(len(effects), 3)
        ax = new_axes(style, height=height)
    line, size = style.sizes.line, style.sizes.marker
    ax.axvline(
        abs(advice),
        color=INK,
        linestyle="--",
        linewidth=1.4 * line,
        label="the difference in use",
        gid="advice",
    )
    rows = np.arange(len(effects))
    middle, spread = (effects[c].to_numpy(float) for c in ("mu_star", "mu_star_spread"))
    matters = effects["matters"].to_numpy(bool)
    for chosen, marker, colour, words in (
        (matters, "o", OFFENCE, "matters"),
        (~matters, "s", LINES, "no effect found"),
    ):
        if not chosen.any():
            continue
        low = np.maximum(middle - spread, 0.0)
        ax.hlines(
            rows[chosen],
            low[chosen],
            (middle + spread)[chosen],
            color=colour,
            linewidth=1.8 * line,
            gid=f"spread {words}",
        )
        ax.plot(
            middle[chosen],
            rows[chosen],
            linestyle="none",
            marker=marker,
            color=colour,
            markersize=0.8 * size,
            markerfacecolor=colour if marker == "o" else "white",
            label=words,
            gid=words,
        )
    ax.plot(
        effects["noise"],
        rows,
        linestyle="none",
        marker="|",
        color=DEFENCE,
        markersize=1.2 * size,
        markeredgewidth=1.6 * line,
        label="luck alone",
        gid="noise",
    )
    ax.set_yticks(rows, list(effects["setting"]))
    for label in ax.get_yticklabels():
        label.set_parse_math(False)
    ax.set_ylim(len(effects) - 0.5, -0.5)
    ax.set_xlim(left=0.0)
    ax.margins(x=0.08)
    plain_frame(ax)
    words = f"change of the difference in {measure} over two thirds of the range"
    return dress(ax, style, title=title, x=words, legend=_legend(ax, style))


def _legend(ax: Axes, style: Style) -> Legend:
    """In two rows above the axes, which the long names of settings leave narrow."""
    legend = ax.legend(
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=2,
        frameon=False,
        fontsize=style.sizes.text,
        borderaxespad=0.3,
    )
    legend.set_gid("legend")
    return legend


@dataclass(frozen=True)
class TurnCurve:
    """A difference along one assumption: columns `value`, `estimate`, `low`, `high`."""

    setting: str
    unit: str
    now: float | None
    curve: pd.DataFrame


def turning(
    turn: TurnCurve,
    ax: Axes | None = None,
    *,
    words: str,
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw how far one plan is ahead as one assumption changes, with the line where it turns.

    Parameters
    ----------
    turn : what to draw.
    ax : axes to draw on; None makes a figure.
    words : of the y axis: who is ahead of whom.
    title : of the chart.
    style : sizes.
    """
    style = style or Style()
    if ax is None:
        ax = new_axes(style, height=3.6)
    value, middle, low, high = (
        turn.curve[c].to_numpy(float) for c in ("value", "estimate", "low", "high")
    )
    line = style.sizes.line
    ax.axhline(0.0, color=DEFENCE, linewidth=1.4 * line, linestyle="--", gid="level")
    ax.fill_between(value, low, high, color=OFFENCE, alpha=0.25, linewidth=0, gid="band")
    ax.plot(
        value,
        middle,
        color=OFFENCE,
        marker="o",
        linewidth=1.8 * line,
        markersize=0.6 * style.sizes.marker,
        gid="curve",
    )
    if turn.now is not None:
        ax.axvline(turn.now, color=INK, linestyle=":", linewidth=1.4 * line, gid="now")
    plain_frame(ax)
    x = f"{turn.setting} ({turn.unit})" if turn.unit else turn.setting
    return dress(ax, style, title=title, x=x, y=words)


def turnings(
    turns: Sequence[TurnCurve],
    *,
    better: str,
    other: str,
    title: str = "",
    style: Style | None = None,
) -> tuple[Axes, ...]:
    """Draw the turns of several assumptions on one scale, side by side."""
    style = style or Style()
    sizes = style.sizes
    columns = min(2, len(turns))
    lines = -(-len(turns) // columns)
    height = 0.8 + 2.5 * lines
    figure = new_figure(style, height, title)
    axes = figure.subplots(lines, columns, squeeze=False, sharey=True).ravel()
    for place, ax in enumerate(axes):
        if place >= len(turns):
            ax.set_visible(False)
            continue
        words = f"{better} ahead by" if place % columns == 0 else ""
        turning(turns[place], ax, words=words, style=style)
    note = f"below the dashed line {other} is ahead; dotted: in use"
    figure.supxlabel(note, fontsize=sizes.text, color=INK, x=0.01, ha="left")
    return tuple(axes[: len(turns)])
