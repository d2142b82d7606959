"""Names beside players, put where they cover neither each other nor a run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from experiments.charts.style import Style

# Across and up: right, left, above, below, then the diagonals.
_BESIDE = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
_DIAGONAL = ((0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7))
# Alignments of a label that lies left of or below its place, on it, right of or above it.
_ACROSS, _UP = ("right", "center", "left"), ("top", "center", "bottom")
# Points a label may cover rather than stand nearer to another player than to its own.
NEARER = 12.0


def place_labels(
    ax: Axes, style: Style, labels: Sequence[tuple[float, float, str]], *, avoid: np.ndarray
) -> list[Text]:
    """Write each label, (x, y, text) in metres, beside its point, on the side where it covers least.

    `avoid` are (K, 2) points in metres that should stay free. The limits of the axes are set before,
    and everything else is drawn.
    """
    figure: Any = ax.figure
    figure.draw_without_rendering()

    def pixels(points: np.ndarray) -> np.ndarray:
        return ax.transData.transform(np.column_stack(style.place(points[:, 0], points[:, 1])))

    spots = np.array([[x, y] for x, y, _ in labels]).reshape(-1, 2)
    owners, busy, per_point = pixels(spots), pixels(avoid), figure.dpi / 72.0
    taken: list[Bbox] = []
    texts: list[Text] = []
    for (x, y, words), owner in zip(labels, owners, strict=True):
        probe = ax.text(0, 0, words)
        size = np.array(probe.get_window_extent().size)
        probe.remove()
        tried = []
        for ring in (0.75, 1.4, 2.2):
            for way in np.array([*_BESIDE, *_DIAGONAL]):
                reach, side = ring * style.sizes.marker * way, np.sign(way)
                corner = owner + per_point * reach - (1.0 - side) / 2.0 * size
                box = Bbox([corner, corner + size])
                # Points nearer than half a marker, labels crossed, parts outside the axes.
                near = box.padded(0.5 * style.sizes.marker * per_point).count_contains(busy)
                crossed = box.count_overlaps(taken)
                inside = Bbox.intersection(box, ax.bbox)
                out = inside is None or not np.allclose(inside.extents, box.extents)
                cost = near + 100.0 * crossed + 1000.0 * out + 0.5 * ring
                cost += NEARER * _closer(box, owner, owners)
                tried.append((cost, box, reach, side.astype(int) + 1))
        _, box, offset, (across, up) = min(tried, key=lambda one: one[0])
        taken.append(box)
        u, v = style.place(x, y)
        text = ax.annotate(
            words,
            xy=(float(u), float(v)),
            xytext=offset,
            textcoords="offset points",
            ha=_ACROSS[across],
            va=_UP[up],
            zorder=9,
            gid="label",
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.7, "pad": 0.6},
        )
        texts.append(text)
    return texts


def _closer(box: Bbox, owner: np.ndarray, owners: np.ndarray) -> int:
    """How many other labelled points are as near to a label as the point it belongs to."""

    def gap(points: np.ndarray) -> np.ndarray:
        beside = np.maximum(np.maximum(box.min - points, points - box.max), 0.0)
        return np.hypot(*beside.T)

    others = np.hypot(*(owners - owner).T) > 1e-6
    return int((gap(owners)[others] <= gap(owner)).sum())
