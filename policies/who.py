"""Who a look means: a player's name, or a role as seen from the disc."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

ROLE_WORDS = (
    "break-handler",
    "open-handler",
    "nearest-handler",
    "last-thrower",
    "first-cutter",
    "second-cutter",
    "third-cutter",
)
_BREAK, _OPEN, _NEAREST, _LAST, _FIRST = range(5)


def code_of(who: str, names: Sequence[str]) -> float:
    """A name or a role word as a number: a slot, or -2 and below for the words.

    Raises
    ------
    ValueError : it is neither.
    """
    if who in names:
        return float(list(names).index(who))
    if who not in ROLE_WORDS:
        raise ValueError(f"who is {who!r}; name an attacker or use {', '.join(ROLE_WORDS)}")
    return -2.0 - ROLE_WORDS.index(who)


def resolve(me: Any, code: float) -> int:
    """The slot meant by a code; -1 where there is no such player.

    Role words are read from the places taken when the disc was last caught: the nearest handler on
    the break side or the open side of the disc, the nearest handler, the one who threw last. The
    cutters take turns: the next one goes first after each catch.
    """
    if code >= 0.0:
        return int(code)
    word = int(-2.0 - code)
    if word == _LAST:
        return me.last_thrower
    if word >= _FIRST:
        return cutter_in_turn(me, word - _FIRST)
    found, best = -1, 1e18
    for q in range(me.attackers):
        if me.body[q].handler == 0 or q == me.holder:
            continue
        dx = (me.spots[q, 0] - me.spots[me.holder, 0]) * me.open
        dy = me.spots[q, 1] - me.spots[me.holder, 1]
        if (word == _BREAK and dx >= 0.0) or (word == _OPEN and dx <= 0.0):
            continue
        if dx * dx + dy * dy < best:
            found, best = q, dx * dx + dy * dy
    return found


def cutter_in_turn(me: Any, place: int) -> int:
    """The cutter whose turn it is, passing over the one who has the disc; -1 without cutters."""
    count = 0
    for q in range(me.attackers):
        count += int(me.body[q].handler == 0)
    if count == 0:
        return -1
    # the one who started furthest downfield goes first
    chosen = ranked(me, 0, (me.completions + place) % count, 0.0, -1.0)
    if chosen == me.holder:
        chosen = ranked(me, 0, (me.completions + place + 1) % count, 0.0, -1.0)
    return chosen if chosen != me.holder else -1


def ranked(me: Any, handler: int, rank: int, way_x: float, way_y: float) -> int:
    """The cutter (0) or handler (1) who started with `rank` others before along a way, or -1.

    Among equals the lower slot is before.
    """
    for q in range(me.attackers):
        if me.body[q].handler != handler:
            continue
        before, own = 0, way_x * me.body[q].start_x + way_y * me.body[q].start_y
        for other in range(me.attackers):
            if me.body[other].handler == handler and other != q:
                its = way_x * me.body[other].start_x + way_y * me.body[other].start_y
                before += int(its < own or (its == own and other < q))
        if before == rank:
            return q
    return -1
