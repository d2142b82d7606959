"""What is measured as one setting changes, with the values as good as the best."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import (
    COVERED,
    INK,
    OFFENCE,
    Style,
    dress,
    legend_above,
    new_axes,
    percent_axis,
    plain_frame,
)
from experiments.situations.setting_paths import is_number
from experiments.studies.vary import Varied, first_look
from experiments.words.looks import HALF, HARDLY
from experiments.words.measured import axis_of, headline, measure_axis, span, unit_of


def curve(found: Varied, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw a measure as one setting changes, with its intervals and the window that is as good.

    Hatched is where something else than the plan's first look was thrown, up to half way to the
    next value; dotted is the value in use.
    """
    style = style or Style()
    if ax is None:
        ax = new_axes(style, height=3.8)
    (setting,), measure = found.settings, found.measure
    points = sorted(found.points, key=lambda point: point.values)
    value = np.array([point.values[0] for point in points])
    middle, low, high = (
        np.array([getattr(point.found[measure.name], part) for point in points])
        for part in ("estimate", "low", "high")
    )
    words, line = measure_axis(measure, found.situation), style.sizes.line
    if found.window is not None:
        label = f"as good as the best: {span(found.window, unit_of(setting))}"
        ax.axvspan(*found.window, facecolor="#E3E3E3", edgecolor="none", label=label, gid="window")
    label = f"{first_look(found.situation)} {HARDLY}"
    look: dict[str, Any] = {
        "facecolor": "none",
        "edgecolor": COVERED,
        "hatch": "//",
        "linewidth": 0.0,
    }
    for ends in _spans(value, np.array([point.first_look.estimate < HALF for point in points])):
        ax.axvspan(*ends, **look, label=label, gid="hardly thrown")
        label = "_"
    ax.fill_between(
        value, low, high, color=OFFENCE, alpha=0.25, linewidth=0, label="interval", gid="band"
    )
    ax.plot(
        value,
        middle,
        color=OFFENCE,
        linewidth=1.8 * line,
        marker="o",
        markersize=0.6 * style.sizes.marker,
        label=words,
        gid="curve",
    )
    if is_number(setting.value):
        label = f"in use: {span((setting.value, setting.value), unit_of(setting))}"
        ax.axvline(
            setting.value, color=INK, linestyle=":", linewidth=1.4 * line, label=label, gid="now"
        )
    if measure.share:
        percent_axis(ax.yaxis)
        room = max(0.02, 0.08 * float(np.nanmax(high) - np.nanmin(low)))
        ax.set_ylim(max(0.0, np.nanmin(low) - room), min(1.0, np.nanmax(high) + room))
    plain_frame(ax)
    above, title = legend_above(ax, style), headline(found.situation)
    return dress(ax, style, title=title, x=axis_of(setting), y=words, legend=above)


def _spans(value: np.ndarray, flags: np.ndarray) -> list[tuple[float, float]]:
    """From where to where a flag is set, each setting standing for what is nearest to it."""
    ends = np.concatenate([value[:1], (value[1:] + value[:-1]) / 2.0, value[-1:]])
    set_ = np.concatenate([[False], flags, [False]])
    starts, stops = np.flatnonzero(~set_[:-1] & set_[1:]), np.flatnonzero(set_[:-1] & ~set_[1:])
    return [(float(ends[a]), float(ends[b])) for a, b in zip(starts, stops, strict=True)]
