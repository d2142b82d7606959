"""Switches: when two attackers cross, their defenders swap them instead of chasing through."""

from __future__ import annotations

from typing import Any

from policies.moves import length

CROSSING = 3.0  # m between the attackers
NEARER = 0.7  # m by which the other attacker must be nearer to be worth calling


def after_switch(me: Any, man: int) -> int:
    """The attacker to cover from now on.

    Whoever sees the crossing first calls the switch and takes the attacker who comes nearer; the
    teammate who has lost the attacker to the caller takes the one whom nobody covers. Both judge by
    what they see, each a little late, so for a moment somebody can be open.
    """
    own = me.seen[man]
    mine_now = length(own.x - me.x, own.y - me.y)
    for mate in range(me.attackers, me.everybody):
        theirs = length(own.x - me.seen[mate].x, own.y - me.seen[mate].y)
        if mate != me.slot and me.watched[mate] == man and theirs < mine_now:
            return nearest_free(me, man)
    taken, best = man, 1e9
    if man == me.holder:
        return man
    for mate in range(me.attackers, me.everybody):
        other = me.watched[mate]
        if mate == me.slot or other < 0 or other == man or other == me.holder:
            continue
        it = me.seen[other]
        mine = length(it.x - me.x, it.y - me.y)
        theirs = length(it.x - me.seen[mate].x, it.y - me.seen[mate].y)
        near = length(it.x - own.x, it.y - own.y) < CROSSING
        if near and mine_now - mine > NEARER and mine < theirs - NEARER and mine < best:
            taken, best = other, mine
    return taken


def nearest_free(me: Any, man: int) -> int:
    """The nearest attacker whom nobody attends to; `man` if all are covered."""
    found, best = man, 1e9
    for q in range(me.attackers):
        covered = False
        for mate in range(me.attackers, me.everybody):
            covered = covered or (me.watched[mate] == q and mate != me.slot)
        far = length(me.seen[q].x - me.x, me.seen[q].y - me.y)
        if not covered and far < best:
            found, best = q, far
    return found
