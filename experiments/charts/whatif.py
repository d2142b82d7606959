"""The play before settings are changed and after, beside each other, with what it changes."""

from __future__ import annotations

from matplotlib.axes import Axes

from experiments.charts.differences import height_of, warned, write_notes
from experiments.charts.outcomes import outcome_key
from experiments.charts.panel import Key
from experiments.charts.play import draw_rehearsed, label_players, play_window
from experiments.charts.style import Style, chart, own_figure
from experiments.situations.asks import ASKS
from experiments.statistics.look_shares import look_shares
from experiments.statistics.measures import MEASURES, measured
from experiments.studies.whatif import AFTER, BEFORE, WhatIf
from experiments.tapes.picking import pick_rehearsal
from experiments.words.looks import hardly_in_short, looks_in_short
from experiments.words.measured import changes_in_words, headline, in_a_sentence, told, words_of

MOST = 150  # catches drawn on a field, and as many failures


@chart
def before_and_after(found: WhatIf, ax: Axes | None, style: Style) -> Axes:
    """Draw the play of a question's two situations on the same part of the field.

    On top stand what was changed and the difference; over each field how much of what the situation
    asks there was, and which looks were thrown, in the colour of a warning where the look that the
    plan is named after was hardly thrown.
    """
    own_figure(ax, "whatif")
    sizes, sides = style.sizes, (found.before, found.after)
    measure = MEASURES[ASKS[found.situation.asks]]
    tapes = [study.tape(pick_rehearsal(study.rows, "typical").rehearsal) for study in sides]
    windows = [play_window(study, tape, style) for study, tape in zip(sides, tapes, strict=True)]
    window = windows[0].with_all_of(windows[1])
    changed = f"changed: {changes_in_words(found.changes, found.situation)}"
    said = in_a_sentence(found.comparison, found.situation, style.units)
    notes = [style.broken(text, sizes.width) for text in (changed, said)]
    width = sizes.width / 2.0 - 0.2
    # Title, notes, three lines over the fields, and four of the legend.
    height = 0.8 + height_of(notes, style, more=7) + (width - 0.2) * window.shape(style)
    figure = style.figure(height, headline(found.situation))
    grid = figure.add_gridspec(2, 2, height_ratios=[0.01, 1.0])
    write_notes(figure.add_subplot(grid[0, :]), notes, style)
    axes = [figure.add_subplot(grid[1, column]) for column in (0, 1)]
    keys: dict[str, Key] = {}
    for when, study, tape, each in zip((BEFORE, AFTER), sides, tapes, axes, strict=True):
        _, marks, drawn = draw_rehearsed(study, tape, each, style=style, window=window, most=MOST)
        keys |= {key.text: key for key in marks if isinstance(key, Key)}
        for one in drawn:
            keys.setdefault(one.outcome, outcome_key(one.outcome, one.outcome))
        shares = look_shares(study.rows)
        hardly = hardly_in_short(study.situation, study.situation.plan, shares)
        value = told(measured(study.rows, measure), measure, style.units)
        value = value.partition(" (")[0] if style.clinic else value
        words = [
            f"{when}: {words_of(measure, study.situation)} {value}",
            f"thrown first: {looks_in_short(shares, 2)}",
            *([f"careful: {hardly}"] if hardly else []),
        ]
        each.set_anchor("NW")
        if style.clinic:  # no room for the words
            (each.set_ylabel if style.upright else each.set_xlabel)(style.units)
        lines = "\n".join(style.broken(line, width) for line in words)
        each.set_title(lines, fontsize=sizes.text, loc="left", **warned(bool(hardly)))
    marks_of = {text: key.artist(style) for text, key in keys.items()}
    style.legend_below(figure, marks_of, 4 if style.clinic else 3)
    for study, tape, each in zip(sides, tapes, axes, strict=True):
        label_players(study, tape, each, style, few=style.clinic)
    return axes[0]
