"""Which parts of the field each team could reach first, at an instant of a rehearsal."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import around, draw_field
from experiments.charts.labels import place_labels
from experiments.charts.panel import Block, Heading, Key, draw_panel
from experiments.charts.style import DEFENCE, INK, OFFENCE, Style, chart
from experiments.charts.tape import draw_covered, draw_formation, player_labels
from experiments.errors import StallwiseError
from experiments.studies.rehearse import Study
from experiments.tapes.openness import abilities_of, instant
from experiments.tapes.openness import openness as compute
from experiments.tapes.paths import first_part
from experiments.tapes.picking import pick_rehearsal
from experiments.words.measured import headline

# Seconds of advantage between the steps of the shading, and the shades from defence to offence.
# The darker a shade, the larger the advantage; the defence's side carries dots as well, so that
# the two sides can be told apart in grey.
STEPS = (-0.6, -0.2, 0.2, 0.6)
SHADES = ("#E8A06A", "#F5D3B8", "#FFFFFF", "#BCE3D6", "#5FBFA1")
# Each on a page, and in the few letters that a slide has room for.
WORDS = (
    ("defence first by 0.6 s and more", "defence by 0.6 s"),
    ("defence first by 0.2 to 0.6 s", "defence by 0.2 s"),
    ("about level", "about level"),
    ("offence first by 0.2 to 0.6 s", "offence by 0.2 s"),
    ("offence first by 0.6 s and more", "offence by 0.6 s"),
)


@chart
def openness(study: Study, ax: Axes | None, style: Style, seconds: float | None = None) -> Axes:
    """Shade the field by who could be first where, with players, disc and mark of a typical play.

    `seconds` from the start is the instant; None takes that of the first throw.

    Raises
    ------
    StallwiseError : the play was over by then.
    """
    tape = study.tape(pick_rehearsal(study.rows, "typical").rehearsal)
    if seconds is None:
        last, flight = first_part(tape)
        seconds = tape.times[last if flight is None else flight.release]
    try:
        index = instant(tape, seconds)
    except ValueError as error:
        raise StallwiseError(f"first: {error}") from None
    places, count = tape.positions[index], int(tape.count[index])
    window = around(tape.field, [places], margin=8.0, least=style.sizes.stretch)
    found = compute(tape, abilities_of(study.situation), seconds, low=window.low, high=window.high)
    ax = draw_field(tape.field, ax, style=style, window=window, panel=True)
    level = len(SHADES) // 2
    shades: dict[str, Any] = {"hatches": ["..."] * level + [""] * (level + 1)}
    shades["colors"] = [*SHADES[:level], "none", *SHADES[level + 1 :]]
    grid, levels = style.place(*np.meshgrid(found.x, found.y)), [-np.inf, *STEPS, np.inf]
    areas = ax.contourf(*grid, found.margin, levels=levels, zorder=0.5, **shades)
    areas.set(edgecolor=DEFENCE, linewidth=0.0, gid="openness")
    keys = draw_formation(tape, ax, style=style, index=index)
    keys += draw_covered(tape, ax, index, style=style)
    style.dress(ax, title=headline(study.situation))
    told: list[Block] = [
        Heading("Who is first", large=True),
        f"{found.time:.1f} s after the start" + (f", stall {count}" if count > 0 else ""),
        "if all set off now",
    ]
    draw_panel(ax, told, [keys, _shades(style)], style)
    labels = [(x, y, name) for x, y, name in player_labels(tape, index) if window.holds(x, y)]
    place_labels(ax, style, labels, avoid=np.concatenate([places, tape.disc[index, None, :2]]))
    return ax


def _shades(style: Style) -> list[Block]:
    level = len(SHADES) // 2
    edges: list[dict[str, Any]] = [
        *[{"hatch": "...", "edgecolor": DEFENCE, "linewidth": 0.0}] * level,
        {"edgecolor": INK, "linewidth": 0.5 * style.sizes.line},
        *[{"edgecolor": OFFENCE, "linewidth": 0.0}] * level,
    ]
    return [
        Key(words[style.clinic], "patch", {"facecolor": shade, **edge})
        for words, shade, edge in zip(WORDS, SHADES, edges, strict=True)
    ]
