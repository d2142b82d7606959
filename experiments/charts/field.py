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

    def with_all_of(self, other: Window) -> Window:
        """The smallest window that shows all of both."""
        left, low = min(self.left, other.left), min(self.low, other.low)
        return Window(left, max(self.right, other.right), low, max(self.high, other.high))

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
    points : arrays (..., 2) of x and y in metres; entries that are not finite are left out.
    margin : metres kept free beyond the outermost point.
    least : the window is at least this many metres long.
    """
    stacked = np.concatenate([np.asarray(p, dtype=float).reshape(-1, 2) for p in points])
    stacked = stacked[np.isfinite(stacked).all(axis=1)]
    every = whole(field)
    if len(stacked) == 0:
        return every
    # Wider than the field where points lie outside of it.
    lowest, highest = stacked.min(axis=0), stacked.max(axis=0)
    ends = np.array([(every.left, every.low), (every.right, every.high)])
    left, bottom = np.clip(lowest - MARGIN, ends[0] - OUTSIDE, ends[0]).tolist()
    right, top = np.clip(highest + MARGIN, ends[1], ends[1] + OUTSIDE).tolist()
    low, high = lowest[1] - margin, highest[1] + margin
    short = max(0.0, least - (high - low)) / 2.0
    low, high = max(low - short, bottom), min(high + short, top)
    # What an end of the field took away is given on the other side.
    low = max(min(low, high - least), bottom)
    high = min(max(high, low + least), top)
    return Window(left, right, float(low), float(high))


def draw_field(
    field: Any,
    ax: Axes | None = None,
    *,
    style: Style | None = None,
    window: Window | None = None,
    panel: bool = False,
) -> Axes:
    """Draw the lines of a field in the style's units and direction.

    The axes have equal scale in both directions and the limits of the window. None makes a figure
    in its shape, with room for a panel beside the field if there is to be one; a window that is None
    shows all of the field.
    """
    style, window = style or Style(), window or whole(field)
    if ax is None:
        room = style.sizes.width - (2.45 if panel else 0.0) - 0.6
        ax = style.axes(height=float(np.clip(room * window.shape(style) + 0.85, 3.4, 9.4)))
    line = style.sizes.line
    half, goal, back = field.half_width, field.length, field.length + field.end_zone
    shaded: dict[str, Any] = {"facecolor": SHADE, "edgecolor": "none", "zorder": 0}
    lined: dict[str, Any] = {"facecolor": "none", "edgecolor": INK, "zorder": 1}
    for low, high, name, look in (
        (goal, back, "end zone attacked", shaded),
        (-field.end_zone, 0.0, "end zone defended", shaded),
        (-field.end_zone, back, "perimeter", {**lined, "linewidth": 1.4 * line}),
    ):
        box = [(-half, low), (half, low), (half, high), (-half, high)]
        draw_area(ax, style, box, name, **look)
    for y in (0.0, goal):
        ends = [(-half, y), (half, y)]
        draw_line(ax, style, ends, "goal line", color=INK, linewidth=line, zorder=1)
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


def show_window(ax: Axes, style: Style, window: Window) -> None:
    """Set the limits of axes to a window, with equal scale in both directions."""
    u, v = style.place([window.left, window.right], [window.low, window.high])
    ax.set(xlim=(u.min(), u.max()), ylim=(v.min(), v.max()), aspect="equal")


def _frame(ax: Axes, field: Any, style: Style, window: Window) -> None:
    """Set the limits, and ticks that count from the defended goal line and from the long axis."""
    show_window(ax, style, window)
    goal, back = style.length([field.length, field.end_zone])
    ticks = np.arange(10.0 * np.ceil(-back / 10.0), goal + back + 0.01, 10.0)
    low, high = sorted(style.length([window.low, window.high]))
    # A number at the very end would reach into what stands beside the field.
    room = 0.02 * (high - low)
    ticks = ticks[(ticks >= low + room) & (ticks <= high - room)]
    along, across = (ax.yaxis, ax.xaxis) if style.upright else (ax.xaxis, ax.yaxis)
    along.set_ticks(ticks, [minus(f"{tick + 0.0:.0f}") for tick in ticks])
    across.set_ticks([])
    words = f"{style.unit_word} from the goal line defended {ARROW}"
    words = f"{style.units} from own goal line {ARROW}" if style.clinic else words
    size = style.sizes.text
    along.set_label_text(words, fontsize=size, color=INK)
    ax.tick_params(labelsize=size, color=LINES, labelcolor=INK, width=0.7 * style.sizes.line)
    ax.spines[:].set_visible(False)
