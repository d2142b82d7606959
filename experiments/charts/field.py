"""The field: sidelines, goal lines, end zones and brick marks, or the part of it that matters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon

from experiments.charts.style import INK, LINES, SHADE, Style
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

    def shape(self, style: Style) -> float:
        """Height over width of its picture."""
        across, along = self.right - self.left, self.high - self.low
        return along / across if style.upright else across / along


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


def field_axes(
    field: Any, ax: Axes | None, style: Style, window: Window, *, panel: bool = True
) -> Axes:
    """The axes with a field drawn on them; where there are none, of a figure in the window's shape.

    `panel` leaves room for one beside it.
    """
    if ax is None:
        sizes = style.sizes
        room = sizes.width - (2.45 if panel else 0.0) - 0.6
        height = float(np.clip(room * window.shape(style) + 0.85, 3.4, 9.4))
        ax = style.axes(height=height)
    return draw_field(field, ax, style=style, window=window)


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
        return field_axes(field, None, style, window, panel=False)
    line = style.sizes.line
    half, goal, back = field.half_width, field.length, field.length + field.end_zone
    for low, high, name in ((goal, back, "attacked"), (-field.end_zone, 0.0, "defended")):
        look: dict[str, Any] = {"facecolor": SHADE, "edgecolor": "none", "zorder": 0}
        draw_area(ax, style, _box(half, low, high), f"end zone {name}", **look)
    look = {"facecolor": "none", "edgecolor": INK, "linewidth": 1.4 * line, "zorder": 1}
    draw_area(ax, style, _box(half, -field.end_zone, back), "perimeter", **look)
    for y in (0.0, goal):
        look = {"color": INK, "linewidth": line, "zorder": 1}
        draw_line(ax, style, [(-half, y), (half, y)], "goal line", **look)
    # One that stands on the edge of the window is left out rather than cut through.
    inner = Window(window.left, window.right, window.low + 1.0, window.high - 1.0)
    bricks = np.array(field.brick_points)
    bricks = bricks[inner.holds(bricks[:, 0], bricks[:, 1])]
    look = {"markersize": 0.7 * style.sizes.marker, "markeredgewidth": line, "zorder": 1}
    draw_marks(ax, style, bricks, "brick mark", marker="x", color=LINES, **look)
    _frame(ax, field, style, window)
    return ax


def draw_line(ax: Axes, style: Style, points: Any, gid: str, **look: Any) -> Line2D:
    """Draw a line through points (K, 2), metres."""
    return ax.plot(*style.place(*np.asarray(points, dtype=float).T), gid=gid, **look)[0]


def draw_marks(ax: Axes, style: Style, points: Any, gid: str, **look: Any) -> Line2D:
    """Draw a marker at each of some points (K, 2), or at one, metres."""
    return draw_line(ax, style, np.atleast_2d(points), gid, linestyle="none", **look)


def draw_area(ax: Axes, style: Style, outline: Any, gid: str, **look: Any) -> None:
    """Draw the area inside an outline (K, 2), metres."""
    points = np.column_stack(style.place(*np.asarray(outline, dtype=float).T))
    ax.add_patch(Polygon(points, closed=True, gid=gid, **look))


def draw_arrow(
    ax: Axes, style: Style, tail: Any, head: Any, size: float, *, start: float = 0.0, **look: Any
) -> None:
    """Draw an arrow from place to place, metres; its head in points, as is what `start` leaves free."""
    arrow = {"arrowstyle": "-|>", "mutation_scale": size, "shrinkA": start, "shrinkB": 0}
    more = {key: look.pop(key) for key in ("zorder", "gid") if key in look}
    ends: dict[str, Any] = {"xy": style.place(*head), "xytext": style.place(*tail)}
    ax.annotate("", arrowprops={**arrow, **look}, **ends, **more)


def _box(half: float, low: float, high: float) -> list[tuple[float, float]]:
    return [(-half, low), (half, low), (half, high), (-half, high)]


def show_window(ax: Axes, style: Style, window: Window) -> None:
    """Set the limits of axes to a window, with equal scale in both directions."""
    u, v = style.place([window.left, window.right], [window.low, window.high])
    ax.set(xlim=(u.min(), u.max()), ylim=(v.min(), v.max()), aspect="equal")


def _frame(ax: Axes, field: Any, style: Style, window: Window) -> None:
    """Set the limits, and ticks that count from the defended goal line and from the long axis."""
    show_window(ax, style, window)
    step = 10.0
    goal = float(style.length(field.length))
    back = float(style.length(field.end_zone))
    ticks = np.arange(step * np.ceil(-back / step), goal + back + 0.01, step)
    low, high = sorted(style.length([window.low, window.high]))
    # A number at the very end would reach into what stands beside the field.
    room = 0.02 * (high - low)
    ticks = ticks[(ticks >= low + room) & (ticks <= high - room)]
    along, across = (ax.yaxis, ax.xaxis) if style.upright else (ax.xaxis, ax.yaxis)
    along.set_ticks(ticks, [minus(f"{tick + 0.0:.0f}") for tick in ticks])
    across.set_ticks([])
    words = f"{style.unit_word} from the goal line defended {ARROW}"
    size = style.sizes.text
    along.set_label_text(
        f"{style.units} from own goal line {ARROW}" if style.clinic else words,
        fontsize=size,
        color=INK,
    )
    ax.tick_params(labelsize=size, color=LINES, labelcolor=INK, width=0.7 * style.sizes.line)
    ax.spines[:].set_visible(False)
