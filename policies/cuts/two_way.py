"""The two-way handler: reads which way the defender can still stop, and takes the other."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from policies.cuts.base import Cut, side_of
from policies.cuts.resets import through
from policies.cuts.strike import across
from policies.moves import at_disc, length, nearest_defender
from sim.intent import Intent
from sim.reach import reach_time
from sim.settings import setting

WAY = 0  # place in the memory of the runner: +1 strike, -1 dump


@dataclass(frozen=True)
class TwoWay(Cut):
    """Two-way: strike past a defender who takes the dump, dump behind one who takes the strike."""

    lasts: float = setting(3.5, low=0.5, high=20.0, unit="s")
    angle: float = setting(45.0, low=10.0, high=85.0, unit="deg", source="common practice")
    depth: float = setting(9.0, low=1.0, high=40.0, unit="m", source="common practice")
    back: float = setting(3.5, low=-5.0, high=15.0, unit="m", source="common practice")
    wide: float = setting(4.0, low=0.0, high=25.0, unit="m")
    surer: float = setting(
        0.15, low=-1.0, high=1.0, unit="s", doc="lead that the strike must have: its pass is longer"
    )

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Choose once, by the margins foreseen, and go that way."""
        side = side_of(me, 0.0)
        if me.memory[WAY] == 0.0 or me.since < 0.02:
            strike_x, strike_y = at_disc(me, 3.0, max(0.6 * s.depth, 4.0))
            dump_x, dump_y = at_disc(me, side * s.wide, -s.back)
            if length(me.vx, me.vy) > 1.0:  # already on the way
                better = going(me, strike_x, strike_y) - going(me, dump_x, dump_y)
            else:
                better = margin(me, strike_x, strike_y) - margin(me, dump_x, dump_y) - s.surer
            me.memory[WAY] = 1.0 if better > 0.0 else -1.0
        if me.memory[WAY] < 0.0:
            return through(me, side * s.wide, -s.back, s.pace)
        return across(me, s, 1.0)


def going(me: Any, x: float, y: float) -> float:
    """Own speed toward a place, m/s."""
    dx, dy = x - me.x, y - me.y
    return (me.vx * dx + me.vy * dy) / max(length(dx, dy), 0.1)


def margin(me: Any, x: float, y: float) -> float:
    """Seconds by which the nearest defender to this runner is later at a place than the runner."""
    who = nearest_defender(me, me.x, me.y, math.inf, me.mark)
    if who < 0:
        return 1.0
    own = reach_time(me, me.body[me.slot], x, y, 0.0)
    body = me.body[who]
    return reach_time(me.seen[who], body, x, y, body.arm) + body.reaction - own
