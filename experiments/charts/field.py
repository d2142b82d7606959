"""The field: sidelines, goal lines, end zones and brick marks, or the part of it that matters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from experiments.charts.style import INK, LINES, SHADE, Style, new_axes
from experiments.words.wording import minus

# Metres shown beyond the lines, and at most when something ends out there.
MARGIN, OUTSIDE = 2.0, 14.0
# Read along the axis, it points to where the offence attacks.
ARROW = "\N{RIGHTWARDS ARROW}"


@dataclass(frozen=True)
class Window:
    """The part of the field that is shown, in metres: low and high x, low and high y."""

    left: float
    right: float
    low: float
    high: float

    def holds(self, x: Any, y: Any) -> np.ndarray:
        """Which points are inside."""
        x, y = np.asarray(x), np.asarray(y)
        return (x >= self.left) & (x <= self.right) & (y >= self.low) & (y <= self.high)


def whole(field: Any, margin: float = MARGIN) -> Window:
    """The window that shows all of a field."""
    return Window(
        -field.half_width - margin,
        field.half_width + margin,
        -field.end_zone - margin,
        field.length + field.end_zone + margin,
    )


def around(field: Any, points: Iterable[Any], margin: float = 4.0, least: float = 26.0) -> Window:
    """The window over the full width that holds the points.

    The full width is always shown, because how near a sideline is, is what the coach looks for.
    It reaches beyond the lines where points do, but at most `OUTSIDE` metres.

    Parameters
    ----------
    field : the field.
    points : arrays (..., 2) of x and y in metres; entries that are not finite are left out.
    margin : metres kept free beyond the outermost point.
    least : the window is at least this many metres long.
    """
    stacked = np.concatenate([np.asarray(p, dtype=float).reshape(-1, 2) for p in points])
    stacked = stacked[np.isfinite(stacked).all(axis=1)]
    all_of_it = whole(field)
    if len(stacked) == 0:
        return all_of_it
    all_of_it = _reaching(all_of_it, stacked)
    low, high = stacked[:, 1].min() - margin, stacked[:, 1].max() + margin
    short = max(0.0, least - (high - low)) / 2.0
    low, high = max(low - short, all_of_it.low), min(high + short, all_of_it.high)
    # What an end of the field took away is given on the other side.
    low = max(min(low, high - least), all_of_it.low)
    high = min(max(high, low + least), all_of_it.high)
    return Window(all_of_it.left, all_of_it.right, float(low), float(high))


def _reaching(window: Window, points: np.ndarray) -> Window:
    """The window made larger where points lie outside of it."""
    lowest, highest = points.min(axis=0) - MARGIN, points.max(axis=0) + MARGIN
    return Window(
        float(np.clip(lowest[0], window.left - OUTSIDE, window.left)),
        float(np.clip(highest[0], window.right, window.right + OUTSIDE)),
        float(np.clip(lowest[1], window.low - OUTSIDE, window.low)),
        float(np.clip(highest[1], window.high, window.high + OUTSIDE)),
    )


def field_figure(window: Window, style: Style, *, panel: bool = True) -> Axes:
    """New axes whose figure has the shape of the window, with room for a panel beside it."""
    sizes = style.sizes
    across, along = window.right - window.left, window.high - window.low
    if not style.upright:
        across, along = along, across
    room = sizes.width - (2.45 if panel else 0.0) - 0.6
    height = float(np.clip(room * along / across + 0.85, 3.4, 9.4))
    return new_axes(style, height=height)


def draw_field(
    field: Any, ax: Axes | None = None, *, style: Style | None = None, window: Window | None = None
) -> Axes:
    """Draw the lines of a field in the style's units and direction.

    Parameters
    ----------
    field : `sim.field.Field`.
    ax : axes to draw on; None makes a figure.
    style : units, sizes and direction.
    window : the part shown; None shows all of it.

    Returns
    -------
    The axes, with equal scale in both directions and limits set to the window.
    """
    style = style or Style()
    window = window or whole(field)
    if ax is None:
        ax = field_figure(window, style, panel=False)
    half, goal, back = field.half_width, field.length, field.length + field.end_zone
    for low, high, name in ((goal, back, "attacked"), (-field.end_zone, 0.0, "defended")):
        corners = [(-half, low), (half, low), (half, high), (-half, high)]
        _area(ax, style, corners, f"end zone {name}", facecolor=SHADE, edgecolor="none", zorder=0)
    outline = [(-half, -field.end_zone), (half, -field.end_zone), (half, back), (-half, back)]
    _area(
        ax,
        style,
        outline,
        "perimeter",
        facecolor="none",
        edgecolor=INK,
        linewidth=1.4 * style.sizes.line,
        zorder=1,
    )
    for y in (0.0, goal):
        u, v = style.place([-half, half], [y, y])
        ax.plot(u, v, color=INK, linewidth=style.sizes.line, zorder=1, gid="goal line")
    # One that stands on the edge of the window is left out rather than cut through.
    inner = Window(window.left, window.right, window.low + 1.0, window.high - 1.0)
    bricks = np.array(field.brick_points)
    bricks = bricks[inner.holds(bricks[:, 0], bricks[:, 1])]
    u, v = style.place(bricks[:, 0], bricks[:, 1])
    ax.plot(
        u,
        v,
        linestyle="none",
        marker="x",
        color=LINES,
        markersize=0.7 * style.sizes.marker,
        markeredgewidth=style.sizes.line,
        zorder=1,
        gid="brick mark",
    )
    _frame(ax, field, style, window)
    return ax


def _area(
    ax: Axes, style: Style, corners: list[tuple[float, float]], gid: str, **look: Any
) -> None:
    xs, ys = zip(*corners, strict=True)
    ax.add_patch(Polygon(np.column_stack(style.place(xs, ys)), closed=True, gid=gid, **look))


def _frame(ax: Axes, field: Any, style: Style, window: Window) -> None:
    """Set the limits, and ticks that count from the defended goal line and from the long axis."""
    u, v = style.place([window.left, window.right], [window.low, window.high])
    ax.set_xlim(float(u.min()), float(u.max()))
    ax.set_ylim(float(v.min()), float(v.max()))
    ax.set_aspect("equal")
    step = 10.0
    goal = float(style.length(field.length))
    back = float(style.length(field.end_zone))
    ticks = np.arange(step * np.ceil(-back / step), goal + back + 0.01, step)
    low, high = sorted(style.length([window.low, window.high]))
    # A number at the very end would reach into what stands beside the field.
    room = 0.02 * (high - low)
    ticks = ticks[(ticks >= low + room) & (ticks <= high - room)]
    words = [minus(f"{tick + 0.0:.0f}") for tick in ticks]
    if style.upright:
        ax.set_yticks(ticks, words)
        ax.set_xticks([])
    else:
        ax.set_xticks(ticks, words)
        ax.set_yticks([])
    if style.size == "clinic":
        label = f"{style.units} from own goal line {ARROW}"
    else:
        label = f"{style.unit_word} from the goal line defended {ARROW}"
    size = style.sizes.text
    (ax.set_ylabel if style.upright else ax.set_xlabel)(label, fontsize=size, color=INK)
    ax.tick_params(labelsize=size, color=LINES, labelcolor=INK, width=0.7 * style.sizes.line)
    for spine in ax.spines.values():
        spine.set_visible(False)
