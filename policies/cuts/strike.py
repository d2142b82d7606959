"""The strike: from the break side, across the thrower's front, caught on the open side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from policies.cuts.base import NOT_YET, Cut
from policies.moves import open_speed, sprint
from sim.elementary import cos, sin
from sim.intent import Intent
from sim.settings import setting


@dataclass(frozen=True)
class Strike(Cut):
    """Strike across the front: a diagonal from the break side, thrown as it crosses the front."""

    angle: float = setting(
        45.0,
        low=10.0,
        high=85.0,
        unit="deg",
        source="common practice",
        doc="0 is straight downfield",
    )
    depth: float = setting(
        9.0,
        low=1.0,
        high=40.0,
        unit="m",
        source="common practice",
        doc="downfield of the disc; the run bends flat there",
    )
    toward: str = setting(
        "open", choices=("open", "break"), doc="the side it runs to; 'break' is the wrong way round"
    )

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """The diagonal until the bend ends at the depth, then flat."""
        return across(me, s, 1.0 if s.toward == 0 else -1.0)


def across(me: Any, s: Any, side: float) -> Intent:
    """The strike to the open side (+1) or the break side (-1), of settings `angle`, `depth`, `pace`."""
    bend = max(me.vy, 0.0) ** 2 / (2.0 * me.grip)  # what the bend itself takes
    crossed = NOT_YET
    if side * open_speed(me) > 0.5:
        crossed = side * me.to_open / (side * open_speed(me))
        if me.down < 0.5 * s.depth:
            crossed = min(crossed, -0.1)  # short of the depth it is a flat pass into the mark
    if me.down + bend >= s.depth:
        return sprint(me, side, 0.0, s.pace, crossed)
    return sprint(me, side * sin(s.angle), cos(s.angle), s.pace, crossed)
