"""Cuts of the players downfield: back toward the disc, and deep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from policies.cuts.base import NOT_YET, SHAPES, Cut
from policies.cuts.two_way import WAY, margin
from policies.moves import at_disc, length, sprint
from sim.intent import Intent
from sim.settings import setting


def run_under(me: Any, wide: float, depth: float, pace: float) -> Intent:
    """Back to a point near the disc and past it, thrown once coming at speed."""
    to_open, down = wide - me.to_open, depth - me.down
    if length(to_open, down) < 2.0:
        to_open, down = me.vx * me.open, min(me.vy, -0.5)
    size = max(length(to_open, down), 1e-9)
    speed = (me.vx * me.open * to_open + me.vy * down) / size
    cue = me.since - 0.4 if speed > 0.45 * me.top else NOT_YET
    return sprint(me, to_open, down, pace, cue)


def run_deep(me: Any, wide: float, depth: float, pace: float) -> Intent:
    """Straight away from the disc, thrown once at speed and not too far."""
    to_open, down = wide - me.to_open, depth + 10.0 - me.down
    if down < 1.0:
        to_open, down = 0.0, 1.0
    cue = me.since - 0.6 if me.vy > 0.6 * me.top and me.down < depth else NOT_YET
    return sprint(me, to_open, down, pace, cue)


@dataclass(frozen=True)
class Under(Cut):
    """Under: a cutter comes back toward the disc into the open side."""

    wide: float = setting(7.0, low=-15.0, high=20.0, unit="m", doc="to the open side of the disc")
    depth: float = setting(
        7.0, low=0.0, high=30.0, unit="m", doc="downfield of the disc, where the run would end"
    )
    lasts: float = setting(3.0, low=0.5, high=20.0, unit="s")

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Straight at the point at full speed, thrown once coming at speed, and past it the same."""
        return run_under(me, s.wide, s.depth, s.pace)


@dataclass(frozen=True)
class Deep(Cut):
    """Deep: away from the disc, for a long throw that hangs ahead of the runner."""

    shape: str = setting("floated", choices=SHAPES, source="common practice")
    wide: float = setting(
        5.0, low=-15.0, high=20.0, unit="m", doc="to the open side of the disc, far away"
    )
    depth: float = setting(
        40.0, low=10.0, high=70.0, unit="m", doc="furthest that the thrower would throw it"
    )

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Straight away at full speed, thrown once at speed and not too far."""
        return run_deep(me, s.wide, s.depth, s.pace)


@dataclass(frozen=True)
class UnderOrDeep(Cut):
    """Under or deep: away from a defender who takes the way back, back from one who takes the deep.

    The choice is made once, by who would be later in each space, and kept.
    """

    wide: float = setting(7.0, low=-15.0, high=20.0, unit="m", doc="to the open side of the disc")
    under: float = setting(
        7.0, low=0.0, high=30.0, unit="m", doc="downfield of the disc, where the way back would end"
    )
    depth: float = setting(
        40.0, low=10.0, high=70.0, unit="m", doc="furthest that the thrower would throw it"
    )
    surer: float = setting(
        0.20,
        low=-1.0,
        high=1.0,
        unit="s",
        doc="lead that the deep run must have: its pass is longer",
    )

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Choose by the leads foreseen, then run that way flat out."""
        if me.memory[WAY] == 0.0 or me.since < 0.02:
            if me.since >= 0.02 and length(me.vx, me.vy) > 2.0:  # already on the way
                deep = me.vy > 0.0
            else:
                at_x, at_y = at_disc(me, s.wide, s.under)
                back_x, back_y = me.x + 0.4 * (at_x - me.x), me.y + 0.4 * (at_y - me.y)
                deep = margin(me, me.x, me.y + 12.0) - s.surer > margin(me, back_x, back_y)
            me.memory[WAY] = 1.0 if deep else -1.0
        if me.memory[WAY] > 0.0:
            return run_deep(me, s.wide, s.depth, s.pace)
        return run_under(me, s.wide, s.under, s.pace)
