"""One rehearsal on the field: where everybody stood, who ran where, the mark and the lane."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import draw_area, draw_arrow, draw_line, draw_marks
from experiments.charts.panel import Key
from experiments.charts.style import (
    DEFENCE,
    DEFENCE_MARKER,
    HATCHED,
    INK,
    OFFENCE,
    OFFENCE_MARKER,
    Style,
)
from experiments.tapes.paths import covered_sector, distance_run, first_part, lane, time_marks

# What each mark is called on a page, and in the few letters that a slide has room for.
WORDS = {
    "offence": ("offence", "offence"),
    "defence": ("defence", "defence"),
    "covered": ("covered by the mark", "mark covers"),
    "lane": ("lane of the throw", "lane"),
    "run": ("offence's run, a tick each second", "run (tick: 1 s)"),
    "chase": ("defender's run", "defender runs"),
}

# Metres: how far the hatching of the covered sector is drawn, and the shortest run drawn.
SECTOR_RADIUS = 5.0
MOVED = 0.5
CHASE = (0, (4, 2))


def draw_tape(tape: Any, ax: Axes, *, style: Style) -> list[Key]:
    """Draw formation, runs, covered sector and lane of a tape's first throw.

    Returns
    -------
    The keys of what was drawn.
    """
    last, thrown = first_part(tape)
    keys = draw_formation(tape, ax, style=style)
    keys += draw_covered(tape, ax, thrown.release if thrown else last, style=style)
    if thrown and len(outline := lane(tape, thrown)):
        look: dict[str, Any] = {"facecolor": "none", "edgecolor": INK}
        look["linewidth"] = style.sizes.line
        draw_area(ax, style, outline, "lane", zorder=4, **look)
        keys.append(Key(_word("lane", style), "patch", look))
    positions = np.asarray(tape.positions, dtype=float)[: last + 1]
    ran = [p for p in range(len(tape.teams)) if distance_run(positions[:, p]) > MOVED]
    for player in ran:
        _run(ax, style, tape, player, last, bold=bool(thrown and player == thrown.receiver))
    if any(tape.teams[p] == "offence" for p in ran):
        keys.append(Key(_word("run", style), "line", {"color": OFFENCE}))
    if any(tape.teams[p] != "offence" for p in ran):
        keys.append(Key(_word("chase", style), "line", {"color": DEFENCE, "linestyle": CHASE}))
    return keys


def draw_formation(tape: Any, ax: Axes, *, style: Style, index: int = 0) -> list[Key]:
    """Draw players and disc where they are at an instant of a tape, and return their keys."""
    positions = np.asarray(tape.positions, dtype=float)[index]
    offence = np.array([team == "offence" for team in tape.teams])
    keys = []
    for team, chosen in (("offence", offence), ("defence", ~offence)):
        look = player_look(team, style)
        draw_marks(ax, style, positions[chosen], team, zorder=7, **look)
        keys.append(Key(_word(team, style), "marker", {k: look[k] for k in ("marker", "color")}))
    return [*keys, draw_disc(np.asarray(tape.disc, dtype=float)[index, :2], ax, style=style)]


def player_look(team: str, style: Style) -> dict[str, Any]:
    """How the players of a team are drawn."""
    ours = team == "offence"
    return {
        "marker": OFFENCE_MARKER if ours else DEFENCE_MARKER,
        "color": OFFENCE if ours else DEFENCE,
        "markeredgecolor": "white",
        "markeredgewidth": 0.6 * style.sizes.line,
    }


def draw_disc(spot: np.ndarray, ax: Axes, *, style: Style, words: str = "disc") -> Key:
    """Draw the disc at a place, and return its key."""
    look: dict[str, Any] = {"marker": "o", "color": "white", "markeredgecolor": INK}
    look["markeredgewidth"] = 1.2 * style.sizes.line
    draw_marks(ax, style, spot, words, markersize=0.65 * style.sizes.marker, zorder=8, **look)
    return Key(words, "marker", look)


def draw_covered(tape: Any, ax: Axes, index: int, *, style: Style) -> list[Key]:
    """Hatch what the mark covers at an instant of a tape; nothing when there is no mark."""
    outline = covered_sector(tape, index, SECTOR_RADIUS)
    if not len(outline):
        return []
    look = {**HATCHED, "hatch": "////"}
    draw_area(ax, style, outline, "covered sector", zorder=2, **look)
    return [Key(_word("covered", style), "patch", look)]


def _word(name: str, style: Style) -> str:
    return WORDS[name][style.clinic]


def _run(ax: Axes, style: Style, tape: Any, player: int, last: int, *, bold: bool) -> None:
    """One player's run with its time ticks and an arrow head at its end."""
    offence = tape.teams[player] == "offence"
    times = np.asarray(tape.times, dtype=float)[: last + 1]
    path = np.asarray(tape.positions, dtype=float)[: last + 1, player]
    width = style.sizes.line * ((2.0 if bold else 1.3) if offence else 1.0)
    look: dict[str, Any] = {"color": OFFENCE if offence else DEFENCE, "linewidth": width}
    form: dict[str, Any] = {"linestyle": "-", "zorder": 6}
    if not offence:
        form = {"linestyle": CHASE, "zorder": 5}
    draw_line(ax, style, path, f"run of {tape.names[player]}", **form, **look)
    _, points, heading = time_marks(times, path)
    for point, way in zip(points, heading, strict=True):
        aside = 0.45 * way[::-1] * [1, -1]
        draw_line(ax, style, [point + aside, point - aside], "time tick", zorder=6, **look)
    before = np.flatnonzero(np.hypot(*(path - path[-1]).T) > 0.4)
    if len(before):
        size = 1.3 * style.sizes.marker
        draw_arrow(ax, style, path[before[-1]], path[-1], size, zorder=6, **look)


def player_labels(tape: Any, index: int = 0) -> list[tuple[float, float, str]]:
    """The offence by name and the mark, where they are at an instant."""
    mark = int(tape.mark[index])
    start = np.asarray(tape.positions, dtype=float)[index]
    return [
        (float(start[p, 0]), float(start[p, 1]), name if tape.teams[p] == "offence" else "mark")
        for p, name in enumerate(tape.names)
        if tape.teams[p] == "offence" or p == mark
    ]


def in_the_way(tape: Any, last: int) -> np.ndarray:
    """Points (K, 2) that a label should leave free: starts above all, runs, flight, sidelines."""
    positions = np.asarray(tape.positions, dtype=float)[: last + 1]
    disc = np.asarray(tape.disc, dtype=float)[: last + 1, :2]
    along = np.arange(-tape.field.end_zone, tape.field.length + tape.field.end_zone)
    lines = [np.column_stack([np.full_like(along, x), along]) for x in (-1.0, 1.0)]
    starts = np.repeat(positions[0], 8, axis=0)
    sides = np.concatenate(lines) * [tape.field.half_width, 1.0]
    bricks = np.repeat(np.array(tape.field.brick_points), 4, axis=0)
    return np.concatenate([starts, positions[::2].reshape(-1, 2), disc, sides, bricks])
