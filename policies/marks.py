"""The mark: where it stands, which side it leaves open, when it flips, and when it turns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from policies.moves import keep_with, length
from sim.elementary import bearing, cos, sin, turn_between
from sim.intent import Intent, mark
from sim.settings import Checked, setting

SWING = 0.87  # rad; the most a mark goes round the thrower in a straight line
FORCES = ("forehand", "backhand", "middle", "sideline", "straight-up", "home", "away")
FOREHAND_FORCE, BACKHAND_FORCE, MIDDLE, SIDELINE, STRAIGHT_UP, HOME, AWAY = range(7)
TO_A_SIDE = FORCES[HOME:]  # whatever the thrower's hand
HOMES = ("right", "left")  # the sideline of the defence's bench


def open_side(force: float, hand: float, x: float, home: float = 0.0) -> float:
    """The side a force (its place in FORCES) leaves open for a thrower, +1 or -1.

    `hand` +1 right-handed, -1 left-handed; `x` m, where the thrower stands across; `home` the place
    in HOMES. On the middle line "middle", "sideline" and "straight-up" fall back on the forehand side.
    """
    if force == FOREHAND_FORCE:
        return hand
    if force == BACKHAND_FORCE:
        return -hand
    if force >= HOME:
        return 1.0 if (force == HOME) == (home == 0.0) else -1.0
    if abs(x) < 1e-9:
        return hand
    toward_line = 1.0 if x > 0.0 else -1.0
    return toward_line if force == SIDELINE else -toward_line


@dataclass(frozen=True)
class Mark(Checked):
    """Mark: stands off the thrower on one side and takes that side away."""

    force: str = setting("forehand", choices=FORCES)
    home: str = setting("right", choices=HOMES, doc="the sideline of the defence's bench")
    distance: float = setting(
        1.1,
        low=0.6,
        high=3.0,
        unit="m",
        source="a disc (0.27 m) from torso to torso at least, rule 18.1.1, and two half bodies",
        doc="from chest to chest",
    )
    angle: float = setting(
        40.0, low=-30.0, high=90.0, unit="deg", doc="round to the break side from straight in front"
    )
    flip_at: float | None = setting(
        None, low=0.0, high=10.0, unit="count", doc="flip the force at this count"
    )
    flip_for: str = setting("", player=True, doc="flip the force when this attacker has the disc")
    turn_from: float = setting(
        6.0, low=0.0, high=20.0, unit="count", doc="turn toward the reset from this count on"
    )
    turn: float = setting(
        25.0, low=0.0, high=90.0, unit="deg", doc="by so much round toward the nearest handler"
    )

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Keep to the place off the thrower, round the disc space and not through it."""
        side = side_now(me, s)
        thrower = me.seen[me.holder]
        off_x, off_y = stance(me, s, side)
        now_x, now_y = me.x - thrower.x, me.y - thrower.y
        turn = turn_between(bearing(now_x, now_y), bearing(off_x, off_y))
        if abs(turn) > SWING:
            toward = bearing(now_x, now_y) + (SWING if turn > 0.0 else -SWING)
            off_x, off_y = s.distance * sin(toward), s.distance * cos(toward)
        ux, uy = keep_with(me, thrower.x + off_x, thrower.y + off_y, thrower.vx, thrower.vy)
        face = bearing(thrower.x - me.x, thrower.y - me.y)
        if length(now_x, now_y) > 4.0:
            face = math.nan
        return mark(ux, uy, me.holder, face, int(side))


def side_now(me: Any, s: Any) -> float:
    """The side left open now, +1 or -1."""
    x = me.seen[me.holder].x
    if s.force >= MIDDLE:
        x = me.spots[me.holder, 0]
    side = open_side(s.force, float(me.body[me.holder].hand), x, s.home)
    if me.count >= s.flip_at:  # never, when it is nan
        side = -side
    if s.flip_for == me.holder:
        side = -side
    return side


def stance(me: Any, s: Any, side: float) -> tuple[float, float]:
    """Where the mark stands off the thrower's chest, leaving `side` open, m."""
    toward = 0.0 if s.force == STRAIGHT_UP else -side * s.angle
    if me.count >= s.turn_from and s.turn > 0.0:
        near, best = -1, 12.0
        for q in range(me.attackers):
            if q == me.holder or me.body[q].handler == 0:
                continue
            far = length(me.seen[q].x - me.disc_x, me.seen[q].y - me.disc_y)
            if far < best:
                near, best = q, far
        if near >= 0:
            reset = bearing(me.seen[near].x - me.disc_x, me.seen[near].y - me.disc_y)
            turn = turn_between(toward, reset)
            toward += min(max(turn, -s.turn), s.turn)
    return s.distance * sin(toward), s.distance * cos(toward)


def start_of_mark(force: str, angle: float, distance: float, side: float) -> Sequence[float]:
    """Where a mark stands at the start off the thrower's chest, m; `angle` in degrees."""
    toward = 0.0 if force == "straight-up" else -side * math.radians(angle)
    return distance * sin(toward), distance * cos(toward)
