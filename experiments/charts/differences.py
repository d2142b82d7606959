"""Differences of a comparison: a row of intervals for each measure, below the looks thrown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import DEFENCE, INK, LINES, OFFENCE, WARNING, Style, chart, own_figure
from experiments.situations.asks import asked_first
from experiments.statistics.comparison import Difference
from experiments.statistics.measures import MEASURES, Measure
from experiments.studies.compare import Compared
from experiments.words.looks import hardly_in_short, looks_in_short
from experiments.words.measured import headline, words_of
from experiments.words.wording import minus

CAREFUL = "Careful"  # begins a note that warns
LINE = 1.35  # from line to line of the notes, in sizes of their letters
SIDES = {"better": ("o", OFFENCE), "worse": ("v", DEFENCE), "may be either": ("s", INK)}


@chart
def differences_of_measures(
    found: Compared, ax: Axes | None, style: Style, *, measures: Sequence[str] | None = None
) -> Axes:
    """Draw the measures of a comparison below each other, each on a scale of its own.

    On top stand the looks that each plan threw and how often they were kept, in the colour of a
    warning where the look that the plan is named after was hardly thrown.
    A page shows all of them. A clinic slide shows as many as stay readable, and names the others.

    `measures` are the names of those to show, in order; None takes all that were compared, what the
    situation asks first.

    Raises
    ------
    ValueError : a measure was not compared.
    """
    own_figure(ax, "differences")
    situation, every = found.situation, found.comparison.differences
    known = asked_first(dict.fromkeys(d.measure for d in every), situation.asks)
    wanted = known if measures is None else list(measures)
    unknown = [name for name in wanted if name not in known]
    if unknown:
        raise ValueError(f"not compared: {', '.join(unknown)}; compared are {', '.join(known)}")
    plans = len({d.plan for d in every})
    notes = _look_notes(found, style)
    top = height_of(notes, style)
    height = 0.9 + top + len(wanted) * (0.62 + 0.3 * plans)
    if style.clinic:
        fits = max(int((style.sizes.height - 1.4 - top) / (0.95 + 0.34 * plans)), 1)
        if left_out := [words_of(MEASURES[name], situation) for name in wanted[fits:]]:
            notes.append(f"not shown: {', '.join(left_out)}")
        wanted = wanted[:fits]
    figure = style.figure(height, headline(situation, plan=False))
    # The notes hang from axes without height, so that the layout gives them what they need.
    ratios = [0.01, *[1.0] * len(wanted)]
    above, *axes = figure.subplots(1 + len(wanted), 1, height_ratios=ratios, squeeze=False).ravel()
    write_notes(above, notes, style)
    seen: dict[str, Any] = {}
    for each, name in zip(axes, wanted, strict=True):
        words = words_of(MEASURES[name], situation)
        draw_rows([d for d in every if d.measure == name], words, MEASURES[name], each, style)
        seen |= {label: h for h, label in zip(*each.get_legend_handles_labels(), strict=True)}
    style.legend_below(figure, seen)
    return axes[0]


def _look_notes(compared: Compared, style: Style) -> list[str]:
    """What each plan threw first, broken to the width, with a warning where its own look hardly was."""
    notes = []
    for plan, shares in compared.looks.items():
        hardly = hardly_in_short(compared.situation, plan, shares)
        text = f"plan {plan}: {looks_in_short(shares, 2, kept=True)}"
        text = f"{CAREFUL}, {text}; {hardly}" if hardly else text
        notes.append(style.broken(text, style.sizes.width))
    return notes


def height_of(notes: Sequence[str], style: Style, more: int = 0) -> float:
    """Inches that notes take, with so many lines more."""
    return LINE * style.sizes.text / 72.0 * ("\n".join(notes).count("\n") + 1 + more)


def write_notes(ax: Axes, notes: Sequence[str], style: Style) -> None:
    """Write notes below each other from the left edge of the figure, warnings in their colour."""
    ax.set_axis_off()
    size, above = style.sizes.text, 0
    look: dict[str, Any] = {"xycoords": ("figure fraction", "axes fraction"), "va": "top"}
    look |= {"linespacing": LINE / 1.2, "textcoords": "offset points", "annotation_clip": False}
    for note in notes:
        spot = 0.5 * size, -LINE * size * above
        ax.annotate(note, (0.0, 1.0), spot, **look, **warned(note.startswith(CAREFUL)))
        above += note.count("\n") + 1


def warned(hardly: bool) -> dict[str, Any]:
    """How words about the looks are drawn, a warning where one was hardly thrown."""
    gid = "hardly thrown" if hardly else "looks thrown"
    return {"color": WARNING if hardly else INK, "gid": gid}


def draw_rows(
    rows: Sequence[Difference], words: str, measure: Measure, ax: Axes, style: Style
) -> None:
    """Draw the differences of some plans from the baseline in one measure, a row a plan.

    One that is clearly better is a filled circle, clearly worse a filled triangle, and one that may
    be either is an open square, so that they can be told apart in grey.
    """
    metres = measure.unit == "m"
    factor = 100.0 if measure.share else style.per_metre if metres else 1.0
    unit = "points" if measure.share else style.units if metres else measure.unit
    line, size = style.sizes.line, style.sizes.marker
    # What has no unit, such as a score, differs by less than a tenth.
    form = "+.1f" if unit else "+.3f"
    ax.axvline(0.0, color=LINES, gid="no difference")
    for row, d in enumerate(rows):
        less = d.difference
        middle, low, high = (factor * v for v in (less.estimate, less.low, less.high))
        ahead = "better" if measure.more * middle > 0.0 else "worse"
        side = ahead if d.clear else "may be either"
        marker, colour = SIDES[side]
        look: dict[str, Any] = {"color": colour, "linewidth": 1.8 * line}
        if np.isfinite([low, high]).all():
            ax.plot([low, high], [row, row], gid=f"interval {row}", **look)
        look = {"color": colour, "markersize": 0.8 * size, "markeredgewidth": 1.4 * line}
        look["markerfacecolor"] = colour if d.clear else "white"
        ax.plot([middle], [row], marker, label=side, gid=f"difference {row}", **look)
        told = minus(f"{middle:{form}} ({low:{form}} to {high:{form}})")
        ax.text(1.02, row, told, transform=ax.get_yaxis_transform(), va="center")
    ax.set_yticks(range(len(rows)), [d.plan for d in rows], parse_math=False)
    ax.set_ylim(len(rows) - 0.5, -0.5)
    ax.margins(x=0.08)
    style.dress(ax, x=f"{words}: more or less than {rows[0].baseline} ({unit})".replace(" ()", ""))
