"""All differences of a comparison: a row of intervals for each measure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from experiments.charts.canvas import ChartFigure
from experiments.charts.differences import differences
from experiments.charts.style import INK, PAD, Style, fit_title
from experiments.statistics.measures import MEASURES
from experiments.words.measured import words_of


def differences_of_measures(
    compared: Any,
    *,
    measures: Sequence[str] | None = None,
    title: str = "",
    style: Style | None = None,
) -> tuple[Axes, ...]:
    """Draw the measures of a comparison below each other, each on a scale of its own.

    A page shows all of them. A clinic slide shows as many as stay readable, and names the others.

    Parameters
    ----------
    compared : `experiments.studies.compare.Compared`.
    measures : names of those to show, in order; None takes all that were compared.
    title : of the figure.
    style : units and sizes.

    Raises
    ------
    ValueError : a measure was not compared.
    """
    style = style or Style()
    comparison = compared.comparison
    known = list(dict.fromkeys(d.measure for d in comparison.differences))
    wanted = known if measures is None else list(measures)
    unknown = [name for name in wanted if name not in known]
    if unknown:
        raise ValueError(f"not compared: {', '.join(unknown)}; compared are {', '.join(known)}")
    plans = len({d.plan for d in comparison.differences})
    sizes = style.sizes
    height = 0.9 + len(wanted) * (0.62 + 0.3 * plans)
    left_out: list[str] = []
    if style.size == "clinic":
        height, fits = sizes.height, int((sizes.height - 1.4) / (0.95 + 0.42 * plans))
        wanted, left_out = wanted[: max(fits, 1)], wanted[max(fits, 1) :]
    figure = ChartFigure(figsize=(sizes.width, height))
    figure.set_layout_engine("constrained", h_pad=PAD, w_pad=PAD)
    axes = figure.subplots(len(wanted), 1, squeeze=False).ravel()
    seen: dict[str, Any] = {}
    for ax, name in zip(axes, wanted, strict=True):
        measure = MEASURES[name]
        found = {d.plan: d.difference for d in comparison.differences if d.measure == name}
        differences(
            found,
            ax,
            against=comparison.baseline,
            clear={d.plan: d.clear for d in comparison.differences if d.measure == name},
            measure=words_of(measure, compared.situation),
            share=measure.share,
            unit=measure.unit,
            style=style,
            good=measure.more,
        )
        seen |= {label: h for h, label in zip(*ax.get_legend_handles_labels(), strict=True)}
        legend = ax.get_legend()
        if legend is not None:
            legend.remove()
    if left_out:
        others = [words_of(MEASURES[name], compared.situation) for name in left_out]
        # No mark of its own: it stands in the legend as words alone.
        seen[f"not shown: {', '.join(others)}"] = Line2D([], [], linestyle="none")
    legend = figure.legend(
        list(seen.values()),
        list(seen),
        loc="outside lower left",
        ncols=4 if left_out else 3,
        columnspacing=1.2,
        frameon=False,
        fontsize=sizes.text,
    )
    legend.set_gid("legend")
    if title:
        words, size = fit_title(title, figure.get_figwidth(), style)
        figure.suptitle(words, fontsize=size, color=INK, x=0.01, ha="left", parse_math=False)
    return tuple(np.asarray(axes))
