"""Names beside players, put where they cover neither each other nor a run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from experiments.charts.style import INK, Style

# Right, left, above, below, then the diagonals: (across, up, horizontal and vertical alignment).
_SIDES = (
    (1.0, 0.0, "left", "center"),
    (-1.0, 0.0, "right", "center"),
    (0.0, 1.0, "center", "bottom"),
    (0.0, -1.0, "center", "top"),
    (0.7, 0.7, "left", "bottom"),
    (-0.7, 0.7, "right", "bottom"),
    (0.7, -0.7, "left", "top"),
    (-0.7, -0.7, "right", "top"),
)

# Points a label may cover rather than stand nearer to another player than to its own.
NEARER = 12.0


def renderer_of(figure: Any) -> Any:
    """The renderer that measures texts; a figure without a canvas that draws is given one."""
    if not hasattr(figure.canvas, "get_renderer"):
        FigureCanvasAgg(figure)
    return figure.canvas.get_renderer()


def place_labels(
    ax: Axes,
    style: Style,
    labels: Sequence[tuple[float, float, str]],
    *,
    avoid: np.ndarray,
) -> list[Text]:
    """Write each label beside its point, on the side where it covers least.

    Parameters
    ----------
    ax : the axes, with limits set and everything else drawn.
    style : sizes and direction.
    labels : (x, y, text) in metres.
    avoid : (K, 2) points in metres that should stay free.

    Returns
    -------
    The texts, in the order of `labels`.
    """
    figure: Any = ax.figure
    renderer = renderer_of(figure)
    figure.draw_without_rendering()
    to_pixels = ax.transData.transform
    busy = to_pixels(np.column_stack(style.place(avoid[:, 0], avoid[:, 1])))
    per_point = figure.dpi / 72.0
    room = 0.5 * style.sizes.marker * per_point
    spots = np.array([[x, y] for x, y, _ in labels]).reshape(-1, 2)
    owners = to_pixels(np.column_stack(style.place(spots[:, 0], spots[:, 1])))
    taken: list[np.ndarray] = []
    texts: list[Text] = []
    for x, y, words in labels:
        u, v = style.place(x, y)
        best: tuple[float, tuple[float, float, str, str], np.ndarray] | None = None
        probe = ax.text(0, 0, words, fontsize=style.sizes.text, parse_math=False)
        size = probe.get_window_extent(renderer)
        probe.remove()
        for ring in (0.75, 1.4, 2.2):
            for across, up, left, top in _SIDES:
                offset = ring * style.sizes.marker
                spot = (across * offset, up * offset, left, top)
                box = _box(to_pixels((u, v)), spot, size.width, size.height, per_point)
                cost = _covered(box, busy, taken, ax.bbox.extents, room) + 0.5 * ring
                cost += NEARER * _closer(box, to_pixels((u, v)), owners)
                if best is None or cost < best[0]:
                    best = (cost, spot, box)
        assert best is not None
        _, (across, up, left, top), box = best
        taken.append(box)
        texts.append(
            ax.annotate(
                words,
                xy=(float(u), float(v)),
                xytext=(across, up),
                textcoords="offset points",
                ha=left,
                va=top,
                fontsize=style.sizes.text,
                color=INK,
                parse_math=False,
                zorder=9,
                gid="label",
                bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.7, "pad": 0.6},
            )
        )
    return texts


def _box(
    point: np.ndarray,
    spot: tuple[float, float, str, str],
    width: float,
    height: float,
    scale: float,
) -> np.ndarray:
    """Left, bottom, right and top of a label in pixels."""
    across, up, left, top = spot
    x = point[0] + across * scale - {"left": 0.0, "center": width / 2, "right": width}[left]
    y = point[1] + up * scale - {"bottom": 0.0, "center": height / 2, "top": height}[top]
    return np.array([x, y, x + width, y + height])


def _closer(box: np.ndarray, owner: np.ndarray, owners: np.ndarray) -> int:
    """How many other labelled points are as near to a label as the point it belongs to."""
    gaps = np.maximum(np.maximum(box[:2] - owners, owners - box[2:]), 0.0)
    gap = np.hypot(gaps[:, 0], gaps[:, 1])
    mine = np.hypot(*np.maximum(np.maximum(box[:2] - owner, owner - box[2:]), 0.0))
    others = np.hypot(*(owners - owner).T) > 1e-6
    return int((gap[others] <= mine).sum())


def _covered(
    box: np.ndarray,
    busy: np.ndarray,
    taken: list[np.ndarray],
    frame: tuple[float, ...],
    room: float,
) -> float:
    """How bad a place is: points nearer than `room`, labels crossed, parts outside the axes."""
    inside = (
        (busy[:, 0] > box[0] - room)
        & (busy[:, 0] < box[2] + room)
        & (busy[:, 1] > box[1] - room)
        & (busy[:, 1] < box[3] + room)
    )
    crossed = sum(
        bool(box[0] < t[2] and t[0] < box[2] and box[1] < t[3] and t[1] < box[3]) for t in taken
    )
    out = box[0] < frame[0] or box[1] < frame[1] or box[2] > frame[2] or box[3] > frame[3]
    return float(inside.sum()) + 100.0 * crossed + (1000.0 if out else 0.0)
