"""Differences between plans on the same luck, each with its interval, in one column."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
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
    plain_frame,
)
from experiments.words.wording import minus

SIDES = {"better": ("o", OFFENCE), "worse": ("v", DEFENCE), "may be either": ("s", INK)}


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
