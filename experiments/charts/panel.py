"""The box beside a picture that holds what was found and what each mark means.

It stands outside the axes, so that it can cover nothing on the field.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.offsetbox import AnchoredOffsetbox, DrawingArea, HPacker, TextArea, VPacker
from matplotlib.patches import Rectangle
from matplotlib.transforms import ScaledTranslation

from experiments.charts.style import PAD, ChartFigure, Style

# Inches between the axes and the panel.
GAP = 0.18


@dataclass(frozen=True)
class Heading:
    """A bold line of the panel; `large` sets it in the size of the title."""

    text: str
    large: bool = False


@dataclass(frozen=True)
class Key:
    """One mark of the picture and what it means: a "marker", a piece of "line" or a "patch"."""

    text: str
    kind: str = "marker"
    look: dict[str, Any] = field(default_factory=dict)

    def artist(self, style: Style, width: float = 0.0, height: float = 0.0) -> Artist:
        """The mark, in a box of so many points; in a legend it needs none."""
        if self.kind == "marker":
            look = {"linestyle": "none", "markersize": 0.75 * style.sizes.text, **self.look}
            return Line2D([width / 2], [height / 2], **look)
        if self.kind == "line":
            look = {"linewidth": 1.6 * style.sizes.line, **self.look}
            return Line2D([0, width], [height / 2, height / 2], **look)
        return Rectangle((0, 0), width, height, **self.look)


# A plain text is wrapped to the width of the panel.
Block = Heading | Key | str


def draw_panel(
    ax: Axes,
    found: Sequence[Block],
    keys: Sequence[Sequence[Block]],
    style: Style,
    *,
    width: int = 38,
) -> AnchoredOffsetbox:
    """Put a panel to the right of the axes and return it.

    A figure that the chart made itself is laid out anew, so that the panel fits: a page grows in
    height when the panel needs it, a slide keeps its size.

    `found` are the lines at its top, `keys` columns of keys under them: under each other on a page,
    beside each other on a clinic slide, which is wide. `width` is in characters.
    """
    size, wide = style.sizes.text, style.clinic
    look: dict[str, Any] = {"align": "left", "pad": 0, "sep": (0.12 if wide else 0.42) * size}

    def column(blocks: Sequence[Block]) -> Artist:
        return VPacker(children=[_row(block, style, width) for block in blocks], **look)

    columns = [column(blocks) for blocks in keys if blocks]
    if wide and columns:
        columns = [HPacker(children=columns, align="top", pad=0, sep=0.8 * size)]
    parts = [column(found), *columns] if found else columns
    whole = VPacker(children=parts, align="left", pad=0, sep=(0.6 if wide else 1.1) * size)
    beside = ax.transAxes + ScaledTranslation(GAP, 0, ax.figure.dpi_scale_trans)
    place: dict[str, Any] = {"bbox_to_anchor": (1.0, 1.0), "bbox_transform": beside}
    box = AnchoredOffsetbox(
        "upper left", child=whole, pad=0.0, borderpad=0.0, frameon=False, **place
    )
    box.set(clip_on=False, gid="panel")
    ax.add_artist(box)
    if isinstance(figure := ax.figure, ChartFigure):
        box.set_in_layout(False)
        extent = box.get_window_extent(figure.canvas.get_renderer())  # type: ignore[attr-defined]
        if not style.clinic:
            high = extent.height / figure.dpi
            figure.set_figheight(max(figure.get_figheight(), high + 0.75))
        share = 1.0 - (extent.width / figure.dpi + GAP + 0.08) / figure.get_figwidth()
        figure.set_layout_engine("constrained", rect=(0.0, 0.0, share, 1.0), h_pad=PAD, w_pad=PAD)
        ax.set_anchor("NW")
    return box


def _row(block: Block, style: Style, width: int) -> Artist:
    """A text, or a mark with its text beside it."""
    size = style.sizes.text
    if isinstance(block, Key):
        high = 1.05 * size
        area = DrawingArea((1.3 if style.clinic else 2.2) * size, high, 0, 0)
        area.add_artist(block.artist(style, area.width, high))
        pair: list[Artist] = [area, _text(block.text, width - 4)]
        return HPacker(children=pair, align="center", pad=0, sep=0.6 * size)
    if isinstance(block, Heading):
        large = style.sizes.title if block.large else size
        return _text(block.text, width, weight="bold", size=large)
    return _text(block, width)


def _text(text: str, width: int, **more: Any) -> TextArea:
    """Wrap a text to `width` characters; line breaks of its own are kept."""
    lines = [textwrap.fill(line, width) for line in text.splitlines() or [""]]
    return TextArea("\n".join(lines), textprops={"linespacing": 1.25, **more})
