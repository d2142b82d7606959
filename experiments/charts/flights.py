"""Throws from the side and from above: how high, how long and how far round each shape flies."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import BLUE, INK, LINES, OCHRE, PURPLE, Style
from sim.flight.lookup import duration, lay_out, load_table, reach
from sim.flight.shapes import SHAPES, THROWS
from sim.throwing import CARRIED

# Told apart by line as well as by colour; neither team's colour, since both teams throw them.
LOOKS: dict[str, dict[str, Any]] = {
    "flat": {"color": INK, "linestyle": "-"},
    "inside-out": {"color": BLUE, "linestyle": "--"},
    "outside-in": {"color": PURPLE, "linestyle": "-."},
    "floated": {"color": OCHRE, "linestyle": ":"},
}
STEPS = 60
POINTS = 401  # of a flight to the ground; straight between them, off by less than a millimetre


def flights(
    distance: float,
    throw: str = "backhand",
    shapes: Sequence[str] = tuple(SHAPES),
    *,
    wind: tuple[float, float] = (0.0, 0.0),
    hand: int = 1,
    title: str = "",
    style: Style | None = None,
) -> tuple[Axes, Axes]:
    """Draw the flights of some shapes over one distance; axes from the side and from above.

    A dot is drawn each half second, so that the slower of two flights can be told.

    Parameters
    ----------
    distance : metres from the release to the catch.
    throw : "backhand" or "forehand".
    shapes : names of the shapes.
    wind : m/s along the throw (+ with it) and across it (+ to the right).
    hand : +1 for a right-handed thrower, -1 for a left-handed one.
    title : of the figure; empty says throw and distance.
    style : units and sizes.

    Raises
    ------
    ValueError : a throw or a shape that there is not.
    """
    style = style or Style()
    for found, known in ((throw, THROWS), *((shape, SHAPES) for shape in shapes)):
        if found not in known:
            raise ValueError(f"found {found!r}; allowed are {', '.join(known)}")
    length = f"{style.length(distance):.3g} {style.unit_word}"
    table, ahead, across = load_table(), wind[0], wind[1] * hand
    knots = np.zeros((POINTS, 3))
    with style.in_use():
        figure = style.figure(4.6, title or f"{throw} over {length}".capitalize())
        side, top = figure.subplots(2, 1, sharex=True)
        for shape in shapes:
            flight = table, THROWS.index(throw), SHAPES.index(shape)
            end = duration(*flight, distance, ahead, across)
            reached = reach(*flight, ahead, across)
            step = lay_out(*flight, distance, ahead, across, CARRIED, 0.0, 0.0, 0.0, 0.0, knots)
            words = f"{shape}: {end:.1f} s"
            if distance > reached:
                words += f", reaches {style.length(reached):.0f} {style.units}"
            whole = {"linewidth": 1.6 * style.sizes.line, "label": words}
            dots = {"linestyle": "none", "marker": "o", "markersize": 0.5 * style.sizes.marker}
            for times, gid, look in (
                (np.linspace(0.0, end, STEPS), f"flight {shape}", whole),
                (np.append(np.arange(0.0, end, 0.5), end), f"dots {shape}", dots),
            ):
                places = (np.interp(times, step * np.arange(POINTS), part) for part in knots.T)
                along, aside, height = map(style.length, places)
                for ax, up in ((side, height), (top, hand * aside)):
                    ax.plot(along, up, gid=gid, **{**LOOKS[shape], **look})
        side.set_ylim(bottom=0.0)
        top.axhline(0.0, color=LINES, linewidth=0.7 * style.sizes.line, zorder=0.5)
        style.dress(side, y=f"height ({style.units})", legend=True)
        # Right of the throw is below, as on a field that is attacked to the right.
        top.invert_yaxis()
        along_words = f"along the throw ({style.unit_word}; a dot each half second)"
        style.dress(top, x=along_words, y=f"to the right ({style.units})")
    return side, top
