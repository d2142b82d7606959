"""The cones of a drill card, with the runner's way between them."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import INK, LINES, OFFENCE, Style, new_axes
from experiments.handouts.drill import Cone, DrillCard


def drill(card: DrillCard, ax: Axes | None = None, *, style: Style | None = None) -> Axes:
    """Draw the cones by letter, the runner's way and a line as long as five paces.

    Parameters
    ----------
    card : the drill card.
    ax : axes to draw on; None makes a figure.
    style : units, sizes and direction.
    """
    style = style or Style()
    if ax is None:
        ax = new_axes(style, 3.2, 2.6) if style.size == "page" else new_axes(style)
    sizes = style.sizes
    spots = np.array([[cone.right, cone.downfield] for cone in card.cones])
    if len(card.run):
        u, v = style.place(card.run[:, 0], card.run[:, 1])
        ax.plot(u, v, color=OFFENCE, linewidth=1.6 * sizes.line, zorder=1, gid="run")
    u, v = style.place(spots[:, 0], spots[:, 1])
    ax.plot(
        u,
        v,
        linestyle="none",
        marker="^",
        markersize=1.9 * sizes.text,
        markerfacecolor="white",
        markeredgecolor=INK,
        markeredgewidth=1.2 * sizes.line,
        zorder=2,
        gid="cones",
    )
    for cone, across, along in zip(card.cones, u, v, strict=True):
        ax.annotate(
            cone.letter,
            xy=(across, along),
            xytext=(0, -0.25 * sizes.text),
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=sizes.text,
            weight="bold",
            color=INK,
            zorder=3,
            gid="letter",
        )
    _frame(ax, card.cones, card, style)
    return ax


def _frame(ax: Axes, cones: tuple[Cone, ...], card: DrillCard, style: Style) -> None:
    """Equal scale, room around the cones, and a scale in paces under them."""
    spots = np.concatenate([[[c.right, c.downfield] for c in cones], card.run.reshape(-1, 2)])
    least, most = spots.min(axis=0), spots.max(axis=0)
    low, high = least - np.array([2.5, 4.5]), most + np.array([2.5, 2.0])
    bar = 5.0 * card.pace
    left = float((low[0] + high[0] - bar) / 2.0)
    under = float(low[1] + 1.9)
    if not style.upright:
        low, high = least - np.array([2.5, 2.5]), most + np.array([4.0, 2.5])
    u, v = style.place([low[0], high[0]], [low[1], high[1]])
    ax.set_xlim(float(u.min()), float(u.max()))
    ax.set_ylim(float(v.min()), float(v.max()))
    ax.set_aspect("equal")
    ax.set_axis_off()
    if style.upright:
        start, end = style.place(left, under), style.place(left + bar, under)
    else:
        ground = float(spots[:, 1].min())
        start = style.place(float(high[0]) - 1.0, ground)
        end = style.place(float(high[0]) - 1.0, ground + bar)
    ax.plot(
        [start[0], end[0]],
        [start[1], end[1]],
        color=LINES,
        linewidth=1.6 * style.sizes.line,
        marker="|",
        markersize=0.8 * style.sizes.marker,
        gid="scale",
    )
    way = "\N{UPWARDS ARROW}" if style.upright else "\N{RIGHTWARDS ARROW}"
    ax.annotate(
        f"5 paces of {float(style.length(card.pace)):.2f} {style.units};  {way} downfield",
        xy=((start[0] + end[0]) / 2, start[1]),
        xytext=(0, -0.7 * style.sizes.text),
        textcoords="offset points",
        ha="center",
        va="top",
        fontsize=style.sizes.text,
        color=INK,
        gid="scale words",
    )
