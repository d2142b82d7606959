"""Passes to somebody not called: who stands open, and the bail-out at the end of the count."""

from __future__ import annotations

import math
from typing import Any

from policies.calls import CLEARS_FOR, HEARD, OFF, OFF_AT, SHAPE, WHO, next_look
from policies.moves import length
from policies.picturing import air_time, foresee, in_the_air, meet_as_seen
from policies.reading import Offer, judge, thrown
from policies.who import resolve
from sim.intent import BACKHAND, FLAT, FLOATED, NOTHING, Intent, hold

OPEN_BY = 4.0  # m; with nobody nearer than this, now and in a moment, an attacker stands open
MOMENT = 0.5  # s
STANDING = 2.5  # m/s; slower than this somebody stands open, and does not run off
SETTLED = 0.7  # s after a catch before a thrower looks round
HARDLY = 0.1  # share of possessions that score from however far
HOPELESS = 0.7  # share of the chance accepted below which not even the last moment makes one throw


def worth(me: Any, ground: float, y: float) -> float:
    """The share of possessions that score from a place: `ground` less for each metre from the goal."""
    return max(1.0 - ground * max(me.goal_line - y, 0.0), HARDLY)


def free_man(me: Any, s: Any, team: Any, r: Any, wants: float) -> Intent:
    """Look at one more of the others, and throw if that one stands open enough."""
    nothing = hold(NOTHING, NOTHING, 0.0, 0.0)
    if s.free == 0.0 or me.held_for < SETTLED:
        return nothing
    q = int(me.now / me.tick + 0.5) % me.attackers
    if q == me.slot or q == me.call_who or not stands_open(me, q):
        return nothing
    if q == me.memory[OFF] and me.now - me.memory[OFF_AT] < CLEARS_FOR + HEARD:
        return nothing  # sent away a moment ago
    it = judge(me, team, r, q, meet_as_seen(me, team, r, q, FLAT), FLAT)
    bar = wants * worth(me, s.ground, me.y) / worth(me, s.ground, it.y)
    return thrown(it, NOTHING) if it.said >= min(bar + s.free_extra, 0.97) else nothing


def stands_open(me: Any, q: int) -> bool:
    """Whether an attacker is seen hardly moving, with nobody near."""
    if length(me.seen[q].vx, me.seen[q].vy) > STANDING:
        return False
    for k in range(me.attackers, me.everybody):
        it = me.seen[k]
        dx, dy = it.x - me.seen[q].x, it.y - me.seen[q].y
        if length(dx, dy) < OPEN_BY:
            return False
        if length(dx + it.vx * MOMENT, dy + it.vy * MOMENT) < OPEN_BY:
            return False
    return True


def last_call(me: Any, s: Any, team: Any, r: Any, wants: float) -> Intent:
    """The bail-out: the freest of all as they are seen, called or not; high to space at the end."""
    best, look = Offer(-1.0, -1, 0.0, 0.0, BACKHAND, FLAT, 1.0, 0.0, 1.0, 1.0), NOTHING
    for q in range(me.attackers):
        if q == me.slot:
            continue
        called = q == me.call_who and 0 <= me.call < team.size and me.since_call > HEARD
        number = me.call if called else NOTHING
        shape = int(team.sheet[number, SHAPE]) if called else FLAT
        at = foresee(me, team, r, shape, -99.0) if called else meet_as_seen(me, team, r, q, FLAT)
        if math.isnan(at.flight):
            at = meet_as_seen(me, team, r, q, shape)
        it = judge(me, team, r, q, at, shape)
        if it.said > best.said:
            best, look = it, number
        if length(at.x - me.x, at.y - me.y) > 12.0:
            high = in_the_air(at, air_time(me, team.table, FLOATED, at.x, at.y))
            it = judge(me, team, r, q, high, FLOATED)
            if it.said > best.said:
                best, look = it, number
    late = me.count + me.release_in / me.pace >= me.last_number - 0.35
    if best.who >= 0 and (best.said >= wants or (late and best.said >= HOPELESS * wants)):
        return thrown(best, look)
    if me.call < 0:
        # with nobody free yet, somebody is sent again
        number = next_look(me, team, team.size)
        if number >= 0:
            return hold(number, resolve(me, team.sheet[number, WHO]), 0.0, 0.0)
    return hold(NOTHING, NOTHING, 0.0, 0.0)
