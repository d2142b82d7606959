"""Everything a search tried, setting by setting: the best, what is as good, what is worse."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from experiments.charts.style import DEFENCE, LINES, OFFENCE, Style, chart, own_figure, percent_axis
from experiments.statistics.estimates import Estimate
from experiments.studies.tuning.result import Tuned
from experiments.words.looks import warned_title
from experiments.words.measured import axis_of, in_use, measure_axis

COLUMNS = 2
# Words, marker, colour, whether it is filled.
KINDS = (
    ("clearly worse", "s", LINES, False),
    ("as good as the best", "o", OFFENCE, True),
    ("best, with other luck", "*", DEFENCE, True),
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
    keys = {
        label.partition(":")[0]: mark
        for mark, label in zip(*axes[0].get_legend_handles_labels(), strict=True)
    }
    style.legend_below(figure, keys, 4)
    first: Axes = axes[0]
    return first


def _tried(found: Tuned, place: int, ax: Axes, style: Style) -> str:
    """Draw the trials against one setting, and say what is measured."""
    r, measure = found.ranges[place], found.judge.measure
    line, size = style.sizes.line, style.sizes.marker
    kinds: list[list[tuple[float, Estimate]]] = [[], [], []]
    for entry in found.tried:
        shown = found.fresh if entry.best else entry.found
        kinds[2 if entry.best else int(entry.as_good)].append((entry.values[place], shown))
    for (words, marker, colour, filled), rows in zip(KINDS, kinds, strict=True):
        if not rows:
            continue
        values = [value for value, _ in rows]
        ends = [e.low for _, e in rows], [e.high for _, e in rows]
        gid, star = f"intervals {words}", marker == "*"
        ax.vlines(values, *ends, color=colour, linewidth=line, alpha=0.6, gid=gid)
        look: dict[str, Any] = {"color": colour, "label": words, "gid": words}
        look |= {"markerfacecolor": colour if filled else "white", "zorder": 4 if star else 3}
        middle = [estimate.estimate for _, estimate in rows]
        ax.plot(values, middle, marker, markersize=(1.5 if star else 0.7) * size, **look)
    if r.now is not None:
        style.now(ax, r.now, in_use(r.setting))
    ax.margins(x=0.05)
    if measure.share:
        percent_axis(ax.yaxis)
    return measure_axis(measure, found.situation)
