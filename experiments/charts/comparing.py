"""All differences of a comparison: a row of intervals for each measure."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from experiments.charts.differences import differences
from experiments.charts.style import INK, PAD, Style, fit_title
from experiments.measures import MEASURES
from experiments.telling import words_of


def differences_of_measures(
    compared: Any, *, title: str = "", style: Style | None = None
) -> tuple[Axes, ...]:
    """Draw every measure of a comparison below the other, each on a scale of its own.

    Parameters
    ----------
    compared : `experiments.comparing.Compared`.
    title : of the figure.
    style : units and sizes.
    """
    style = style or Style()
    comparison = compared.comparison
    measures = list(dict.fromkeys(d.measure for d in comparison.differences))
    plans = len({d.plan for d in comparison.differences})
    sizes = style.sizes
    height = sizes.height if style.size == "clinic" else 0.9 + len(measures) * (0.62 + 0.3 * plans)
    figure = Figure(figsize=(sizes.width, height))
    FigureCanvasAgg(figure)
    figure.set_layout_engine("constrained", h_pad=PAD, w_pad=PAD)
    axes = figure.subplots(len(measures), 1, squeeze=False).ravel()
    seen: dict[str, Any] = {}
    for ax, name in zip(axes, measures, strict=True):
        measure = MEASURES[name]
        found = {d.plan: d.difference for d in comparison.differences if d.measure == name}
        differences(
            found,
            ax,
            against=comparison.baseline,
            measure=words_of(measure, compared.situation),
            share=measure.share,
            unit=measure.unit,
            style=style,
        )
        seen |= {label: h for h, label in zip(*ax.get_legend_handles_labels(), strict=True)}
        legend = ax.get_legend()
        if legend is not None:
            legend.remove()
    legend = figure.legend(
        list(seen.values()),
        list(seen),
        loc="outside lower left",
        ncols=3,
        frameon=False,
        fontsize=sizes.text,
    )
    legend.set_gid("legend")
    if title:
        words, size = fit_title(title, figure.get_figwidth(), style)
        figure.suptitle(words, fontsize=size, color=INK, x=0.01, ha="left", parse_math=False)
    return tuple(np.asarray(axes))
