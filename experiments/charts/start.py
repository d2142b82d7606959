"""The start of a situation as its file says it: nobody has run yet, nothing is rehearsed."""

from __future__ import annotations

from matplotlib.axes import Axes

from experiments.charts.field import around, draw_field, field_figure
from experiments.charts.labels import place_labels
from experiments.charts.panel import Block, Words, make_room, panel
from experiments.charts.play import dress_play
from experiments.charts.style import Style
from experiments.charts.tape import draw_covered, draw_formation, player_labels
from experiments.situations.lineup import line_up
from experiments.situations.situation import Situation
from experiments.words.wording import force_words, title_of
from sim.taping import start as start_tape


def start(situation: Situation, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw where everybody stands at the start, the disc, and what the mark covers.

    Parameters
    ----------
    situation : of which; everybody stands where the file, or the defence, puts them.
    ax : axes to draw on; None makes a figure.
    style : units, sizes and direction.

    Returns
    -------
    The axes.
    """
    style = style or Style()
    ready = line_up(situation)
    tape = start_tape(ready.scene, ready.offence, ready.defence)
    window = around(tape.field, [tape.positions], least=style.sizes.stretch)
    own = ax is None
    if ax is None:
        ax = field_figure(window, style)
    draw_field(tape.field, ax, style=style, window=window)
    marks: list[Block] = [
        *draw_covered(tape, ax, 0, style=style),
        *draw_formation(tape, ax, style=style),
    ]
    dress_play(ax, style, title_of(situation))
    lines: list[Block] = [Words(line) for line in told(situation)]
    box = panel(ax, lines, [marks], style)
    if own:
        make_room(ax, box, style)
    place_labels(ax, style, player_labels(tape), avoid=tape.positions[0])
    return ax


def told(situation: Situation) -> list[str]:
    """What the picture cannot show: plan, defence, force, count and wind."""
    wind = situation.wind
    blows = f"wind {wind.speed:g} m/s toward {wind.toward:g} degrees" if wind.speed else "no wind"
    return [
        f"plan {situation.plan}",
        f"defence {situation.defence}",
        force_words(situation),
        f"count {situation.stall:g}",
        blows,
    ]
