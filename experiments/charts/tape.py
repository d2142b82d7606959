"""One rehearsal on the field: where everybody stood, who ran where, the mark and the lane."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import draw_area, draw_arrow, draw_line, draw_marks
from experiments.charts.panel import Key
from experiments.charts.style import DEFENCE, HATCHED, INK, OFFENCE, TEAM_MARKS, Style
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
        look = {"facecolor": "none", "edgecolor": INK, "linewidth": style.sizes.line}
        draw_area(ax, style, outline, "lane", zorder=4, **look)
        keys.append(Key(_word("lane", style), "patch", look))
    runs = tape.positions[: last + 1]
    ran = [p for p in range(len(tape.teams)) if distance_run(runs[:, p]) > MOVED]
    for player in ran:
        _run(ax, style, tape, player, last, bold=bool(thrown and player == thrown.receiver))
    if any(tape.teams[p] == "offence" for p in ran):
        keys.append(Key(_word("run", style), "line", {"color": OFFENCE}))
    if any(tape.teams[p] != "offence" for p in ran):
        keys.append(Key(_word("chase", style), "line", {"color": DEFENCE, "linestyle": CHASE}))
    return keys


def draw_formation(tape: Any, ax: Axes, *, style: Style, index: int = 0) -> list[Key]:
    """Draw players and disc where they are at an instant of a tape, and return their keys."""
    for team in TEAM_MARKS:
        spots = tape.positions[index, np.array(tape.teams) == team]
        draw_marks(ax, style, spots, team, zorder=7, **player_look(team, style))
    keys = [Key(_word(team, style), "marker", look) for team, look in TEAM_MARKS.items()]
    return [*keys, draw_disc(tape.disc[index, :2], ax, style=style)]


def player_look(team: str, style: Style) -> dict[str, Any]:
    """How the players of a team are drawn."""
    rim = {"markeredgecolor": "white", "markeredgewidth": 0.6 * style.sizes.line}
    return {**TEAM_MARKS[team], **rim}


def disc_look(style: Style) -> dict[str, Any]:
    """How the disc is drawn."""
    rim = {"markeredgecolor": INK, "markeredgewidth": 1.2 * style.sizes.line}
    return {"marker": "o", "color": "white", **rim}


def draw_disc(spot: np.ndarray, ax: Axes, *, style: Style, words: str = "disc") -> Key:
    """Draw the disc at a place, and return its key."""
    look, size = disc_look(style), 0.65 * style.sizes.marker
    draw_marks(ax, style, spot, words, markersize=size, zorder=8, **look)
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
    path = tape.positions[: last + 1, player]
    width, form = 2.0 if bold else 1.3, {"linestyle": "-", "zorder": 6}
    if tape.teams[player] != "offence":
        width, form = 1.0, {"linestyle": CHASE, "zorder": 5}
    look: dict[str, Any] = {"linewidth": width * style.sizes.line}
    look["color"] = TEAM_MARKS[tape.teams[player]]["color"]
    draw_line(ax, style, path, f"run of {tape.names[player]}", **form, **look)
    _, points, heading = time_marks(tape.times[: last + 1], path)
    for point, way in zip(points, heading, strict=True):
        aside = 0.45 * way[::-1] * [1, -1]
        draw_line(ax, style, [point + aside, point - aside], "time tick", zorder=6, **look)
    before = np.flatnonzero(np.hypot(*(path - path[-1]).T) > 0.4)
    if len(before):
        size = 1.3 * style.sizes.marker
        draw_arrow(ax, style, path[before[-1]], path[-1], size, zorder=6, **look)


def player_labels(tape: Any, index: int = 0) -> list[tuple[float, float, str]]:
    """The offence by name and the mark, where they are at an instant."""
    return [
        (*tape.positions[index, p].tolist(), name if team == "offence" else "mark")
        for p, (name, team) in enumerate(zip(tape.names, tape.teams, strict=True))
        if team == "offence" or p == tape.mark[index]
    ]


def in_the_way(tape: Any, last: int) -> np.ndarray:
    """Points (K, 2) that a label should leave free: starts above all, runs, flight, sidelines."""
    field, runs, disc = tape.field, tape.positions[: last + 1], tape.disc[: last + 1, :2]
    along = np.arange(-field.end_zone, field.length + field.end_zone)
    sides = [(x, y) for x in (-field.half_width, field.half_width) for y in along]
    starts, bricks = np.repeat(runs[0], 8, axis=0), np.repeat(field.brick_points, 4, axis=0)
    return np.concatenate([starts, runs[::2].reshape(-1, 2), disc, sides, bricks])
