"""What is measured as one setting changes, with the values as good as the best."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import HATCHED, Style, chart, percent_axis
from experiments.situations.tables import is_number
from experiments.studies.vary import Varied, first_look
from experiments.words.looks import HALF, HARDLY
from experiments.words.measured import axis_of, headline, in_use, measure_axis, span, unit_of


@chart
def curve(found: Varied, ax: Axes | None, style: Style) -> Axes:
    """Draw a measure as one setting changes, with its intervals and the window that is as good.

    Hatched is where something else than the plan's first look was thrown, up to half way to the
    next value; dotted is the value in use.
    """
    ax = style.axes(ax, 3.8)
    (setting,), measure = found.settings, found.measure
    points = sorted(found.points, key=lambda point: point.values)
    value = np.array([point.values[0] for point in points])
    estimates = [point.found[measure.name] for point in points]
    if found.window is not None:
        label = f"as good as the best: {span(found.window, unit_of(setting))}"
        ax.axvspan(*found.window, facecolor="#E3E3E3", edgecolor="none", label=label, gid="window")
    label = f"{first_look(found.situation)} {HARDLY}"
    for ends in _spans(value, np.array([point.first_look.estimate < HALF for point in points])):
        ax.axvspan(*ends, **HATCHED, hatch="//", label=label, gid="hardly thrown")
        label = "_"
    words = measure_axis(measure, found.situation)
    style.band(ax, value, estimates, interval="interval", label=words)
    if is_number(setting.value):
        style.now(ax, setting.value, in_use(setting))
    if measure.share:
        percent_axis(ax.yaxis)
        low, high = np.nanmin([e.low for e in estimates]), np.nanmax([e.high for e in estimates])
        room = max(0.02, 0.08 * float(high - low))
        ax.set_ylim(max(0.0, low - room), min(1.0, high + room))
    title = headline(found.situation)
    return style.dress(ax, title=title, x=axis_of(setting), y=words, legend=True)


def _spans(value: np.ndarray, flags: np.ndarray) -> list[tuple[float, float]]:
    """From where to where a flag is set, each setting standing for what is nearest to it."""
    ends = np.concatenate([value[:1], (value[1:] + value[:-1]) / 2.0, value[-1:]])
    set_ = np.concatenate([[False], flags, [False]])
    starts, stops = np.flatnonzero(~set_[:-1] & set_[1:]), np.flatnonzero(set_[:-1] & ~set_[1:])
    return [(float(ends[a]), float(ends[b])) for a, b in zip(starts, stops, strict=True)]
