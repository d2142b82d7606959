"""How much a comparison depends on each assumption, and at which value it is reversed."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import (
    DEFENCE,
    INK,
    LINES,
    OFFENCE,
    Style,
    broken,
    dress,
    new_figure,
    own_figure,
    plain_frame,
)
from experiments.studies.sturdiness.result import Sturdiness
from experiments.words.measured import axis_of, headline, label_of

COLUMNS = 2
WORDS = 0.6  # of the width, under the axes that long names leave narrow


def screening(found: Sturdiness, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw the average size of the effect of each assumption, the largest on top.

    Dashed is the difference with everything as in use: an effect beyond it can overturn it.
    """
    style = style or Style()
    effects = found.effects
    if ax is None:  # the title begins at the left of the long names
        height = 1.7 + 0.3 * max(len(effects), 3)
        ax, title = new_figure(style, height, _title(found)).subplots(), ""
    else:
        title = _title(found)
    line, size = style.sizes.line, style.sizes.marker
    ax.axvline(
        abs(found.advice.estimate),
        color=INK,
        linestyle="--",
        linewidth=1.4 * line,
        label="the difference in use",
        gid="advice",
    )
    for marker, colour, words in (("o", OFFENCE, "matters"), ("s", LINES, "no effect found")):
        some = [(row, e) for row, e in enumerate(effects) if e.matters is (words == "matters")]
        if not some:
            continue
        rows = [row for row, _ in some]
        ax.hlines(
            rows,
            [max(e.size - e.size_spread, 0.0) for _, e in some],
            [e.size + e.size_spread for _, e in some],
            color=colour,
            linewidth=1.8 * line,
            gid=f"spread {words}",
        )
        ax.plot(
            [e.size for _, e in some],
            rows,
            linestyle="none",
            marker=marker,
            color=colour,
            markersize=0.8 * size,
            markerfacecolor=colour if marker == "o" else "white",
            label=words,
            gid=words,
        )
    ax.plot(
        [e.noise for e in effects],
        range(len(effects)),
        linestyle="none",
        marker="|",
        color=DEFENCE,
        markersize=1.2 * size,
        markeredgewidth=1.6 * line,
        label="luck alone",
        gid="noise",
    )
    names = [label_of(e.range.path) for e in effects]
    ax.set_yticks(range(len(effects)), names, parse_math=False)
    ax.set_ylim(len(effects) - 0.5, -0.5)
    ax.set_xlim(left=0.0)
    ax.margins(x=0.08)
    plain_frame(ax)
    # In two rows above the axes, which the long names of settings leave narrow.
    legend = ax.legend(
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=2,
        frameon=False,
        fontsize=style.sizes.text,
        borderaxespad=0.3,
    )
    legend.set_gid("legend")
    words = f"change of the difference in {found.measure.words} over two thirds of the range"
    return dress(
        ax, style, title=title, x=broken(words, WORDS * style.sizes.width, style), legend=legend
    )


def turns(found: Sturdiness, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw how far one plan is ahead as each of some assumptions changes, on one scale."""
    own_figure(ax, "turns")
    style = style or Style()
    line = style.sizes.line
    rows = -(-len(found.turns) // COLUMNS)
    figure = new_figure(style, 0.8 + 2.5 * rows, _title(found))
    axes = figure.subplots(rows, COLUMNS, squeeze=False, sharey=True).ravel()
    for place, (ax, turn) in enumerate(zip(axes, found.turns, strict=False)):
        value = list(turn.differences)
        low, middle, high = (
            np.array([getattr(d, part) for d in turn.differences.values()])
            for part in ("low", "estimate", "high")
        )
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
        if turn.range.now is not None:
            ax.axvline(turn.range.now, color=INK, linestyle=":", linewidth=1.4 * line, gid="now")
        plain_frame(ax)
        ahead = f"{found.better} ahead by" if place % COLUMNS == 0 else ""
        dress(ax, style, x=axis_of(turn.range.setting), y=ahead)
    for ax in axes[len(found.turns) :]:
        ax.set_visible(False)
    note = f"below the dashed line {found.other} is ahead in {found.measure.words}; dotted: in use"
    figure.supxlabel(note, fontsize=style.sizes.text, color=INK, x=0.01, ha="left")
    first: Axes = axes[0]
    return first


def _title(found: Sturdiness) -> str:
    return f"{found.better} or {found.other}? {headline(found.situation, plan=False)}"
