"""The play of a study on the field: formation, runs, the mark, the lane, and where it ends."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import Window, around, draw_field
from experiments.charts.labels import place_labels
from experiments.charts.outcomes import ENDS, Drawn, draw_outcomes, outcome_keys
from experiments.charts.panel import Block, Heading, draw_panel
from experiments.charts.style import Style, chart
from experiments.charts.tape import draw_tape, in_the_way, player_labels
from experiments.statistics.look_shares import look_shares
from experiments.statistics.tables import data_frame
from experiments.tapes.paths import first_part
from experiments.tapes.picking import pick_rehearsal
from experiments.words.looks import looks_in_short, warned_title
from experiments.words.wording import count, estimate_lines


@chart
def play(
    study: Any,
    ax: Axes | None,
    style: Style,
    *,
    tape: Any = None,
    most: int = 300,
    found: bool = True,
) -> Axes:
    """Draw the play that a study rehearsed, with its estimates in a box beside the field.

    Parameters
    ----------
    study, ax : on a figure of your own use ``layout="constrained"``, so that it makes room for the
        box.
    tape : the rehearsal whose runs are shown; None takes the typical one.
    most : at most this many catches are drawn, and as many failures.
    found : False leaves out the title and the estimates, where the words around say them.
    """
    typical = None
    if tape is None:
        typical = pick_rehearsal(study.rows, "typical").rehearsal
        tape = study.tape(typical)
    window = play_window(study, tape, style)
    ax, marks, drawn = draw_rehearsed(study, tape, ax, style=style, window=window, most=most)
    title = warned_title(study.situation, look_shares(study.rows)) if found else ""
    style.dress(ax, title=title)
    if typical is not None and not style.clinic:
        marks.append(f"runs: a typical one ({typical}), to the first catch")
    lines = estimates(study, style) if found else []
    draw_panel(ax, lines, [marks, outcome_keys(drawn, style)], style)
    label_players(study, tape, ax, style)
    return ax


def draw_rehearsed(
    study: Any, tape: Any, ax: Axes | None, *, style: Style, window: Window, most: int = 300
) -> tuple[Axes, list[Block], list[Drawn]]:
    """Draw the field, the runs of one rehearsal, and where all of them ended.

    Returns
    -------
    The axes, the keys of the play, and how many of each ending were drawn.
    """
    ax = draw_field(tape.field, ax, style=style, window=window, panel=True)
    drawn = draw_outcomes(study.rows, ax, style=style, window=window, most=most)
    return ax, [*draw_tape(tape, ax, style=style)], drawn


def label_players(study: Any, tape: Any, ax: Axes, style: Style, *, few: bool = False) -> None:
    """Name the players where they cover no run and few endings, once the figure is laid out.

    `few` names only who throws first and to whom, where there is no room for more.
    """
    last, thrown = first_part(tape)
    labels = player_labels(tape)
    if few:
        pair = (thrown.thrower, thrown.receiver) if thrown else ()
        main = [tape.names[p] for p in pair if p >= 0]
        labels = [label for label in labels if label[2] in main]
    ends = data_frame(study.rows, ENDS).to_numpy(dtype=float)
    caught = study.rows["completed"].to_numpy(dtype=bool)
    busy = np.concatenate([in_the_way(tape, last), ends[caught][:60], ends[~caught][:300]])
    place_labels(ax, style, labels, avoid=busy[np.isfinite(busy).all(axis=1)])


def play_window(study: Any, tape: Any, style: Style) -> Window:
    """The part of the field that holds the play up to its first throw, and nearly all ends."""
    last, _ = first_part(tape)
    ends = data_frame(study.rows, ENDS).to_numpy(dtype=float)
    near = np.nanquantile(ends, [0.02, 0.98], axis=0)
    return around(tape.field, [tape.positions[: last + 1], near], least=style.sizes.stretch)


def estimates(study: Any, style: Style) -> list[Block]:
    """The lines of the panel that say what the study found."""
    # What the situation asks comes first: goals where it asks for goals.
    (asked, first), *others = estimate_lines(study, style.units)
    value, _, interval = first.partition(" (")
    level = f"{100 * float(study.completion.level):.0f} %"
    return [
        Heading(f"{value} {asked}", large=True),
        *([f"{interval.rstrip(')')} is the {level} interval"] if interval else []),
        *(f"{name} {found}" for name, found in others),
        f"from {count(study.n)} rehearsals",
        *([] if style.clinic else [f"thrown first: {looks_in_short(look_shares(study.rows), 2)}"]),
    ]
