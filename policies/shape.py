"""Where everybody belongs once the disc has moved: the starting shape, carried along with it."""

from __future__ import annotations

from typing import Any

from policies.moves import inside
from policies.who import ranked

NEAR_DISC = 4.0  # m; a handler's lane this close to the disc is used from further behind
DROP = 4.5  # m behind the disc, then
BEHIND = 4.0  # m that the deepest cutter keeps behind, to the back line
LEAST = 6.0  # m downfield of the disc to which the deepest is drawn in at most
EDGE = 1.5  # m kept from the sidelines and the back line


def own_place(me: Any) -> tuple[float, float]:
    """The place of this player in the shape around the disc, m.

    Before the first catch that is where the player stood. Afterwards the cutters keep their lanes
    and their distance downfield of the disc, drawn together where the back line is near; the handlers
    share out their lanes again from the break side to the open side, level with the disc as they were
    at the start.
    """
    if me.completions == 0:
        return me.spots[me.slot, 0], me.spots[me.slot, 1]
    own = me.body[me.slot]
    origin = me.body[me.first]
    if own.handler == 0:
        depth = (own.start_y - origin.start_y) * drawn_together(me, origin.start_y)
        return inside(me, own.start_x, me.disc_y + depth, EDGE)
    rank = 0
    mine = me.spots[me.slot, 0] * me.open
    for q in range(me.attackers):
        if me.body[q].handler == 1 and q != me.slot:
            theirs = me.spots[q, 0] * me.open
            rank += int(theirs < mine or (theirs == mine and q < me.slot))
    lane = ranked(me, 1, rank, me.open, 0.0)
    x = me.body[lane].start_x
    back = me.body[lane].start_y - origin.start_y
    y = me.disc_y + back
    if abs(x - me.disc_x) < NEAR_DISC:
        y = me.disc_y + min(back, 0.0) - DROP
    return inside(me, x, y, EDGE)


def drawn_together(me: Any, origin_y: float) -> float:
    """The share of their depths that the cutters keep, so that the deepest has room behind."""
    deepest = 0.0
    for q in range(me.attackers):
        if me.body[q].handler == 0:
            deepest = max(deepest, me.body[q].start_y - origin_y)
    room = max(me.high - BEHIND - me.disc_y, LEAST)
    return min(room / max(deepest, LEAST), 1.0)
