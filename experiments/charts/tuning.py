"""Everything a search tried, setting by setting: the best, what is as good, what is worse."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import DEFENCE, LINES, OFFENCE, Style, chart, own_figure, percent_axis
from experiments.studies.tuning.result import Tuned
from experiments.words.looks import warned_title
from experiments.words.measured import axis_of, in_use, measure_axis

COLUMNS = 2
# Words, marker, colour, whether it is filled, and its size in markers of the style.
KINDS = (
    ("clearly worse", "s", LINES, False, 0.7),
    ("as good as the best", "o", OFFENCE, True, 0.7),
    ("best, with other luck", "*", DEFENCE, True, 1.5),
)


@chart
def tuning(found: Tuned, ax: Axes | None, style: Style) -> Axes:
    """Draw what was tried against each setting, with its interval; several settings side by side.

    The figure of the best comes from luck that had no say in choosing it. Of several settings,
    trials with one value of one may differ in the others.
    """
    title = warned_title(found.situation, found.fresh_looks)
    if len(found.ranges) == 1:
        ax = style.axes(ax, 4.2)
        words, below = _tried(found, 0, ax, style), axis_of(found.ranges[0].setting)
        return style.dress(ax, title=title, x=below, y=words, legend=True)
    own_figure(ax, "tuning of several settings")
    lines = -(-len(found.ranges) // COLUMNS)
    figure = style.figure(0.9 + 3.1 * lines, title)
    axes = figure.subplots(lines, COLUMNS, squeeze=False, sharey=True).ravel()
    for place, (ax, r) in enumerate(zip(axes, found.ranges, strict=False)):
        words = _tried(found, place, ax, style)
        style.dress(ax, x=axis_of(r.setting), y=words if place % COLUMNS == 0 else "")
    for ax in axes[len(found.ranges) :]:
        ax.set_visible(False)
    marks, labels = axes[0].get_legend_handles_labels()
    keys = [label.partition(":")[0] for label in labels]
    style.legend_below(figure, dict(zip(keys, marks, strict=True)), 4)
    return axes[0]


def _tried(found: Tuned, place: int, ax: Axes, style: Style) -> str:
    """Draw the trials against one setting, and say what is measured."""
    r, measure, star = found.ranges[place], found.judge.measure, len(KINDS) - 1
    for kind, (words, marker, colour, filled, size) in enumerate(KINDS):
        some = [trial for trial in found.tried if kind == (star if trial.best else trial.as_good)]
        if not some:
            continue
        shown = [found.fresh if trial.best else trial.found for trial in some]
        values = [trial.values[place] for trial in some]
        low, middle, high = np.array([(e.low, e.estimate, e.high) for e in shown]).T
        look: dict[str, Any] = {"alpha": 0.6, "linewidth": style.sizes.line}
        ax.vlines(values, low, high, color=colour, gid=f"intervals {words}", **look)
        look = {"color": colour, "markerfacecolor": colour if filled else "white"}
        look |= {"markersize": size * style.sizes.marker, "zorder": 4 if kind == star else 3}
        ax.plot(values, middle, marker, label=words, gid=words, **look)
    if r.now is not None:
        style.now(ax, r.now, in_use(r.setting))
    ax.margins(x=0.05)
    if measure.share:
        percent_axis(ax.yaxis)
    return measure_axis(measure, found.situation)
