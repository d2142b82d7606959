"""One rehearsal on the field: where everybody stood, who ran where, the mark and the lane."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from experiments.charts.panel import Key, line_key, marker_key, patch_key
from experiments.charts.style import (
    COVERED,
    DEFENCE,
    DEFENCE_MARKER,
    INK,
    OFFENCE,
    OFFENCE_MARKER,
    Style,
)
from experiments.tapes.paths import (
    Flight,
    covered_sector,
    distance_run,
    first_part,
    lane,
    time_marks,
)

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
    if thrown:
        keys += _lane(tape, ax, thrown, style)
    positions = np.asarray(tape.positions, dtype=float)[: last + 1]
    ran = [p for p in range(len(tape.teams)) if distance_run(positions[:, p]) > MOVED]
    for player in ran:
        _run(ax, style, tape, player, last, bold=bool(thrown and player == thrown.receiver))
    if any(tape.teams[p] == "offence" for p in ran):
        keys.append(line_key(_word("run", style), OFFENCE))
    if any(tape.teams[p] != "offence" for p in ran):
        keys.append(line_key(_word("chase", style), DEFENCE, linestyle=CHASE))
    return keys


def draw_formation(tape: Any, ax: Axes, *, style: Style, index: int = 0) -> list[Key]:
    """Draw players and disc where they are at an instant of a tape, and return their keys."""
    positions = np.asarray(tape.positions, dtype=float)[index]
    offence = np.array([team == "offence" for team in tape.teams])
    keys = []
    for team, chosen, colour, marker in (
        ("offence", offence, OFFENCE, OFFENCE_MARKER),
        ("defence", ~offence, DEFENCE, DEFENCE_MARKER),
    ):
        u, v = style.place(positions[chosen, 0], positions[chosen, 1])
        ax.plot(
            u,
            v,
            linestyle="none",
            marker=marker,
            color=colour,
            markersize=style.sizes.marker,
            markeredgecolor="white",
            markeredgewidth=0.6 * style.sizes.line,
            zorder=7,
            gid=team,
        )
        keys.append(marker_key(_word(team, style), marker, colour))
    keys.append(draw_disc(np.asarray(tape.disc, dtype=float)[index, :2], ax, style=style))
    return keys


def draw_disc(spot: np.ndarray, ax: Axes, *, style: Style, words: str = "disc") -> Key:
    """Draw the disc at a place, and return its key."""
    look: dict[str, Any] = {
        "marker": "o",
        "color": "white",
        "markeredgecolor": INK,
        "markeredgewidth": 1.2 * style.sizes.line,
        "linestyle": "none",
    }
    u, v = style.place(*spot)
    ax.plot([u], [v], markersize=0.65 * style.sizes.marker, zorder=8, gid=words, **look)
    return Key(words, "marker", look)


def draw_covered(tape: Any, ax: Axes, index: int, *, style: Style) -> list[Key]:
    """Hatch what the mark covers at an instant of a tape; nothing when there is no mark."""
    outline = covered_sector(tape, index, SECTOR_RADIUS)
    if not len(outline):
        return []
    look: dict[str, Any] = {
        "facecolor": "none",
        "edgecolor": COVERED,
        "hatch": "////",
        "linewidth": 0.0,
    }
    points = np.column_stack(style.place(outline[:, 0], outline[:, 1]))
    ax.add_patch(Polygon(points, closed=True, zorder=2, gid="covered sector", **look))
    return [patch_key(_word("covered", style), **look)]


def _lane(tape: Any, ax: Axes, thrown: Flight, style: Style) -> list[Key]:
    outline = lane(tape, thrown)
    if not len(outline):
        return []
    look: dict[str, Any] = {
        "facecolor": "none",
        "edgecolor": INK,
        "linewidth": style.sizes.line,
    }
    points = np.column_stack(style.place(outline[:, 0], outline[:, 1]))
    ax.add_patch(Polygon(points, closed=True, zorder=4, gid="lane", **look))
    return [patch_key(_word("lane", style), **look)]


def _word(name: str, style: Style) -> str:
    return WORDS[name][1 if style.size == "clinic" else 0]


def _run(ax: Axes, style: Style, tape: Any, player: int, last: int, *, bold: bool) -> None:
    """One player's run with its time ticks and an arrow head at its end."""
    offence = tape.teams[player] == "offence"
    colour = OFFENCE if offence else DEFENCE
    times = np.asarray(tape.times, dtype=float)[: last + 1]
    path = np.asarray(tape.positions, dtype=float)[: last + 1, player]
    width = style.sizes.line * ((2.0 if bold else 1.3) if offence else 1.0)
    u, v = style.place(path[:, 0], path[:, 1])
    ax.plot(
        u,
        v,
        color=colour,
        linewidth=width,
        linestyle="-" if offence else CHASE,
        zorder=6 if offence else 5,
        gid=f"run of {tape.names[player]}",
    )
    _, points, heading = time_marks(times, path)
    half = 0.45
    for point, way in zip(points, heading, strict=True):
        ends = np.array([point + half * way[::-1] * [1, -1], point - half * way[::-1] * [1, -1]])
        u, v = style.place(ends[:, 0], ends[:, 1])
        ax.plot(u, v, color=colour, linewidth=width, zorder=6, gid="time tick")
    step = np.hypot(*(path - path[-1]).T)
    before = np.flatnonzero(step > 0.4)
    if len(before):
        tail, head = style.place(*path[before[-1]]), style.place(*path[-1])
        ax.annotate(
            "",
            xy=head,
            xytext=tail,
            arrowprops={
                "arrowstyle": "-|>",
                "color": colour,
                "linewidth": width,
                "mutation_scale": 1.3 * style.sizes.marker,
                "shrinkA": 0,
                "shrinkB": 0,
            },
            zorder=6,
        )


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
