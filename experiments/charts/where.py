"""Where a study ends: the areas that hold most catches, and each failure by its cause."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.enlarged import draw_outline, enlarge
from experiments.charts.field import around, draw_field, field_figure
from experiments.charts.outcomes import draw_outcomes, outcome_keys
from experiments.charts.panel import Block, Heading, Words, line_key, make_room, marker_key, panel
from experiments.charts.style import OFFENCE, Style, dress
from experiments.charts.tape import draw_disc
from experiments.tapes.landing import caught_points, density
from experiments.words.measured import headline
from experiments.words.wording import count, percent

# Share of catches inside an outline: its word and its line.
OUTLINES = {0.5: ("half of the catches", "-"), 0.9: ("nine of ten catches", "--")}


def where(
    study: Any, ax: Axes | None = None, style: Style | None = None, *, most: int = 400
) -> Axes:
    """Draw where the rehearsals of a study ended.

    Parameters
    ----------
    study : `experiments.Study`.
    ax : axes to draw on; None makes a figure.
    style : units, sizes and direction.
    most : at most this many failures are drawn, thinned by rehearsal number.

    Returns
    -------
    The axes.
    """
    style = style or Style()
    field, table = study.situation.playing_field, study.table
    start = table[["start_x_m", "start_y_m"]].to_numpy(dtype=float)[0]
    ends = table[["end_x_m", "end_y_m"]].to_numpy(dtype=float)
    window = around(
        field, [start, np.nanquantile(ends, [0.01, 0.99], axis=0)], least=style.sizes.stretch
    )
    own = ax is None
    if ax is None:
        ax = field_figure(window, style)
    draw_field(field, ax, style=style, window=window)
    keys: list[Block] = [draw_disc(start, ax, style=style, words="disc at the start")]
    keys += _areas(ax, caught_points(table), style)
    plain = table[table["outcome"] == "completed"]
    caught = draw_outcomes(plain, ax, style=style, window=window, most=120)
    failed = table[~table["completed"].astype(bool)]
    drawn = draw_outcomes(failed, ax, style=style, window=window, most=most)
    goals = table[table["outcome"] == "goal"]
    drawn = draw_outcomes(goals, ax, style=style, window=window, most=60) + drawn
    drawn = caught + drawn
    dress(ax, style, title=headline(study.situation), x=ax.get_xlabel(), y=ax.get_ylabel())
    box = panel(ax, _found(study), [keys, outcome_keys(drawn, style)], style)
    if own:
        make_room(ax, box, style)
        enlarge(ax, box, table, style)
    return ax


def _found(study: Any) -> list[Block]:
    caught, failed = float(study.completion.estimate), 1.0 - float(study.completion.estimate)
    return [
        Heading("Where it ends", large=True),
        Words(f"caught {percent(caught)}, failed {percent(failed)}"),
        Words(f"of {count(study.n)} rehearsals"),
    ]


def _areas(ax: Axes, caught: np.ndarray, style: Style) -> list[Block]:
    """The smallest areas that hold half and nine tenths of the catches."""
    found = density(caught, inside=tuple(OUTLINES))
    if found is None:
        u, v = style.place(caught[:, 0], caught[:, 1])
        size = style.sizes.dot
        ax.plot(u, v, linestyle="none", marker="o", color=OFFENCE, markersize=size, gid="catches")
        return [marker_key("catch", "o", OFFENCE)] if len(caught) else []
    grid_x, grid_y = np.meshgrid(found.x, found.y)
    u, v = style.place(grid_x, grid_y)
    half, most = found.levels[0.5], found.levels[0.9]
    top = float(found.share.max())
    if most < half < top:
        shade = ax.contourf(
            u, v, found.share, levels=[most, half, top], colors=["#D5EDE5", "#8FCFB9"], zorder=1.5
        )
        shade.set_gid("catch density")
    keys: list[Block] = []
    for share, (word, line) in OUTLINES.items():
        outline = draw_outline(ax, found, share, line, style)
        outline.set_gid(f"outline {share}")
        keys.append(line_key(word, OFFENCE, linestyle=line, linewidth=1.4 * style.sizes.line))
    return keys
