"""Throws from the side and from above: how high, how long and how far round each shape flies."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.style import (
    INK,
    LINES,
    Style,
    dress,
    legend_above,
    new_figure,
    plain_frame,
)
from sim.flight.lookup import duration, lay_out, load_table, reach
from sim.flight.shapes import SHAPES, THROWS
from sim.throwing import CARRIED

# Told apart by line as well as by colour; neither team's colour, since both teams throw them.
LOOKS: dict[str, dict[str, Any]] = {
    "flat": {"color": INK, "linestyle": "-"},
    "inside-out": {"color": "#0072B2", "linestyle": "--"},
    "outside-in": {"color": "#AA3377", "linestyle": "-."},
    "floated": {"color": "#B8860B", "linestyle": ":"},
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
    """Draw the flights of some shapes over one distance, from the side and from above.

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

    Returns
    -------
    The axes from the side, and those from above.

    Raises
    ------
    ValueError : a throw or a shape that there is not.
    """
    style = style or Style()
    for found, known in ((throw, THROWS), *((shape, SHAPES) for shape in shapes)):
        if found not in known:
            raise ValueError(f"found {found!r}; allowed are {', '.join(known)}")
    sizes = style.sizes
    length = f"{float(style.length(distance)):.3g} {style.unit_word}"
    figure = new_figure(style, 4.6, title or f"{throw} over {length}".capitalize())
    side, top = figure.subplots(2, 1, sharex=True)
    for shape in shapes:
        _draw((side, top), distance, throw, shape, wind, hand, style)
    legend = legend_above(side, style)
    side.set_ylim(bottom=0.0)
    top.axhline(0.0, color=LINES, linewidth=0.7 * sizes.line, zorder=0.5)
    for ax in (side, top):
        plain_frame(ax)
    dress(side, style, y=f"height ({style.units})", legend=legend)
    # Right of the throw is below, as on a field that is attacked to the right.
    top.invert_yaxis()
    dress(
        top,
        style,
        x=f"along the throw ({style.unit_word}; a dot each half second)",
        y=f"to the right ({style.units})",
    )
    return side, top


def _draw(
    axes: tuple[Axes, Axes],
    distance: float,
    throw: str,
    shape: str,
    wind: tuple[float, float],
    hand: int,
    style: Style,
) -> None:
    """One flight up to the catch, on both axes."""
    table, knots = load_table(), np.zeros((POINTS, 3))
    kind, code = THROWS.index(throw), SHAPES.index(shape)
    across = wind[1] * hand
    end = duration(table, kind, code, distance, wind[0], across)
    reached = reach(table, kind, code, wind[0], across)
    step = lay_out(table, kind, code, distance, wind[0], across, CARRIED, 0.0, 0.0, 0.0, 0.0, knots)
    line = np.linspace(0.0, end, STEPS)
    dots = np.append(np.arange(0.0, end, 0.5), end)
    words = f"{shape}: {end:.1f} s"
    if distance > reached:
        words += f", reaches {float(style.length(reached)):.0f} {style.units}"
    for place, ax in enumerate(axes):
        for times, look in (
            (line, {"linewidth": 1.6 * style.sizes.line, "label": words, "gid": f"flight {shape}"}),
            (dots, {"marker": "o", "markersize": 0.5 * style.sizes.marker, "gid": f"dots {shape}"}),
        ):
            along, aside, height = (
                np.interp(times, step * np.arange(POINTS), column) for column in knots.T
            )
            up = height if place == 0 else hand * aside
            drawn = {**LOOKS[shape], **look}
            if "marker" in look:
                drawn["linestyle"] = "none"
            ax.plot(style.length(along), style.length(up), **drawn)
