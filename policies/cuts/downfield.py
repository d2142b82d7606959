"""Cuts of the players downfield: back toward the disc, and deep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from policies.cuts.base import NOT_YET, SHAPES, Cut
from policies.moves import length, sprint
from sim.intent import Intent
from sim.settings import setting


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
        to_open, down = s.wide - me.to_open, s.depth - me.down
        if length(to_open, down) < 2.0:
            to_open, down = me.vx * me.open, min(me.vy, -0.5)
        size = max(length(to_open, down), 1e-9)
        speed = (me.vx * me.open * to_open + me.vy * down) / size
        cue = me.since - 0.4 if speed > 0.45 * me.top else NOT_YET
        return sprint(me, to_open, down, s.pace, cue)


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
        to_open, down = s.wide - me.to_open, s.depth + 10.0 - me.down
        if down < 1.0:
            to_open, down = 0.0, 1.0
        cue = me.since - 0.6 if me.vy > 0.6 * me.top and me.down < s.depth else NOT_YET
        return sprint(me, to_open, down, s.pace, cue)
