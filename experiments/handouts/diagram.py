"""The diagram of a handout: cones by letter, the play between them, and what the mark covers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import ARROW, Window, draw_field, draw_line, draw_marks
from experiments.charts.labels import place_labels
from experiments.charts.style import DEFENCE, INK, LINES, OFFENCE, Sizes, Style
from experiments.charts.tape import draw_tape
from experiments.handouts.drill import DrillCard
from experiments.tapes.paths import first_part

MARGIN, LEAST = 4.0, 24.0  # m kept free around the play, and of field shown


@dataclass(frozen=True)
class HandoutStyle(Style):
    """A style whose picture is set beside words of 10 points at its own size."""

    @property
    def sizes(self) -> Sizes:
        """Sizes for half the width of a page."""
        return Sizes(3.75, 3.9, text=10.0, title=11.0, marker=6.5, dot=3.0, line=1.0, stretch=30.0)


def diagram(
    tape: Any, card: DrillCard, pace: float, *, units: str = "m", most: float = 44.0
) -> Axes:
    """Draw the first throw of a play upright, over the full width of the field.

    The play starts on the places of the file. The cones of the card get their letters, and five
    paces of so many metres are drawn as a scale. `most` is the metres of field shown for the sake of
    players who have no part in the throw.
    """
    style = HandoutStyle(units=units)
    last, _ = first_part(tape)
    cones = card.origin + np.array([[cone.right, cone.downfield] for cone in card.cones])
    runs = tape.positions[: last + 1]
    window = _window(tape, cones, runs, most)
    with style.in_use():
        ax = style.axes(height=0.45 + (style.sizes.width - 0.6) * window.shape(style))
        draw_field(tape.field, ax, style=style, window=window)
        ax.set_ylabel(f"{units} from own goal line {ARROW}")
        draw_tape(tape, ax, style=style)
        _letters(ax, card, cones, runs, style)
        # A line as long as five paces, at the foot of the picture.
        left, y = window.left + 2.5, window.low + 1.0
        ends = [(left, y), (left + 5.0 * pace, y)]
        look: dict[str, Any] = {"linewidth": 1.6, "marker": "|", "markersize": 7}
        draw_line(ax, style, ends, "scale", color=LINES, **look)
        text: dict[str, Any] = {"textcoords": "offset points", "va": "center", "gid": "scale words"}
        ax.annotate("5 paces", style.place(*ends[1]), (5, 0), **text)
    return ax


def _window(tape: Any, cones: np.ndarray, runs: np.ndarray, most: float) -> Window:
    """The cones and runs whole; of the others as much as there is room for."""
    field = tape.field
    ours = [team == "offence" for team in tape.teams]
    low, high = cones[:, 1].min() - MARGIN - 1.5, cones[:, 1].max() + MARGIN
    top = max(high, float(runs[:, ours, 1].max()) + 2.0)
    high = max(high, min(top, low + most))
    short = max(0.0, LEAST - (high - low)) / 2.0
    low = max(low - short, -field.end_zone - 2.0)
    high = min(max(high + short, low + LEAST), field.length + field.end_zone + 2.0)
    for y in sorted(runs[0, :, 1]):  # nobody is cut through by the edge
        high = y + 1.5 if abs(y - high) < 1.2 else high
    side = field.half_width + 2.0
    wide = float(np.abs(cones[:, 0]).max()) + 2.0
    return Window(-max(side, wide), max(side, wide), float(low), float(high))


def _letters(ax: Axes, card: DrillCard, cones: np.ndarray, runs: np.ndarray, style: Style) -> None:
    """The letter of each cone, on the side of it away from what runs by."""
    labels = [
        (float(x), float(y), cone.letter) for cone, (x, y) in zip(card.cones, cones, strict=True)
    ]
    busy = np.concatenate([np.repeat(cones, 6, axis=0), runs[::3].reshape(-1, 2)])
    for text, cone in zip(place_labels(ax, style, labels, avoid=busy), card.cones, strict=True):
        theirs = cone.purpose.startswith(("mark", "defender"))
        text.set(fontweight="bold", fontsize=11, color=DEFENCE if theirs else INK)
    catch = [spot for cone, spot in zip(card.cones, cones, strict=True) if "catch" in cone.purpose]
    look: dict[str, Any] = {"color": OFFENCE, "markersize": 9, "markeredgewidth": 2.2, "zorder": 8}
    for spot in catch:
        draw_marks(ax, style, spot, "catch", marker="x", **look)
