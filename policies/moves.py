"""Moves that rules are made of: stand at a place, sprint along a way, keep with somebody.

A tactic is written in the frame of the disc, m to the open side and m downfield, so that it holds
for either force.
"""

from __future__ import annotations

import math
from typing import Any

from sim import motion
from sim.intent import Intent, cut, run

BEND = 0.25  # s in which a runner turns the velocity into a new direction, grip allowing
AHEAD = 0.4  # s a runner looks ahead for the line
MARGIN = 0.5  # m kept from it
CLOSE_UP = 3.0  # 1/s: a gap of one metre is closed at three metres a second
SETTLE = 0.20  # s in which the velocity is brought to the wanted one


def length(x: float, y: float) -> float:
    """Length of a vector."""
    return math.sqrt(x * x + y * y)


def unit(x: float, y: float) -> tuple[float, float]:
    """A vector scaled to length one; zero stays zero."""
    size = max(math.sqrt(x * x + y * y), 1e-9)
    return x / size, y / size


def at_disc(me: Any, to_open: float, down: float) -> tuple[float, float]:
    """A place on the field: m to the open side and m downfield of the disc."""
    return me.disc_x + to_open * me.open, me.disc_y + down


def go_to(me: Any, x: float, y: float, pace: float) -> tuple[float, float]:
    """The wanted velocity that brings this player to a place on the field and stops there."""
    return motion.arrive(me, me.body[me.slot], x, y, me.top * pace)


def stand_at(me: Any, x: float, y: float) -> Intent:
    """Go to a place on the field and stop there."""
    ux, uy = go_to(me, x, y, 1.0)
    return run(ux, uy)


def bend_into(me: Any, way_x: float, way_y: float, speed: float) -> tuple[float, float]:
    """The intent that runs flat out along a unit vector on the field, bending sharply into it."""
    gain = me.tau / BEND
    return me.vx + (way_x * speed - me.vx) * gain, me.vy + (way_y * speed - me.vy) * gain


def sprint(me: Any, to_open: float, down: float, pace: float, cue: float) -> Intent:
    """Run along a direction in the frame of the disc, to be thrown from `cue` = 0 s on."""
    way_x, way_y = unit(to_open * me.open, down)
    ux, uy = bend_into(me, way_x, way_y, me.top * pace)
    return cut(ux, uy, cue)


def towards(me: Any, to_open: float, down: float, pace: float, cue: float) -> Intent:
    """Run to a place in the frame of the disc and stop there."""
    x, y = at_disc(me, to_open, down)
    ux, uy = go_to(me, x, y, pace)
    return cut(ux, uy, cue)


def open_speed(me: Any) -> float:
    """Own speed to the open side, m/s."""
    return me.vx * me.open


def keep_with(me: Any, x: float, y: float, vx: float, vy: float) -> tuple[float, float]:
    """The wanted velocity that keeps this player at a place that moves at (vx, vy)."""
    ux, uy = motion.limit(vx + CLOSE_UP * (x - me.x), vy + CLOSE_UP * (y - me.y), me.top)
    gain = me.tau / SETTLE
    return me.vx + (ux - me.vx) * gain, me.vy + (uy - me.vy) * gain


def inside(me: Any, x: float, y: float, edge: float) -> tuple[float, float]:
    """A place moved inside the lines by at least `edge` m."""
    wide = max(me.half_width - edge, 0.0)
    return min(max(x, -wide), wide), min(max(y, me.low + edge), me.high - edge)


def nearest_defender(me: Any, x: float, y: float, within: float, but: int) -> int:
    """The defender seen nearest to a place, leaving one out; -1 with nobody within so many metres."""
    found, best = -1, within
    for q in range(me.attackers, me.everybody):
        far = length(me.seen[q].x - x, me.seen[q].y - y)
        if far < best and q != but:
            found, best = q, far
    return found


def keep_in(me: Any, ux: float, uy: float) -> tuple[float, float]:
    """A wanted velocity without the part that would carry this player over a line."""
    x, y = me.x + me.vx * AHEAD, me.y + me.vy * AHEAD
    wide = me.half_width - MARGIN
    if (x < -wide and ux < 0.0) or (x > wide and ux > 0.0):
        ux = -me.vx
    if (y < me.low + MARGIN and uy < 0.0) or (y > me.high - MARGIN and uy > 0.0):
        uy = -me.vy
    return ux, uy
