"""One style for every picture: colours, markers, text sizes, units and which way is up.

Offence and defence have a pair from the palette of Okabe and Ito (2008, "Color Universal
Design"); the other colours of outcomes were chosen to stay apart from them and from each other
under a simulation of colour blindness (tests/experiments/colours.py). No meaning is carried by
colour alone: offence and defence differ by marker and by line, outcomes by marker.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.ticker import FuncFormatter, MaxNLocator

from experiments.charts.canvas import ChartFigure
from experiments.errors import StallwiseError
from experiments.words.units import UNIT_WORDS, UNITS

OFFENCE = "#009E73"
DEFENCE = "#D55E00"
INK = "#1A1A1A"
LINES = "#5A5A5A"
SHADE = "#EFEFEF"
COVERED = "#8C8C8C"
WARNING = "#A33F00"  # the defence's colour, dark enough for words on white

OFFENCE_MARKER = "o"
DEFENCE_MARKER = "^"

# Inches kept free at the edges of a figure.
PAD = 0.08


@dataclass(frozen=True)
class Mark:
    """How one outcome is drawn: marker, colour, and whether the pass was caught."""

    marker: str
    colour: str
    caught: bool = False


OUTCOME_MARKS: dict[str, Mark] = {
    "completed": Mark("o", OFFENCE, caught=True),
    "goal": Mark("*", OFFENCE, caught=True),
    "blocked by the mark": Mark("s", "#000000"),
    "blocked": Mark("X", DEFENCE),
    "dropped": Mark("v", "#E69F00"),
    "missed": Mark("D", "#003C7D"),
    "out of bounds": Mark("P", "#AA3377"),
    "stalled": Mark("h", "#B2ABD2"),
    "time cap": Mark("p", "#DDCC77"),
}


@dataclass(frozen=True)
class Sizes:
    """Sizes of one medium: inches for the figure, points for everything else.

    `stretch` is the least length of field that is shown, metres: a slide is wide and has room.
    """

    width: float
    height: float
    text: float
    title: float
    marker: float
    dot: float
    line: float
    stretch: float


# A page is read at arm's length. A clinic slide is read from the back of a room: its smallest
# text is 20 pt on a slide 7.5 inches high, 1/27 of the height; slides are commonly held to be
# readable down to about 1/30 (common practice).
SIZES = {
    "page": Sizes(6.9, 5.2, text=8.5, title=11.0, marker=8.0, dot=3.2, line=1.1, stretch=38.0),
    "clinic": Sizes(
        13.33, 7.5, text=20.0, title=26.0, marker=13.0, dot=6.0, line=2.2, stretch=40.0
    ),
}


@dataclass(frozen=True)
class Style:
    """How a picture is shown.

    Attributes
    ----------
    units : "m" or "yd"; every length in the picture is shown in it.
    size : "page" for print, "clinic" for a screen in front of a room.
    upright : True draws the attacked end zone at the top, False at the right.
    """

    units: str = "m"
    size: str = "page"
    upright: bool = True

    def __post_init__(self) -> None:
        if self.units not in UNITS:
            raise ValueError(f"units is {self.units!r}; allowed are {', '.join(UNITS)}")
        if self.size not in SIZES:
            raise ValueError(f"size is {self.size!r}; allowed are {', '.join(SIZES)}")

    @property
    def sizes(self) -> Sizes:
        """The sizes of the chosen medium."""
        return SIZES[self.size]

    @property
    def per_metre(self) -> float:
        """Shown units in one metre."""
        return UNITS[self.units]

    @property
    def unit_word(self) -> str:
        """The unit written out: metres or yards."""
        return UNIT_WORDS[self.units]

    def length(self, metres: Any) -> Any:
        """Metres to the shown unit."""
        return np.asarray(metres, dtype=float) * self.per_metre

    def place(self, x: Any, y: Any) -> tuple[np.ndarray, np.ndarray]:
        """Field coordinates in metres to the coordinates of the axes.

        With the field on its side the attacked end zone is at the right, so the right hand of
        someone who attacks it is at the bottom.
        """
        across, along = self.length(x), self.length(y)
        return (across, along) if self.upright else (along, -across)


def new_axes(style: Style, height: float | None = None) -> Axes:
    """Axes on a new figure; see `new_figure`."""
    return new_figure(style, height).subplots()


def new_figure(style: Style, height: float | None = None, title: str = "") -> ChartFigure:
    """A figure with room for a title over all its axes; never shown, never known to pyplot.

    A slide has the height of all slides; on a page it is `height` inches if given.
    """
    width, full = style.sizes.width, style.sizes.height
    figure = ChartFigure(figsize=(width, full if style.size == "clinic" else height or full))
    figure.set_layout_engine("constrained", h_pad=PAD, w_pad=PAD)
    if title:
        words, size = fit_title(title, width, style)
        figure.suptitle(words, fontsize=size, color=INK, x=0.01, ha="left", parse_math=False)
    return figure


def dress(
    ax: Axes,
    style: Style,
    *,
    title: str = "",
    x: str = "",
    y: str = "",
    legend: Legend | None = None,
) -> Axes:
    """Give title, axis words and text sizes to a chart; user's text is never read as maths.

    The title keeps clear of a `legend` that stands above the axes.
    """
    sizes = style.sizes
    if title:
        figure: Any = ax.figure
        alone = isinstance(figure, Figure) and len(figure.axes) == 1
        inches = figure.get_figwidth() if alone else ax.bbox.width / figure.dpi
        words, size = fit_title(title, inches, style)
        look: dict[str, Any] = {"fontsize": size, "color": INK, "loc": "left", "parse_math": False}
        if legend is not None:
            look["pad"] = legend.get_window_extent().height / figure.dpi * 72.0 + 0.8 * sizes.text
        ax.set_title(words, **look)
    ax.set_xlabel(x, fontsize=sizes.text, color=INK, parse_math=False)
    ax.set_ylabel(y, fontsize=sizes.text, color=INK, parse_math=False)
    ax.tick_params(
        labelsize=sizes.text,
        color=LINES,
        labelcolor=INK,
        width=sizes.line * 0.7,
        pad=0.4 * sizes.text,
    )
    for spine in ax.spines.values():
        spine.set_color(LINES)
        spine.set_linewidth(sizes.line * 0.7)
    return ax


def percent_axis(axis: Axis) -> None:
    """Ticks of an axis of shares in whole or half steps of per cent, never rounded away."""
    axis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    axis.set_major_formatter(FuncFormatter(lambda share, _: f"{100.0 * share:.6g} %"))


def ink_on(colour: Any) -> str:
    """White or ink, whichever stands out more on a colour (contrast ratio of WCAG 2)."""
    paper, ink = _luminance(colour), _luminance(INK)
    return "white" if 1.05 / (paper + 0.05) > (paper + 0.05) / (ink + 0.05) else INK


def _luminance(colour: Any) -> float:
    """Relative luminance of a colour, 0 to 1 (IEC 61966-2-1)."""
    rgb = np.array(to_rgb(colour))
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return float(0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])


def legend_above(ax: Axes, style: Style) -> Legend:
    """A legend in rows above the axes, where it covers no data."""
    handles, labels = ax.get_legend_handles_labels()
    fits = 75 if style.size == "page" else 50
    half = -(-len(labels) // 2)
    longest = [max(map(len, part), default=0) for part in (labels[:half], labels[half:])]
    columns = 2 if sum(longest) <= letters(style.sizes.width, style.sizes.text) - 12 else 1
    legend = ax.legend(
        handles,
        labels,
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=len(labels) if sum(map(len, labels)) < fits else columns,
        frameon=False,
        fontsize=style.sizes.text,
        borderaxespad=0.3,
        handlelength=2.4,
        columnspacing=1.4,
    )
    legend.set_gid("legend")
    for text in legend.get_texts():
        text.set_parse_math(False)
    return legend


def legend_below(figure: Figure, keys: Mapping[str, Any], style: Style, columns: int = 3) -> None:
    """One legend for all axes of a figure, under them: a mark for each text."""
    legend = figure.legend(
        list(keys.values()),
        list(keys),
        loc="outside lower left",
        ncols=columns,
        columnspacing=1.2,
        frameon=False,
        fontsize=style.sizes.text,
    )
    legend.set_gid("legend")


def own_figure(ax: Axes | None, kind: str) -> None:
    """Refuse axes for a chart of several.

    Raises
    ------
    StallwiseError : there are axes.
    """
    if ax is not None:
        raise StallwiseError(f"ax: found axes for {kind}, a chart of several; allowed: None")


def letters(inches: float, size: float) -> int:
    """How many letters fit a width; taken to be 0.6 of their size wide, more than an average one has."""
    return int(inches * 72.0 / (0.6 * size))


def broken(text: str, inches: float, style: Style) -> str:
    """A text broken into lines that fit a width, never between a figure and its per cent."""
    text = text.replace(" %", "\N{NO-BREAK SPACE}%")
    return "\n".join(textwrap.wrap(text, letters(inches, style.sizes.text)))


def fit_title(title: str, inches: float, style: Style) -> tuple[str, float]:
    """Break a title into at most two lines that fit a width, the size smaller if it takes two.

    A title that does not fit two lines ends in an ellipsis.
    """
    sizes = style.sizes
    fits = letters(inches, sizes.title)
    if len(title) <= fits:
        return title, sizes.title
    size = 1.1 * sizes.text
    fits = max(8, letters(inches, size))
    return "\n".join(textwrap.wrap(title, fits, max_lines=2, placeholder=" …")), size


def plain_frame(ax: Axes) -> None:
    """Keep only the left and bottom line of a chart that is not a field."""
    ax.spines["top"].set_visible(False)
    ax.spines["right"].set_visible(False)
