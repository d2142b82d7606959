"""How often a pass is completed as one setting changes, with the settings as good as the best."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
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
from experiments.words.looks import HARDLY
from experiments.words.wording import minus


def timing(
    curve: pd.DataFrame,
    ax: Axes | None = None,
    *,
    setting: str,
    unit: str = "s",
    window: tuple[float, float] | None = None,
    hardly: str = "first look",
    now: float | None = None,
    measure: str = "completed",
    share: bool = True,
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw a curve with its band of intervals and, if given, a window of settings.

    Parameters
    ----------
    curve : columns `value`, `estimate`, `low`, `high`; one row a setting. A column `hardly` of true
        and false marks where something else was thrown, up to half way to the next setting.
    ax : axes to draw on; None makes a figure.
    setting, unit : what is varied; the words of the x axis.
    window : first and last setting of those as good as the best, drawn as a strip.
    hardly : what was hardly thrown there.
    now : the setting in use, drawn as a dotted line.
    measure : what is estimated; the words of the y axis.
    share : True when the measure is a share, shown in per cent.
    title : of the chart.
    style : sizes.
    """
    style = style or Style()
    curve = curve.sort_values("value")
    if ax is None:
        ax = new_axes(style, height=3.8)
    value = curve["value"].to_numpy(dtype=float)
    middle, low, high = (curve[c].to_numpy(dtype=float) for c in ("estimate", "low", "high"))
    line = style.sizes.line
    if window is not None:
        label = minus(f"{window[0]:g} to {window[1]:g} {unit}".rstrip())
        label = f"as good as the best: {label}"
        ax.axvspan(*window, facecolor="#E3E3E3", edgecolor="none", label=label, gid="window")
    label = f"{hardly} {HARDLY}"
    for low_end, high_end in _spans(value, curve.get("hardly")):
        look: dict[str, Any] = {
            "facecolor": "none",
            "edgecolor": COVERED,
            "hatch": "//",
            "linewidth": 0.0,
        }
        ax.axvspan(low_end, high_end, **look, label=label, gid="hardly thrown")
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
        label=measure,
        gid="curve",
    )
    if now is not None:
        label = f"in use: {minus(f'{now:g}')} {unit}".rstrip()
        ax.axvline(now, color=INK, linestyle=":", linewidth=1.4 * line, label=label, gid="now")
    if share:
        percent_axis(ax.yaxis)
        room = max(0.02, 0.08 * float(np.nanmax(high) - np.nanmin(low)))
        bottom, top = max(0.0, np.nanmin(low) - room), min(1.0, np.nanmax(high) + room)
        ax.set_ylim(bottom, top)
    plain_frame(ax)
    words = f"{setting} ({unit})" if unit else setting
    return dress(ax, style, title=title, x=words, y=measure, legend=legend_above(ax, style))


def _spans(value: np.ndarray, flags: pd.Series | None) -> list[tuple[float, float]]:
    """From where to where a flag is set, each setting standing for what is nearest to it."""
    if flags is None:
        return []
    ends = np.concatenate([value[:1], (value[1:] + value[:-1]) / 2.0, value[-1:]])
    set_ = np.concatenate([[False], flags.to_numpy(dtype=bool), [False]])
    starts, stops = np.flatnonzero(~set_[:-1] & set_[1:]), np.flatnonzero(set_[:-1] & ~set_[1:])
    return [(float(ends[a]), float(ends[b])) for a, b in zip(starts, stops, strict=True)]
