"""Everything a search tried, setting by setting: the best, what is as good, what is worse."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes

from experiments.charts.style import (
    DEFENCE,
    INK,
    LINES,
    OFFENCE,
    Style,
    dress,
    legend_above,
    new_axes,
    new_figure,
    percent_axis,
    plain_frame,
)
from experiments.words.wording import minus

# Words, marker, colour, whether it is filled.
KINDS = (
    ("clearly worse", "s", LINES, False),
    ("as good as the best", "o", OFFENCE, True),
    ("best, with other luck", "*", DEFENCE, True),
)


def tuning(
    tried: pd.DataFrame,
    ax: Axes | None = None,
    *,
    setting: str,
    unit: str = "",
    now: float | None = None,
    measure: str = "score",
    share: bool = False,
    title: str = "",
    style: Style | None = None,
    legend: bool = True,
) -> Axes:
    """Draw what was tried against one setting, each with its interval.

    Parameters
    ----------
    tried : columns `value`, `estimate`, `low`, `high`, `as_good`, `best`; one row a trial. The
        figure of the best is to come from luck that had no say in choosing it. Of
        several settings, rows with one value of this may differ in the others.
    ax : axes to draw on; None makes a figure.
    setting, unit : what is tuned; the words of the x axis.
    now : the value in use, drawn as a dotted line.
    measure : what is estimated; the words of the y axis.
    share : True when the measure is a share, shown in per cent.
    title : of the chart.
    style : sizes.
    legend : False leaves out the legend.
    """
    style = style or Style()
    if ax is None:
        ax = new_axes(style, height=4.2)
    best, good = tried["best"].to_numpy(bool), tried["as_good"].to_numpy(bool)
    line, size = style.sizes.line, style.sizes.marker
    for (words, marker, colour, filled), chosen in zip(
        KINDS, (~good, good & ~best, best), strict=True
    ):
        rows = tried[chosen]
        if rows.empty:
            continue
        ax.vlines(
            rows["value"],
            rows["low"],
            rows["high"],
            color=colour,
            linewidth=line,
            alpha=0.6,
            gid=f"intervals {words}",
        )
        ax.plot(
            rows["value"],
            rows["estimate"],
            linestyle="none",
            marker=marker,
            color=colour,
            markerfacecolor=colour if filled else "white",
            markersize=(1.5 if marker == "*" else 0.7) * size,
            label=words,
            gid=words,
            zorder=4 if marker == "*" else 3,
        )
    if now is not None:
        label = f"in use: {minus(f'{now:g}')} {unit}".rstrip() if legend else None
        ax.axvline(now, color=INK, linestyle=":", linewidth=1.4 * line, label=label, gid="now")
    ax.margins(x=0.05)
    if share:
        percent_axis(ax.yaxis)
    plain_frame(ax)
    words = f"{setting} ({unit})" if unit else setting
    above = legend_above(ax, style) if legend else None
    return dress(ax, style, title=title, x=words, y=measure, legend=above)


def tuning_of_settings(
    tried: Sequence[pd.DataFrame],
    settings: Sequence[str],
    units: Sequence[str],
    now: Sequence[float | None],
    *,
    measure: str = "score",
    share: bool = False,
    title: str = "",
    style: Style | None = None,
) -> tuple[Axes, ...]:
    """Draw the same trials against each of several settings, side by side."""
    style = style or Style()
    columns = min(2, len(settings))
    lines = -(-len(settings) // columns)
    sizes = style.sizes
    height = 0.9 + 3.1 * lines
    figure = new_figure(style, height, title)
    axes = figure.subplots(lines, columns, squeeze=False, sharey=True).ravel()
    for place, ax in enumerate(axes):
        if place >= len(settings):
            ax.set_visible(False)
            continue
        tuning(
            tried[place],
            ax,
            setting=settings[place],
            unit=units[place],
            now=now[place],
            measure=measure if place % columns == 0 else "",
            share=share,
            style=style,
            legend=False,
        )
    handles, labels = axes[0].get_legend_handles_labels()
    dotted = [line for line in axes[0].get_lines() if line.get_gid() == "now"]
    legend = figure.legend(
        [*handles, *dotted],
        [*labels, *(["in use"] if dotted else [])],
        loc="outside lower left",
        ncols=4,
        frameon=False,
        fontsize=sizes.text,
    )
    legend.set_gid("legend")
    return tuple(np.asarray(axes[: len(settings)]))
