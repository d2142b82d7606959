"""What stands where in a drawn figure: the structure that tests of pictures compare."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.text import Text
from PIL import Image

from experiments.charts.style import SIZES

DOTS = 150  # an inch, in the pictures that commands write


def texts(figure: Any) -> list[tuple[str, np.ndarray]]:
    """Every visible text with its left, bottom, right and top in pixels, as finally drawn."""
    if figure.stale:  # nobody has drawn it since it changed
        figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    found = []
    unseen = _ticks_out_of_sight(figure)
    for text in figure.findobj(Text):
        if not text.get_visible() or not text.get_text().strip() or id(text) in unseen:
            continue
        box = Text.get_window_extent(text, renderer)
        if box.width > 0 and box.height > 0:
            found.append((text.get_text(), box.extents))
    return found


def _ticks_out_of_sight(figure: Any) -> set[int]:
    """Labels of ticks beyond the ends of an axis, which exist but are never drawn."""
    unseen = set()
    for ax in figure.axes:
        for axis in (ax.xaxis, ax.yaxis):
            low, high = sorted(axis.get_view_interval())
            slack = 1e-6 * (high - low)
            for tick in axis.get_major_ticks():
                if not low - slack <= tick.get_loc() <= high + slack:
                    unseen |= {id(tick.label1), id(tick.label2)}
    return unseen


def overlapping(figure: Any, slack: float = 1.0) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes overlap by more than `slack` pixels in both directions."""
    pairs = []
    for (one, a), (other, b) in combinations(texts(figure), 2):
        across = min(a[2], b[2]) - max(a[0], b[0])
        up = min(a[3], b[3]) - max(a[1], b[1])
        if across > slack and up > slack:
            pairs.append((one, other))
    return pairs


def cut_off(figure: Any, slack: float = 0.5) -> list[str]:
    """Texts that reach beyond the figure."""
    width, height = figure.bbox.width, figure.bbox.height
    return [
        text
        for text, box in texts(figure)
        if box[0] < -slack or box[1] < -slack or box[2] > width + slack or box[3] > height + slack
    ]


def smallest_text(figure: Any) -> float:
    """Points of the smallest text."""
    return min(
        text.get_fontsize()
        for text in figure.findobj(Text)
        if text.get_visible() and text.get_text().strip()
    )


def by_gid(ax: Any, gid: str) -> list[Any]:
    """The artists of the axes that carry an id."""
    return [artist for artist in ax.get_children() if artist.get_gid() == gid]


def points(ax: Any, gid: str) -> np.ndarray:
    """(K, 2) points of all lines with an id, in the coordinates of the axes."""
    return np.concatenate([np.column_stack(line.get_data()) for line in by_gid(ax, gid)])


def words(figure: Any) -> str:
    """All the text of a figure, with line breaks as spaces."""
    return " | ".join(text.replace("\n", " ") for text, _ in texts(figure))


def size_of(picture: Path) -> tuple[int, int]:
    """Width and height, dots."""
    with Image.open(picture) as opened:
        return opened.size


def sizes_of(folder: Path) -> dict[str, tuple[int, int]]:
    """Of every picture in a folder."""
    return {p.name: size_of(p) for p in folder.rglob("*") if p.suffix in (".png", ".gif")}


def room() -> tuple[int, int]:
    """Of a picture for the room, dots."""
    return round(DOTS * SIZES["clinic"].width), round(DOTS * SIZES["clinic"].height)
