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
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.offsetbox import AnchoredOffsetbox, DrawingArea, HPacker, TextArea, VPacker
from matplotlib.patches import Rectangle
from matplotlib.transforms import ScaledTranslation

from experiments.charts.style import INK, PAD, Style

# Inches between the axes and the panel.
GAP = 0.18


@dataclass(frozen=True)
class Heading:
    """A bold line of the panel; `large` sets it in the size of the title."""

    text: str
    large: bool = False


@dataclass(frozen=True)
class Words:
    """Plain text of the panel, wrapped to its width."""

    text: str


@dataclass(frozen=True)
class Key:
    """One mark of the picture and what it means."""

    text: str
    kind: str = "marker"
    look: dict[str, Any] = field(default_factory=dict)


def marker_key(text: str, marker: str, colour: str, **more: Any) -> Key:
    """A key that shows a marker."""
    look = {"marker": marker, "color": colour, "linestyle": "none", **more}
    return Key(text, "marker", look)


def line_key(text: str, colour: str, **more: Any) -> Key:
    """A key that shows a piece of line."""
    return Key(text, "line", {"color": colour, **more})


def patch_key(text: str, **more: Any) -> Key:
    """A key that shows an area."""
    return Key(text, "patch", more)


def artist_of(key: Key, style: Style, width: float = 0.0, height: float = 0.0) -> Artist:
    """The mark of a key, in a box of so many points; in a legend it needs none."""
    if key.kind == "marker":
        look = {"markersize": 0.75 * style.sizes.text, **key.look}
        return Line2D([width / 2], [height / 2], **look)
    if key.kind == "line":
        look = {"linewidth": 1.6 * style.sizes.line, **key.look}
        return Line2D([0, width], [height / 2, height / 2], **look)
    return Rectangle((0, 0), width, height, **key.look)


def _swatch(key: Key, style: Style) -> DrawingArea:
    size = style.sizes.text
    width, height = (1.3 if style.size == "clinic" else 2.2) * size, 1.05 * size
    area = DrawingArea(width, height, 0, 0)
    area.add_artist(artist_of(key, style, width, height))
    return area


def _text(text: str, style: Style, width: int, **more: Any) -> TextArea:
    """Wrap a text to `width` characters; line breaks of its own are kept."""
    lines = [textwrap.fill(line, width) for line in text.splitlines() or [""]]
    props = {"size": style.sizes.text, "color": INK, "parse_math": False, "linespacing": 1.25}
    return TextArea("\n".join(lines), textprops={**props, **more})


Block = Heading | Words | Key


def panel(
    ax: Axes,
    found: Sequence[Block],
    keys: Sequence[Sequence[Block]],
    style: Style,
    *,
    width: int = 38,
) -> AnchoredOffsetbox:
    """Put a panel to the right of the axes and return it.

    Parameters
    ----------
    ax : the axes it stands beside.
    found : the lines at its top.
    keys : columns of keys under them: under each other on a page, beside each other on a clinic
        slide, which is wide.
    style : gives the text size.
    width : characters to a line.
    """
    size = style.sizes.text
    wide = style.size == "clinic"
    gap = (0.12 if wide else 0.42) * size
    stacks = [_stack(found, style, width, gap)] if found else []
    columns = [_stack(blocks, style, width, gap) for blocks in keys if blocks]
    if wide and columns:
        stacks.append(HPacker(children=columns, align="top", pad=0, sep=0.8 * size))
    else:
        stacks.extend(columns)
    box = AnchoredOffsetbox(
        loc="upper left",
        child=VPacker(children=stacks, align="left", pad=0, sep=(0.6 if wide else 1.1) * size),
        pad=0.0,
        borderpad=0.0,
        frameon=False,
        bbox_to_anchor=(1.0, 1.0),
        bbox_transform=ax.transAxes + ScaledTranslation(GAP, 0, ax.figure.dpi_scale_trans),
    )
    box.set_clip_on(False)
    box.set_gid("panel")
    ax.add_artist(box)
    return box


def make_room(ax: Axes, box: AnchoredOffsetbox, style: Style) -> None:
    """Lay out a figure that the chart made itself, so that the panel fits beside the axes.

    A page grows in height when the panel needs it; a slide keeps its size.
    """
    figure = ax.figure
    assert isinstance(figure, Figure)
    box.set_in_layout(False)
    extent = box.get_window_extent(figure.canvas.get_renderer())  # type: ignore[attr-defined]
    wide, high = extent.width / figure.dpi, extent.height / figure.dpi
    if style.size == "page":
        figure.set_figheight(max(figure.get_figheight(), high + 0.75))
    share = 1.0 - (wide + GAP + 0.08) / figure.get_figwidth()
    figure.set_layout_engine("constrained", rect=(0.0, 0.0, share, 1.0), h_pad=PAD, w_pad=PAD)
    ax.set_anchor("NW")


def _stack(blocks: Sequence[Block], style: Style, width: int, gap: float) -> Artist:
    rows = [_row(block, style, width) for block in blocks]
    return VPacker(children=rows, align="left", pad=0, sep=gap)


def _row(block: Block, style: Style, width: int) -> Artist:
    size = style.sizes.text
    if isinstance(block, Heading):
        size = style.sizes.title if block.large else size
        return _text(block.text, style, width, weight="bold", size=size)
    if isinstance(block, Words):
        return _text(block.text, style, width)
    pair: list[Artist] = [_swatch(block, style), _text(block.text, style, width - 4)]
    return HPacker(children=pair, align="center", pad=0, sep=0.6 * size)
