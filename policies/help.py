"""Help: a defender leaves the attacker who threatens least and stands where the disc would go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from policies.moves import at_disc, length
from sim.settings import Checked, setting

OFF = ("nobody", "weak-handler", "downfield", "last-back")
NOBODY, WEAK_HANDLER, DOWNFIELD, LAST_BACK = range(4)


@dataclass(frozen=True)
class Help(Checked):
    """Help: who poaches, how far off the own attacker, and from which count."""

    off: str = setting(
        "nobody",
        choices=OFF,
        doc="whom the helper leaves: the handler furthest to the open side of the disc, the cutter "
        "nearest to the lane, or (last-back) nobody, but the deepest defender keeps behind all",
    )
    lane_wide: float = setting(4.0, low=-10.0, high=15.0, unit="m", doc="to the open side")
    lane_depth: float = setting(8.0, low=0.0, high=25.0, unit="m", doc="downfield of the disc")
    sag: float = setting(
        0.8, low=0.0, high=1.0, unit="", doc="how far from the own attacker toward the lane"
    )
    start: float = setting(0.0, low=0.0, high=10.0, unit="count", doc="from this count on")


def helps(me: Any, h: Any, man: int) -> bool:
    """Whether this defender, who covers `man`, is the one who helps now."""
    if h.off == NOBODY or me.count < h.start or me.flying:
        return False
    lane_x, lane_y = at_disc(me, h.lane_wide, h.lane_depth)
    best, chosen = -1e9, -1
    for q in range(me.attackers):
        if q == me.holder:
            continue
        if h.off == WEAK_HANDLER:
            if me.body[q].handler == 0:
                continue
            worth = (me.spots[q, 0] - me.disc_x) * me.open
        elif h.off == DOWNFIELD:
            if me.body[q].handler == 1:
                continue
            worth = -length(me.spots[q, 0] - lane_x, me.spots[q, 1] - lane_y)
        else:
            worth = me.seen[q].y
        if worth > best:
            best, chosen = worth, q
    return chosen == man


def helped_place(me: Any, h: Any, x: float, y: float) -> tuple[float, float]:
    """The place of a helper whose cover would be at (x, y), m."""
    if h.off == LAST_BACK:
        deepest, middle, count = me.disc_y, 0.0, 0.0
        for q in range(me.attackers):
            deepest = max(deepest, me.seen[q].y + 0.4 * max(me.seen[q].vy, 0.0))
            if me.seen[q].y > me.disc_y + 5.0:
                middle += me.seen[q].x
                count += 1.0
        back = min(deepest + 3.0, me.high - 2.0)
        across = middle / count if count > 0.0 else x
        return x + h.sag * (across - x), max(y, y + h.sag * (back - y))
    lane_x, lane_y = at_disc(me, h.lane_wide, h.lane_depth)
    return x + h.sag * (lane_x - x), y + h.sag * (lane_y - y)
