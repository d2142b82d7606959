"""The rules of play, each with its number in the WFDF Rules of Ultimate 2021-24."""

from __future__ import annotations

from typing import Any

from sim.state import FLYING, OVER


def find_marker(g: Any) -> int:
    """The defender who marks; -1 in a play without defenders.

    Whoever marks goes on while within reach of the thrower and attending. Otherwise it is the one
    attending to the holder, the nearest if several do; with nobody attending, the nearest of all.
    """
    play, ground = g.play, g.ground
    holder = g.players[play.holder]
    best, best_far, attended = -1, 0.0, False
    for q in range(ground.attackers, ground.players):
        me = g.players[q]
        dx, dy = me.x - holder.x, me.y - holder.y
        far = dx * dx + dy * dy
        attends = me.watch == play.holder
        if q == play.mark and attends and far <= ground.mark_radius * ground.mark_radius:
            return q
        if (attends and not attended) or (attends == attended and (best < 0 or far < best_far)):
            best, best_far = q, far
            attended = attends
    return best


def run_count(g: Any) -> None:
    """Start, go on with, or give up the stall count.

    9.3: only a marker within 3 m of the thrower may count. 9.4: beyond that, or with a new
    marker, the count starts again at one.
    """
    play, ground = g.play, g.ground
    if play.phase == FLYING or play.phase == OVER:
        play.counting = 0
        return
    marker = find_marker(g)
    near = False
    if marker >= 0:
        thrower, mark = g.players[play.holder], g.players[marker]
        dx, dy = thrower.x - mark.x, thrower.y - mark.y
        near = dx * dx + dy * dy <= ground.mark_radius * ground.mark_radius
    same = marker == play.mark or play.mark < 0
    if near and (play.counting == 0 or not same):
        play.count_start = play.now
    play.counting = int(near)
    play.mark = marker


def count_of(g: Any) -> float:
    """The stall count: its whole part is the number last said, 0 with no count."""
    play = g.play
    if play.counting == 0:
        return 0.0
    return 1.0 + (play.now - play.count_start) / g.ground.pace


def stalled(g: Any) -> bool:
    """13.2.2: the disc is still held at the start of the last number ("ten")."""
    # half a nanosecond of slack, since the clock is a sum of ticks
    return g.play.phase < FLYING and count_of(g) >= g.ground.last_number - 5e-10


def inside(g: Any, x: float, y: float) -> bool:
    """2.3: whether a point is in bounds; the perimeter lines themselves are out."""
    return abs(x) < g.ground.half_width and g.ground.low < y < g.ground.high


def in_end_zone(g: Any, x: float, y: float) -> bool:
    """2.4, 14.1: in the attacked end zone; the goal line itself belongs to the central zone."""
    return inside(g, x, y) and y > g.ground.goal_line


def stay_in(g: Any) -> None:
    """11.3.2.1, 14.2: a thrower carried over a perimeter line pivots where it was crossed.

    And one carried over the goal line after a catch in front of it on the line.
    """
    if g.play.phase >= FLYING:
        return
    me, ground = g.players[g.play.holder], g.ground
    x = min(max(me.x, -ground.half_width), ground.half_width)
    y = min(max(me.y, ground.low), ground.goal_line)
    if x != me.x or y != me.y:
        me.x, me.y = x, y
        me.vx, me.vy = 0.0, 0.0
