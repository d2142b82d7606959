"""How much a comparison depends on each assumption, and at which value it is reversed."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import DEFENCE, INK, LINES, OFFENCE, Style, chart, own_figure
from experiments.studies.sturdiness.result import Sturdiness
from experiments.words.measured import axis_of, headline, label_of

COLUMNS = 2
WORDS = 0.6  # of the width, under the axes that long names leave narrow


@chart
def screening(found: Sturdiness, ax: Axes | None, style: Style) -> Axes:
    """Draw the average size of the effect of each assumption, the largest on top.

    Dashed is the difference with everything as in use: an effect beyond it can overturn it.
    """
    effects, title = found.effects, _title(found)
    if ax is None:  # the title begins at the left of the long names
        height = 1.7 + 0.3 * max(len(effects), 3)
        ax, title = style.figure(height, title).subplots(), ""
    line, size = style.sizes.line, style.sizes.marker
    look: dict[str, Any] = {"color": INK, "linestyle": "--", "linewidth": 1.4 * line}
    ax.axvline(abs(found.advice.estimate), label="the difference in use", gid="advice", **look)
    for marker, colour, words in (("o", OFFENCE, "matters"), ("s", LINES, "no effect found")):
        rows = [row for row, e in enumerate(effects) if e.matters is (words == "matters")]
        if not rows:
            continue
        sizes, spread = np.array([(effects[r].size, effects[r].size_spread) for r in rows]).T
        ends = np.maximum(sizes - spread, 0.0), sizes + spread
        ax.hlines(rows, *ends, color=colour, linewidth=1.8 * line, gid=f"spread {words}")
        look = {"color": colour, "markersize": 0.8 * size, "label": words, "gid": words}
        look["markerfacecolor"] = colour if marker == "o" else "white"
        ax.plot(sizes, rows, marker, **look)
    look = {"color": DEFENCE, "markersize": 1.2 * size, "markeredgewidth": 1.6 * line}
    noise = [e.noise for e in effects]
    ax.plot(noise, range(len(effects)), "|", label="luck alone", gid="noise", **look)
    names = [label_of(e.range.path) for e in effects]
    ax.set_yticks(range(len(effects)), names, parse_math=False)
    ax.set_ylim(len(effects) - 0.5, -0.5)
    ax.set_xlim(left=0.0)
    ax.margins(x=0.08)
    # In two columns, since the long names of settings leave the axes narrow.
    style.legend_above(ax, columns=2)
    words = f"change of the difference in {found.measure.words} over two thirds of the range"
    return style.dress(ax, title=title, x=style.broken(words, WORDS * style.sizes.width))


@chart
def turns(found: Sturdiness, ax: Axes | None, style: Style) -> Axes:
    """Draw how far one plan is ahead as each of some assumptions changes, on one scale."""
    own_figure(ax, "turns")
    rows = -(-len(found.turns) // COLUMNS)
    figure = style.figure(0.8 + 2.5 * rows, _title(found))
    axes = figure.subplots(rows, COLUMNS, squeeze=False, sharey=True).ravel()
    for place, (ax, turn) in enumerate(zip(axes, found.turns, strict=False)):
        line = 1.4 * style.sizes.line
        ax.axhline(0.0, color=DEFENCE, gid="level", linewidth=line, linestyle="--")
        style.band(ax, list(turn.differences), turn.differences.values())
        if turn.range.now is not None:
            style.now(ax, turn.range.now)
        ahead = f"{found.better} ahead by" if place % COLUMNS == 0 else ""
        style.dress(ax, x=axis_of(turn.range.setting), y=ahead)
    for ax in axes[len(found.turns) :]:
        ax.set_visible(False)
    note = f"below the dashed line {found.other} is ahead in {found.measure.words}; dotted: in use"
    figure.supxlabel(note, fontsize=style.sizes.text, x=0.01, ha="left")
    return axes[0]


def _title(found: Sturdiness) -> str:
    return f"{found.better} or {found.other}? {headline(found.situation, plan=False)}"
