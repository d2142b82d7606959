"""Offence plans against defence plans: values with intervals, and the mix of each side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from experiments.charts.heat import MAP, places
from experiments.charts.style import DEFENCE, INK, OFFENCE, Style, dress, ink_on, new_axes
from experiments.words.wording import minus, percent


def matchup(
    values: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    ax: Axes | None = None,
    *,
    offence: Sequence[str],
    defence: Sequence[str],
    offence_mix: np.ndarray | None = None,
    defence_mix: np.ndarray | None = None,
    game_value: float | None = None,
    measure: str = "completed",
    share: bool = True,
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw the table of a matchup.

    Parameters
    ----------
    values, low, high : (offence plans, defence plans) estimates and their intervals.
    ax : axes to draw on; None makes a figure.
    offence, defence : names of the plans.
    offence_mix, defence_mix : how often each plan is to be played, shares that add up to 1.
    game_value : what the offence gets when both sides mix so.
    measure : what the values are.
    share : True when they are shares, shown in per cent.
    title : of the chart.
    style : sizes.
    """
    style = style or Style()
    rows, columns = np.shape(values)
    mixes = offence_mix is not None and defence_mix is not None
    if ax is None:
        text = style.sizes.text
        height = None if style.size == "clinic" else 1.2 + (rows + mixes) * text * 5.0 / 72.0
        ax = new_axes(style, height=height)
    norm = Normalize(float(np.nanmin(values)), float(np.nanmax(values)) + 1e-9)
    mesh = ax.pcolormesh(
        np.arange(columns + 1) - 0.5,
        np.arange(rows + 1) - 0.5,
        values,
        cmap=MAP,
        norm=norm,
        edgecolor="white",
        linewidth=style.sizes.line,
    )
    mesh.set_gid("cells")
    factor = 100.0 if share else 1.0
    form = f".{places(factor * np.asarray(values, dtype=float))}f"
    for row in range(rows):
        for column in range(columns):
            value, least, most = (factor * float(a[row, column]) for a in (values, low, high))
            paper = colormaps[MAP](norm(values[row, column]))
            ax.text(
                column,
                row,
                minus(f"{value:{form}}\n{least:{form}} to {most:{form}}"),
                ha="center",
                va="center",
                fontsize=style.sizes.text,
                color=ink_on(paper),
                linespacing=1.3,
                gid="number",
            )
    if mixes:
        assert offence_mix is not None
        assert defence_mix is not None
        _mixes(ax, np.asarray(offence_mix), np.asarray(defence_mix), style)
    ax.set_xlim(-0.5, columns - 0.5 + (1.05 if mixes else 0.0))
    ax.set_ylim(rows - 0.5 + (0.75 if mixes else 0.0), -0.5)
    _names(ax, offence, defence, style, mixes=mixes)
    words = f"{measure}, per cent, with its interval" if share else f"{measure}, with its interval"
    if game_value is not None:
        shown = percent(game_value, 1) if share else minus(f"{game_value:{form}}")
        words += f"\n{shown} when both sides play their mix"
    dress(ax, style, title=title, x=words)
    ax.tick_params(length=0)
    for spine in ax.spines.values():
        spine.set_visible(False)
    return ax


def _names(
    ax: Axes, offence: Sequence[str], defence: Sequence[str], style: Style, *, mixes: bool
) -> None:
    """Offence plans at the left, defence plans on top, in the words and colours of their side."""
    below = ["defence's mix"] if mixes else []
    beside = ["offence's\nmix"] if mixes else []
    ax.set_yticks([*range(len(offence)), *([len(offence) - 0.1] if mixes else [])])
    ax.set_yticklabels([*offence, *below])
    ax.set_xticks([*range(len(defence)), *([len(defence)] if mixes else [])])
    ax.set_xticklabels([_two_lines(name) for name in defence] + beside)
    ax.xaxis.tick_top()
    ax.xaxis.set_label_position("bottom")
    for label in (*ax.get_xticklabels(), *ax.get_yticklabels()):
        label.set_parse_math(False)


def _two_lines(name: str) -> str:
    """A long name broken at the space or hyphen nearest its middle."""
    if len(name) <= 11:
        return name
    breaks = [i for i, letter in enumerate(name) if letter in " -"]
    if not breaks:
        return name
    at = min(breaks, key=lambda i: abs(i - len(name) / 2))
    return name[: at + (name[at] == "-")] + "\n" + name[at + 1 :]


def _mixes(ax: Axes, offence: np.ndarray, defence: np.ndarray, style: Style) -> None:
    """Bars as long as the share of each plan, with the share beside or in them."""
    rows, columns = len(offence), len(defence)
    look: dict[str, Any] = {"fontsize": style.sizes.text, "color": INK}
    for row, part in enumerate(offence):
        corner = (columns - 0.42, row + 0.12)
        ax.add_patch(Rectangle(corner, 0.9 * part, 0.22, color=OFFENCE, gid="offence mix"))
        ax.text(
            columns - 0.42,
            row - 0.12,
            percent(float(part), 0),
            va="center",
            **look,
        )
    for column, part in enumerate(defence):
        corner = (column - 0.45, rows - 0.32)
        ax.add_patch(Rectangle(corner, 0.9 * part, 0.16, color=DEFENCE, gid="defence mix"))
        ax.text(
            column - 0.45,
            rows + 0.02,
            percent(float(part), 0),
            va="center",
            **look,
        )
