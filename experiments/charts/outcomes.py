"""Catches and failures as small marks on a field, each cause with its own marker."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes

from experiments.charts.field import Window, draw_marks
from experiments.charts.panel import Key
from experiments.charts.style import OUTCOME_MARKS, Style
from experiments.statistics.tables import Table, data_frame
from sim.record import KEPT

ENDS = ("end_x_m", "end_y_m")
SCALE = {"completed": 0.8, "goal": 1.9, "blocked by the mark": 1.1, "missed": 1.2}

# What an outcome is called where there is room for a few letters only.
SHORT = {"blocked by the mark": "by the mark", "out of bounds": "out", "completed": "caught"}


@dataclass(frozen=True)
class Drawn:
    """How many rehearsals ended in one way, and how many of them are drawn."""

    outcome: str
    total: int
    shown: int


def draw_outcomes(
    table: Table, ax: Axes, *, style: Style, window: Window, most: int = 300
) -> list[Drawn]:
    """Mark where rehearsals ended, and say what was drawn, in the order of the style.

    Catches (with goals) and failures are thinned apart from each other, each to about `most`
    marks, by rehearsal number, so that shares within each of the two stay true.
    """
    drawn = []
    ordered = data_frame(table, ("rehearsal", "outcome", *ENDS)).sort_values("rehearsal")
    caught = ordered["outcome"].isin(KEPT)
    for outcome, mark in OUTCOME_MARKS.items():
        rows = ordered[ordered["outcome"] == outcome]
        if rows.empty:
            continue
        step = max(1, -(-int((caught == (outcome in KEPT)).sum()) // most))
        ends = rows[::step][list(ENDS)].to_numpy(float)
        inside = window.holds(*ends.T)
        draw_marks(
            ax,
            style,
            ends[inside],
            f"outcome {outcome}",
            **mark,
            markersize=style.sizes.dot * SCALE.get(outcome, 1.4),
            markeredgewidth=0.0,
            alpha=0.45 if outcome == "completed" else 0.95,
            zorder=3.0 if outcome in KEPT else 3.5,
        )
        drawn.append(Drawn(outcome, len(rows), int(inside.sum())))
    return drawn


def outcome_key(outcome: str, words: str, **look: Any) -> Key:
    """The key of an outcome's marks."""
    return Key(words, "marker", {**OUTCOME_MARKS[outcome], **look})


def outcome_keys(drawn: list[Drawn], style: Style) -> list[Key]:
    """The keys of the marks, with how often each outcome happened and how many are drawn."""
    keys = []
    for one in drawn:
        name = SHORT.get(one.outcome, one.outcome) if style.clinic else one.outcome
        some = f" ({one.shown} drawn)" if one.shown < one.total and not style.clinic else ""
        keys.append(outcome_key(one.outcome, f"{name} {one.total:,}{some}", markeredgewidth=0.0))
    return keys
