"""Which parts of the field each team could reach first, at an instant of a rehearsal."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import around, draw_field, field_figure
from experiments.charts.labels import place_labels
from experiments.charts.panel import Block, Heading, Words, make_room, panel, patch_key
from experiments.charts.style import DEFENCE, INK, OFFENCE, Style, dress
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
WORDS = (
    "defence first by 0.6 s and more",
    "defence first by 0.2 to 0.6 s",
    "about level",
    "offence first by 0.2 to 0.6 s",
    "offence first by 0.6 s and more",
)
SHORT = (
    "defence by 0.6 s",
    "defence by 0.2 s",
    "about level",
    "offence by 0.2 s",
    "offence by 0.6 s",
)


def openness(
    study: Study, ax: Axes | None = None, style: Style | None = None, seconds: float | None = None
) -> Axes:
    """Shade the field by who could be first where, with players, disc and mark of a typical play.

    Parameters
    ----------
    study : whose play.
    ax : axes to draw on; None makes a figure.
    style : units, sizes and direction.
    seconds : the instant, from the start; None takes that of the first throw.

    Raises
    ------
    StallwiseError : the play was over by then.
    """
    style = style or Style()
    tape = study.tape(pick_rehearsal(study.rows, "typical").rehearsal)
    if seconds is None:
        last, flight = first_part(tape)
        seconds = float(tape.times[last if flight is None else flight.release])
    try:
        places = np.asarray(tape.positions, dtype=float)[instant(tape, seconds)]
    except ValueError as error:
        raise StallwiseError(f"first: {error}") from None
    field = tape.field
    window = around(field, [places], margin=8.0, least=style.sizes.stretch)
    found = compute(tape, abilities_of(study.situation), seconds, low=window.low, high=window.high)
    own = ax is None
    if ax is None:
        ax = field_figure(window, style)
    draw_field(field, ax, style=style, window=window)
    u, v = style.place(*np.meshgrid(found.x, found.y))
    level = len(SHADES) // 2
    areas = ax.contourf(
        u,
        v,
        found.margin,
        levels=[-np.inf, *STEPS, np.inf],
        colors=[*SHADES[:level], "none", *SHADES[level + 1 :]],
        hatches=["..."] * level + [""] * (level + 1),
        zorder=0.5,
    )
    areas.set_edgecolor(DEFENCE)
    areas.set_linewidth(0.0)
    areas.set_gid("openness")
    keys: list[Block] = [*draw_formation(tape, ax, style=style, index=found.index)]
    keys += draw_covered(tape, ax, found.index, style=style)
    dress(ax, style, title=headline(study.situation), x=ax.get_xlabel(), y=ax.get_ylabel())
    box = panel(ax, _found(tape, found.time, found.index), [keys, _shades(style)], style)
    if own:
        make_room(ax, box, style)
    labels = [
        entry for entry in player_labels(tape, found.index) if window.holds(entry[0], entry[1])
    ]
    disc = np.asarray(tape.disc, dtype=float)[found.index, None, :2]
    place_labels(ax, style, labels, avoid=np.concatenate([places, disc]))
    return ax


def _found(tape: Any, time: float, index: int) -> list[Block]:
    count = int(np.floor(float(np.asarray(tape.count)[index])))
    lines: list[Block] = [
        Heading("Who is first", large=True),
        Words(f"{time:.1f} s after the start" + (f", stall {count}" if count > 0 else "")),
        Words("if all set off now"),
    ]
    return lines


def _shades(style: Style) -> list[Block]:
    names = SHORT if style.size == "clinic" else WORDS
    keys: list[Block] = []
    for place, (name, shade) in enumerate(zip(names, SHADES, strict=True)):
        defence = place < len(SHADES) // 2
        look: dict[str, Any] = {"facecolor": shade, "linewidth": 0.0}
        if defence:
            look |= {"hatch": "...", "edgecolor": DEFENCE}
        elif place == len(SHADES) // 2:
            look |= {"edgecolor": INK, "linewidth": 0.5 * style.sizes.line}
        else:
            look |= {"edgecolor": OFFENCE}
        keys.append(patch_key(name, **look))
    return keys
