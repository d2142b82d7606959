"""The start of a situation as its file says it: nobody has run yet, nothing is rehearsed."""

from __future__ import annotations

from matplotlib.axes import Axes

from experiments.charts.field import around, draw_field
from experiments.charts.labels import place_labels
from experiments.charts.panel import draw_panel
from experiments.charts.style import Style, chart
from experiments.charts.tape import draw_covered, draw_formation, player_labels
from experiments.situations.lineup import line_up
from experiments.situations.situation import Situation
from experiments.words.wording import force_words, title_of
from sim.taping import start as start_tape


@chart
def start(situation: Situation, ax: Axes | None, style: Style) -> Axes:
    """Draw where everybody stands at the start, the disc, and what the mark covers.

    Everybody stands where the file, or the defence, puts them. Beside it stands what the picture
    cannot show: plan, defence, force, count and wind.
    """
    ready = line_up(situation)
    tape = start_tape(ready.scene, ready.offence, ready.defence)
    window = around(tape.field, [tape.positions], least=style.sizes.stretch)
    ax = draw_field(tape.field, ax, style=style, window=window, panel=True)
    marks = draw_covered(tape, ax, 0, style=style) + draw_formation(tape, ax, style=style)
    style.dress(ax, title=title_of(situation))
    wind = situation.wind
    told = [
        f"plan {situation.plan}",
        f"defence {situation.defence}",
        force_words(situation),
        f"count {situation.stall:g}",
        f"wind {wind.speed:g} m/s toward {wind.toward:g} degrees" if wind.speed else "no wind",
    ]
    draw_panel(ax, told, [marks], style)
    place_labels(ax, style, player_labels(tape), avoid=tape.positions[0])
    return ax
