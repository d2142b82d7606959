"""The calls of a thrower: which look is next, and what is remembered of those before."""

from __future__ import annotations

from typing import Any

from policies.who import resolve

THROWERS = ("anybody", "handler", "cutter")
ANYBODY, HANDLER, _ = range(3)
CLEARS_FOR = 1.4  # s that somebody waved off runs out of the way
HEARD = 0.25  # s after a call at which the thrower expects the first step

# The thrower's memory, one place each; the first eight are left to the cuts.
STAMP, SPENT, COVERED, FAKES, SHOWN, OPEN, OFF, OFF_AT = 8, 9, 10, 11, 12, 13, 14, 15

# The sheet of a plan, a row a look: who (`policies.who`), from and to which count, the pass meant (0:
# all), the shape thrown, s of false steps, s later than the cue, s it lasts, the thrower meant.
WHO, START, STOP, ON_PASS, SHAPE, DELAY, OFFSET, LASTS, THROWER = range(9)


def next_look(me: Any, team: Any, looks: int) -> int:
    """The first look whose window has come and which has not been waved off; then those again."""
    again = -1
    for look in range(looks):
        row = team.sheet[look]
        if not row[START] - 1e-9 <= me.count < row[STOP] - 0.2:
            continue
        if row[ON_PASS] > 0.0 and me.completions != int(row[ON_PASS]) - 1:
            continue
        if row[THROWER] != ANYBODY and (row[THROWER] == HANDLER) != (me.body[me.slot].handler == 1):
            continue
        who = resolve(me, row[WHO])
        if who < 0 or who == me.slot:
            continue
        if not has_bit(me.memory[SPENT], look):
            return look
        if again < 0:
            again = look
    if again >= 0:
        me.memory[SPENT] = 0.0  # a second move
    return again


def has_bit(bits: float, place: int) -> bool:
    """Whether a place is marked in a number used as a list of yes and no."""
    return (int(bits) >> place) & 1 == 1


def with_bit(bits: float, place: int) -> float:
    """The same number with a place marked."""
    return float(int(bits) | (1 << place))
