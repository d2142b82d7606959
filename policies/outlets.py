"""Passes to somebody not called: who stands open, and the bail-out at the end of the count."""

from __future__ import annotations

import math
from typing import Any

from policies.calls import CLEARS_FOR, HEARD, OFF, OFF_AT, next_look
from policies.moves import length
from policies.picturing import air_time, foresee, in_the_air, meet_as_seen
from policies.reading import judge
from policies.who import resolve
from sim.intent import FLAT, FLOATED, NOTHING, Intent, hold, throw

OPEN_BY = 4.0  # m; with nobody nearer than this, now and in a moment, an attacker stands open
MOMENT = 0.5  # s
STANDING = 2.5  # m/s; slower than this somebody stands open, and does not run off
SETTLED = 0.7  # s after a catch before a thrower looks round
HARDLY = 0.1  # share of possessions that score from however far
HOPELESS = 0.7  # share of the chance accepted below which not even the last moment makes one throw


def worth(me: Any, ground: float, y: float) -> float:
    """The share of possessions that score from a place: `ground` less for each metre from the goal."""
    return max(1.0 - ground * max(me.goal_line - y, 0.0), HARDLY)


def free_man(me: Any, s: Any, team: Any, r: Any, wants: float, wind_up: float) -> Intent:
    """Look at one more of the others, and throw if that one stands open enough."""
    nothing = hold(NOTHING, NOTHING, 0.0, 0.0)
    if s.free == 0.0 or me.held_for < SETTLED:
        return nothing
    q = int(me.now / me.tick + 0.5) % me.attackers
    if q == me.slot or q == me.call_who or not stands_open(me, q):
        return nothing
    if q == me.memory[OFF] and me.now - me.memory[OFF_AT] < CLEARS_FOR + HEARD:
        return nothing  # sent away a moment ago
    at = meet_as_seen(me, team, r, q, FLAT, wind_up)
    bar = wants * worth(me, s.ground, me.y) / worth(me, s.ground, at.y)
    bar = min(bar + s.free_extra, 0.97)
    said, kind, height, margin, line, wild = judge(me, team.table, r, q, at, wind_up, FLAT)
    if said >= bar:
        return throw(q, at.x, at.y, kind, FLAT, height, NOTHING, said, margin, line, wild)
    return nothing


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


def last_call(me: Any, s: Any, team: Any, r: Any, wants: float, wind_up: float) -> Intent:
    """The bail-out: the freest of all as they are seen, called or not; high to space at the end."""
    best, at_x, at_y, to, what, how, high, look = -1.0, 0.0, 0.0, -1, 0, FLAT, 1.0, NOTHING
    room, past, error = 0.0, 1.0, 1.0
    for q in range(me.attackers):
        if q == me.slot:
            continue
        number = NOTHING
        shape = FLAT
        if q == me.call_who and 0 <= me.call < team.size and me.since_call > HEARD:
            number, shape = me.call, int(team.sheet[me.call, 4])
            at = foresee(
                me, team, r, me.call, q, me.since_call - HEARD, team.sheet[me.call, 5], wind_up, -99.0,
                shape,
            )  # fmt: skip
            if math.isnan(at.flight):
                at = meet_as_seen(me, team, r, q, shape, wind_up)
        else:
            at = meet_as_seen(me, team, r, q, FLAT, wind_up)
        said, kind, height, margin, line, wild = judge(me, team.table, r, q, at, wind_up, shape)
        if said > best:
            best, at_x, at_y, to, what, how, high, look = (
                said,
                at.x,
                at.y,
                q,
                kind,
                shape,
                height,
                number,
            )
            room, past, error = margin, line, wild
        if length(at.x - me.x, at.y - me.y) > 12.0:
            high_at = in_the_air(at, air_time(me, team.table, FLOATED, at.x, at.y))
            said, kind, height, margin, line, wild = judge(
                me, team.table, r, q, high_at, wind_up, FLOATED
            )
            if said > best:
                best, at_x, at_y, to, what, how, high = said, at.x, at.y, q, kind, FLOATED, height
                look, room, past, error = number, margin, line, wild
    late = me.count + wind_up / me.pace >= me.last_number - 0.35
    if to >= 0 and (best >= wants or (late and best >= HOPELESS * wants)):
        return throw(to, at_x, at_y, what, how, high, look, max(best, 0.0), room, past, error)
    if me.call < 0:
        # with nobody free yet, somebody is sent again
        number = next_look(me, team, team.size)
        if number >= 0:
            return hold(number, resolve(me, team.sheet[number, 0]), 0.0, 0.0)
    return hold(NOTHING, NOTHING, 0.0, 0.0)
