"""One style for every picture: colours, markers, text sizes, units and which way is up.

Offence and defence have a pair from the palette of Okabe and Ito (2008, "Color Universal
Design"); the other colours of outcomes were chosen to stay apart from them and from each other
under a simulation of colour blindness (tests/experiments/colours.py). No meaning is carried by
colour alone: offence and defence differ by marker and by line, outcomes by marker.
"""

from __future__ import annotations

import functools
import io
import textwrap
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.ticker import FuncFormatter, MaxNLocator

from experiments.errors import StallwiseError
from experiments.words.wording import UNIT_WORDS, UNITS

OFFENCE, DEFENCE = "#009E73", "#D55E00"
INK, LINES, SHADE, COVERED = "#1A1A1A", "#5A5A5A", "#EFEFEF", "#8C8C8C"
WARNING = "#A33F00"  # the defence's colour, dark enough for words on white
# Neither the offence's colour nor the defence's, for what both do.
BLUE, PURPLE, OCHRE = "#0072B2", "#AA3377", "#B8860B"
# Of an area that is not one of the marks: what the mark covers, what is hardly thrown.
HATCHED: dict[str, Any] = {"facecolor": "none", "edgecolor": COVERED, "linewidth": 0.0}
# Inches kept free at the edges of a figure.
PAD = 0.08
# A page figure 6.9 inches wide fills the column of a notebook.
NOTEBOOK_DOTS_AN_INCH = 110


# How the players of a team and each outcome are drawn; `KEPT` ones were caught.
TEAM_MARKS = {
    "offence": {"marker": "o", "color": OFFENCE},
    "defence": {"marker": "^", "color": DEFENCE},
}
OUTCOME_MARKS = {
    "completed": {"marker": "o", "color": OFFENCE},
    "goal": {"marker": "*", "color": OFFENCE},
    "blocked by the mark": {"marker": "s", "color": "#000000"},
    "blocked": {"marker": "X", "color": DEFENCE},
    "dropped": {"marker": "v", "color": "#E69F00"},
    "missed": {"marker": "D", "color": "#003C7D"},
    "out of bounds": {"marker": "P", "color": "#AA3377"},
    "stalled": {"marker": "h", "color": "#B2ABD2"},
    "time cap": {"marker": "p", "color": "#DDCC77"},
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
        for name, known in (("units", UNITS), ("size", SIZES)):
            if getattr(self, name) not in known:
                allowed = ", ".join(known)
                raise ValueError(f"{name} is {getattr(self, name)!r}; allowed are {allowed}")

    @property
    def sizes(self) -> Sizes:
        """The sizes of the chosen medium."""
        return SIZES[self.size]

    @property
    def clinic(self) -> bool:
        """Whether it is for the room: fewer words, larger."""
        return self.size == "clinic"

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

    def in_use(self) -> AbstractContextManager[None]:
        """Matplotlib's own defaults for all that is drawn meanwhile: ink of the size of the text,
        lines and markers of the style, no words read as maths, no frame around a legend."""
        return matplotlib.rc_context(
            {
                "font.size": self.sizes.text,
                "text.color": INK,
                "text.parse_math": False,
                "lines.linewidth": self.sizes.line,
                "lines.markersize": self.sizes.marker,
                "legend.frameon": False,
            }
        )

    def axes(self, ax: Axes | None = None, height: float | None = None) -> Axes:
        """The axes that were given, or those of a new figure; see `figure`."""
        return self.figure(height).subplots() if ax is None else ax

    def figure(self, height: float | None = None, title: str = "") -> ChartFigure:
        """A figure with room for a title over all its axes; never shown, never known to pyplot.

        A slide has the height of all slides; on a page it is `height` inches if given.
        """
        width, full = self.sizes.width, self.sizes.height
        figure = ChartFigure(figsize=(width, full if self.clinic else height or full))
        figure.set_layout_engine("constrained", h_pad=PAD, w_pad=PAD)
        if title:
            words, size = self.fit_title(title, width)
            figure.suptitle(words, fontsize=size, x=0.01, ha="left")
        return figure

    def dress(
        self,
        ax: Axes,
        *,
        title: str = "",
        x: str | None = None,
        y: str | None = None,
        legend: bool = False,
    ) -> Axes:
        """Give title, axis words, text sizes and a plain frame; user's text is never read as maths.

        Words of an axis that are None stay as they are. A `legend` stands above the axes, under the
        title.
        """
        sizes = self.sizes
        above = ax.get_legend() or (self.legend_above(ax) if legend else None)
        if title:
            figure: Any = ax.figure
            alone = isinstance(figure, Figure) and len(figure.axes) == 1
            inches = figure.get_figwidth() if alone else ax.bbox.width / figure.dpi
            words, size = self.fit_title(title, inches)
            pad = None
            if above is not None:
                pad = above.get_window_extent().height / figure.dpi * 72.0 + 0.8 * sizes.text
            ax.set_title(words, loc="left", pad=pad, fontsize=size, color=INK, parse_math=False)
        ax.set_xlabel(ax.get_xlabel() if x is None else x)
        ax.set_ylabel(ax.get_ylabel() if y is None else y)
        for label in (ax.xaxis.label, ax.yaxis.label):
            label.set(fontsize=sizes.text, color=INK, parse_math=False)
        thin, gap = 0.7 * sizes.line, 0.4 * sizes.text
        ax.tick_params(labelsize=sizes.text, color=LINES, labelcolor=INK, width=thin, pad=gap)
        ax.spines[:].set(color=LINES, linewidth=thin)
        ax.spines[["top", "right"]].set_visible(False)
        return ax

    def band(
        self,
        ax: Axes,
        x: Any,
        found: Iterable[Any],
        *,
        shade: float = 0.25,
        interval: str | None = None,
        of: str = "",
        **look: Any,
    ) -> None:
        """Draw a line through estimates with the band of their intervals.

        `shade` is how dense the band is, `interval` its words in the legend, `of` what the curve is
        of, where there are several; the rest goes to the line.
        """
        low, middle, high = np.array([(e.low, e.estimate, e.high) for e in found], dtype=float).T
        line = {"color": OFFENCE, "marker": "o", "linewidth": 1.8 * self.sizes.line, **look}
        area: dict[str, Any] = {"color": line["color"], "alpha": shade, "linewidth": 0}
        ax.fill_between(x, low, high, label=interval, gid=f"band{of}", **area)
        ax.plot(x, middle, gid=f"curve{of}", markersize=0.6 * self.sizes.marker, **line)

    def now(self, ax: Axes, value: float, words: str | None = None) -> None:
        """Draw a dotted line at the value in use."""
        look: dict[str, Any] = {"color": INK, "linestyle": ":", "linewidth": 1.4 * self.sizes.line}
        ax.axvline(value, label=words, gid="now", **look)

    def legend_above(self, ax: Axes, columns: int | None = None) -> Legend:
        """A legend in rows above the axes, where it covers no data; with the columns that fit if None."""
        handles, labels = ax.get_legend_handles_labels()
        look: dict[str, Any] = {}
        if columns is None:
            half = -(-len(labels) // 2)
            longest = [max(map(len, part), default=0) for part in (labels[:half], labels[half:])]
            fits = sum(longest) <= self.letters(self.sizes.width) - 12
            one_row = sum(map(len, labels)) < (50 if self.clinic else 75)
            columns = len(labels) if one_row else 1 + fits
            look = {"handlelength": 2.4, "columnspacing": 1.4}
        look |= {"loc": "lower left", "bbox_to_anchor": (0.0, 1.0), "borderaxespad": 0.3}
        legend = ax.legend(handles, labels, ncols=columns, **look)
        legend.set_gid("legend")
        return legend

    def legend_below(self, figure: Figure, keys: Mapping[str, Any], columns: int = 3) -> None:
        """One legend for all axes of a figure, under them: a mark for each text."""
        look: dict[str, Any] = {"loc": "outside lower left", "columnspacing": 1.2}
        figure.legend([*keys.values()], [*keys], ncols=columns, **look).set_gid("legend")

    def letters(self, inches: float, size: float | None = None) -> int:
        """How many letters, of the text if no size is given, fit a width.

        They are taken to be 0.6 of their size wide, more than an average one has.
        """
        return int(inches * 72.0 / (0.6 * (size or self.sizes.text)))

    def broken(self, text: str, inches: float) -> str:
        """A text broken into lines that fit a width, never between a figure and its per cent."""
        text = text.replace(" %", "\N{NO-BREAK SPACE}%")
        return "\n".join(textwrap.wrap(text, self.letters(inches)))

    def fit_title(self, title: str, inches: float) -> tuple[str, float]:
        """Break a title into at most two lines that fit a width, the size smaller if it takes two.

        A title that does not fit two lines ends in an ellipsis.
        """
        if len(title) <= self.letters(inches, self.sizes.title):
            return title, self.sizes.title
        size = 1.1 * self.sizes.text
        fits = max(8, self.letters(inches, size))
        return "\n".join(textwrap.wrap(title, fits, max_lines=2, placeholder=" …")), size


def chart(draw: Callable[..., Axes]) -> Callable[..., Axes]:
    """Make a chart of a function (found, ax, style, ...): `ax` and `style` may be left out.

    A style that is left out is `Style()`; it is in use while the function draws.
    """

    @functools.wraps(draw)
    def drawn(
        found: Any, /, ax: Axes | None = None, style: Style | None = None, *more: Any, **named: Any
    ) -> Axes:
        style = style or Style()
        with style.in_use():
            return draw(found, ax, style, *more, **named)

    return drawn


class ChartFigure(Figure):
    """A figure that a notebook shows as a picture, known to no window system and not to pyplot."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        FigureCanvasAgg(self)

    def _repr_png_(self) -> bytes:
        """The picture, asked for by IPython's display."""
        picture = io.BytesIO()
        self.savefig(picture, format="png", dpi=NOTEBOOK_DOTS_AN_INCH)
        return picture.getvalue()


def own_figure(ax: Axes | None, kind: str) -> None:
    """Refuse axes for a chart of several, with a `StallwiseError`."""
    if ax is not None:
        raise StallwiseError(f"ax: found axes for {kind}, a chart of several; allowed: None")


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
