"""Differences of a comparison: a row of intervals for each measure, below the looks thrown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import (
    DEFENCE,
    INK,
    LINES,
    OFFENCE,
    WARNING,
    Sizes,
    Style,
    broken,
    dress,
    legend_above,
    legend_below,
    new_axes,
    new_figure,
    own_figure,
    plain_frame,
)
from experiments.situations.asks import asked_first
from experiments.statistics.measures import MEASURES
from experiments.studies.compare import Compared
from experiments.words.looks import hardly_in_short, looks_in_short
from experiments.words.measured import headline, words_of
from experiments.words.wording import minus

LINE = 1.35  # from line to line of the notes, in sizes of their letters
SIDES = {"better": ("o", OFFENCE), "worse": ("v", DEFENCE), "may be either": ("s", INK)}


def differences_of_measures(
    compared: Compared,
    ax: Axes | None = None,
    style: Style | None = None,
    *,
    measures: Sequence[str] | None = None,
) -> Axes:
    """Draw the measures of a comparison below each other, each on a scale of its own.

    On top stand the looks that each plan threw and how often they were kept, in the colour of a
    warning where the look that the plan is named after was hardly thrown.

    A page shows all of them. A clinic slide shows as many as stay readable, and names the others.

    Parameters
    ----------
    compared : plans on the same luck.
    ax : None; a chart of several axes makes a figure of its own.
    style : units and sizes.
    measures : names of those to show, in order; None takes all that were compared,
        what the situation asks first.

    Raises
    ------
    ValueError : a measure was not compared.
    """
    own_figure(ax, "differences")
    style = style or Style()
    comparison = compared.comparison
    known = list(dict.fromkeys(d.measure for d in comparison.differences))
    known = asked_first(known, compared.situation.asks)
    wanted = known if measures is None else list(measures)
    unknown = [name for name in wanted if name not in known]
    if unknown:
        raise ValueError(f"not compared: {', '.join(unknown)}; compared are {', '.join(known)}")
    plans = len({d.plan for d in comparison.differences})
    sizes = style.sizes
    notes = _look_notes(compared, sizes, style)
    top = LINE * sizes.text / 72.0 * sum(note.count("\n") + 1 for note, _ in notes)
    height = 0.9 + top + len(wanted) * (0.62 + 0.3 * plans)
    left_out: list[str] = []
    if style.size == "clinic":
        fits = int((sizes.height - 1.4 - top) / (0.95 + 0.34 * plans))
        wanted, left_out = wanted[: max(fits, 1)], wanted[max(fits, 1) :]
    if left_out:
        others = [words_of(MEASURES[name], compared.situation) for name in left_out]
        notes.append((f"not shown: {', '.join(others)}", False))
    figure = new_figure(style, height, headline(compared.situation, plan=False))
    # The notes hang from axes without height, so that the layout gives them what they need.
    ratios = [0.01, *[1.0] * len(wanted)]
    above, *axes = figure.subplots(1 + len(wanted), 1, height_ratios=ratios, squeeze=False).ravel()
    write_notes(above, notes, style)
    seen: dict[str, Any] = {}
    for each, name in zip(axes, wanted, strict=True):
        measure = MEASURES[name]
        found = {d.plan: d.difference for d in comparison.differences if d.measure == name}
        differences(
            found,
            each,
            against=comparison.baseline,
            clear={d.plan: d.clear for d in comparison.differences if d.measure == name},
            measure=words_of(measure, compared.situation),
            share=measure.share,
            unit=measure.unit,
            style=style,
            good=measure.more,
        )
        seen |= {label: h for h, label in zip(*each.get_legend_handles_labels(), strict=True)}
        legend = each.get_legend()
        if legend is not None:
            legend.remove()
    legend_below(figure, seen, style)
    first: Axes = axes[0]
    return first


def _look_notes(compared: Compared, sizes: Sizes, style: Style) -> list[tuple[str, bool]]:
    """What each plan threw first, broken to the width, and whether its own look was hardly thrown."""
    notes = []
    for plan, shares in compared.looks.items():
        hardly = hardly_in_short(compared.situation, plan, shares)
        text = f"plan {plan}: {looks_in_short(shares, 2, kept=True)}"
        text = f"Careful, {text}; {hardly}" if hardly else text
        notes.append((broken(text, sizes.width, style), bool(hardly)))
    return notes


def write_notes(ax: Axes, notes: Sequence[tuple[str, bool]], style: Style) -> None:
    """Write notes below each other from the left edge of the figure; True is a warning."""
    ax.set_axis_off()
    size, above = style.sizes.text, 0
    for note, hardly in notes:
        ax.annotate(
            note,
            (0.0, 1.0),
            xycoords=("figure fraction", "axes fraction"),
            xytext=(0.5 * size, -LINE * size * above),
            textcoords="offset points",
            va="top",
            fontsize=size,
            linespacing=LINE / 1.2,
            color=WARNING if hardly else INK,
            gid="hardly thrown" if hardly else "looks thrown",
            annotation_clip=False,
        )
        above += note.count("\n") + 1


def differences(
    found: Mapping[str, Any],
    ax: Axes | None = None,
    *,
    against: str,
    clear: Mapping[str, bool] | None = None,
    measure: str = "completed",
    share: bool = True,
    unit: str = "",
    style: Style | None = None,
    good: int = 1,
) -> Axes:
    """Draw the differences of some plans against one plan.

    A difference that is clearly better is a filled circle, clearly worse a filled triangle, and one
    that may be either is an open square, so that they can be told apart in grey.

    Parameters
    ----------
    found : for each plan an `Estimate` of plan minus `against`, from the top.
    ax : axes to draw on; None makes a figure.
    against : the plan that the others are compared with.
    clear : which differences are told from zero, all judged together; None takes each that has
        zero outside of its own interval.
    measure : what the difference is in.
    share : True when the measure is a share: shown in percentage points.
    unit : "m" for lengths in metres, which are shown in the style's unit; otherwise as it is.
    style : units and sizes.
    good : 1 if more of the measure is better, -1 if less is.
    """
    style = style or Style()
    if ax is None:
        height = 1.6 + 0.36 * max(len(found), 2)
        ax = new_axes(style, height=height)
    factor = 100.0 if share else (style.per_metre if unit == "m" else 1.0)
    shown_unit = "points" if share else (style.units if unit == "m" else unit)
    line, size = style.sizes.line, style.sizes.marker
    # What has no unit, such as a score, differs by less than a tenth.
    form = "+.1f" if shown_unit else "+.3f"
    ax.axvline(0.0, color=LINES, linewidth=line, gid="no difference")
    seen: set[str] = set()
    for row, (plan, estimate) in enumerate(found.items()):
        middle, low, high = (factor * v for v in (estimate.estimate, estimate.low, estimate.high))
        sure = low > 0.0 or high < 0.0 if clear is None else clear[plan]
        side = ("better" if good * middle > 0.0 else "worse") if sure else "may be either"
        marker, colour = SIDES[side]
        if np.isfinite([low, high]).all():
            ax.plot(
                [low, high], [row, row], color=colour, linewidth=1.8 * line, gid=f"interval {row}"
            )
        ax.plot(
            [middle],
            [row],
            marker=marker,
            color=colour,
            markersize=0.8 * size,
            markerfacecolor=colour if sure else "white",
            markeredgewidth=1.4 * line,
            gid=f"difference {row}",
            linestyle="none",
            label=side if side not in seen else None,
        )
        seen.add(side)
        ax.text(
            1.02,
            row,
            minus(f"{middle:{form}} ({low:{form}} to {high:{form}})"),
            transform=ax.get_yaxis_transform(),
            va="center",
            fontsize=style.sizes.text,
            color=INK,
        )
    ax.set_yticks(range(len(found)), list(found))
    for label in ax.get_yticklabels():
        label.set_parse_math(False)
    ax.set_ylim(len(found) - 0.5, -0.5)
    ax.margins(x=0.08)
    plain_frame(ax)
    words = f"{measure}: more or less than {against} ({shown_unit})".replace(" ()", "")
    return dress(ax, style, x=words, legend=legend_above(ax, style))
