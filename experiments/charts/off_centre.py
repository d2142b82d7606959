"""How far from the middle of the field the disc ends up."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from experiments.charts.style import HATCHED, INK, LINES, OFFENCE, Style, chart, percent_axis
from experiments.tapes.landing import off_centre_shares
from experiments.words.measured import headline
from experiments.words.wording import length, percent
from sim.record import TRAPPED_WITHIN

GOALS = "#F0E442"  # the yellow of the same palette


@chart
def off_centre(study: Any, ax: Axes | None, style: Style) -> Axes:
    """Draw the distribution of the distance from the middle of the completed passes.

    The strip within 5 m of a sideline, where a team is trapped, is hatched. Goals stand on top in a
    colour of their own: play is over there, so they trap nobody wherever they are caught.
    """
    half = float(study.situation.playing_field.half_width)
    found = off_centre_shares(study.table, half)
    ax = style.axes(ax, 3.4)
    edges = style.length(found.edges)
    for shares, bottom, colour, words in (
        (found.share, 0.0, OFFENCE, "catches, play goes on"),
        (found.goals, found.share, GOALS, "goals, where nobody is trapped"),
    ):
        if not shares.any():
            continue
        look: dict[str, Any] = {"align": "edge", "color": colour, "edgecolor": LINES}
        look |= {"linewidth": 0.5 * style.sizes.line, "gid": words.partition(",")[0]}
        ax.bar(edges[:-1], shares, np.diff(edges), bottom, label=words, **look)
    trap, line = style.length([half - TRAPPED_WITHIN, half])
    top = 1.25 * max(float((found.share + found.goals).max()), 0.02)
    ax.axvspan(trap, line, **HATCHED, hatch="////", gid="trapped")
    ax.set(xlim=(0.0, line), ylim=(0.0, top))
    paper = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
    words, spot = f"trapped {percent(found.trapped)}", (0.5 * (trap + line), 0.97 * top)
    ax.text(*spot, words, ha="center", va="top", bbox=paper, gid="trapped words")
    if found.n:
        middle, size = style.length(found.median), style.sizes.text
        side, aside = ("left", 0.5 * size) if middle < 0.5 * line else ("right", -0.5 * size)
        ax.axvline(middle, color=INK, linewidth=1.4 * style.sizes.line, gid="median")
        words = f"half nearer than {length(found.median, style.units)}"
        look = {
            "textcoords": "offset points",
            "ha": side,
            "va": "top",
            "bbox": {**paper, "pad": 1.0},
        }
        ax.annotate(words, (middle, 0.9 * top), (aside, 0.0), **look)
    percent_axis(ax.yaxis)
    ax.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    words = f"{style.unit_word} from the middle of the field (sideline at the right)"
    title, some = headline(study.situation), bool(found.goals.any())
    return style.dress(ax, title=title, x=words, y="share of catches", legend=some)
