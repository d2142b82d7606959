"""What a player decides: where to run and look, and, with the disc, what to call and throw."""

from __future__ import annotations

import math
from typing import NamedTuple

BACKHAND, FOREHAND = 0, 1
FLAT, INSIDE_OUT, OUTSIDE_IN, FLOATED = 0, 1, 2, 3
NOTHING, WAVE_OFF = -1, -2


class Intent(NamedTuple):
    """What a rule returns. Build one with `run`, `throw` or `_replace`-like helpers below.

    Attributes
    ----------
    ux, uy : wanted velocity, m/s; anything faster than the player can is cut down.
    watch : slot to attend to from now on, -1 to go on as before, -2 for nobody.
    face : bearing (rad) to turn the hips to; nan: along the run.
    eyes : 1 on the man watched, 0 on the disc.
    expect_x, expect_y : the way, a unit vector, on which a run of the man watched is expected; 0, 0
        for none. A run that way is seen like one already followed.
    call : with the disc, the look called from now on; -1 nothing new, -2 waves the last one off.
    call_who : the slot it is called for.
    throw_to : with the disc, the slot to throw to now, or -1.
    aim_x, aim_y : where the disc should be caught, m.
    kind, shape : BACKHAND or FOREHAND; FLAT, INSIDE_OUT, OUTSIDE_IN or FLOATED.
    height : m above the ground at release.
    look : which look of the plan is thrown, -1 for none.
    said : the thrower's own chance of completion, 0 to 1.
    reach_x, reach_y : with the disc, where to hold it, off the chest, m (a pivot or a fake).
    open_side : for the mark, +1 or -1, the side left open; 0 leaves it as it is.
    cue : for a cut, s since the moment it should be thrown (negative: not yet).
    margin, past_mark, wild : what `said` was made of, for the record: s on the soonest defender,
        the chance to get past the mark, the error as a share of what a receiver makes up for.
    """

    ux: float
    uy: float
    watch: int
    face: float
    eyes: int
    expect_x: float
    expect_y: float
    call: int
    call_who: int
    throw_to: int
    aim_x: float
    aim_y: float
    kind: int
    shape: int
    height: float
    look: int
    said: float
    reach_x: float
    reach_y: float
    open_side: int
    cue: float
    margin: float
    past_mark: float
    wild: float


def run(ux: float, uy: float) -> Intent:
    """Run with this velocity, m/s, and nothing else."""
    return Intent(
        ux, uy, NOTHING, math.nan, 0, 0.0, 0.0, NOTHING, NOTHING, NOTHING, 0.0, 0.0, 0, 0, 1.0, NOTHING,
        math.nan, 0.0, 0.0, 0, 0.0, math.nan, math.nan, math.nan,
    )  # fmt: skip


def cut(ux: float, uy: float, cue: float) -> Intent:
    """A cutter's run, and s since the moment at which it should be thrown (negative: not yet)."""
    return Intent(
        ux, uy, NOTHING, math.nan, 0, 0.0, 0.0, NOTHING, NOTHING, NOTHING, 0.0, 0.0, 0, 0, 1.0, NOTHING,
        math.nan, 0.0, 0.0, 0, cue, math.nan, math.nan, math.nan,
    )  # fmt: skip


def cover(ux: float, uy: float, watch: int, face: float, eyes: int) -> Intent:
    """A defender's run, with the attacker watched, the bearing of the hips, and the eyes."""
    return deny(ux, uy, watch, face, eyes, 0.0, 0.0)


def deny(
    ux: float, uy: float, watch: int, face: float, eyes: int, expect_x: float, expect_y: float
) -> Intent:
    """The same of a cover that is set for a run along (expect_x, expect_y)."""
    return Intent(
        ux, uy, watch, face, eyes, expect_x, expect_y, NOTHING, NOTHING, NOTHING, 0.0, 0.0, 0, 0, 1.0,
        NOTHING, math.nan, 0.0, 0.0, 0, 0.0, math.nan, math.nan, math.nan,
    )  # fmt: skip


def mark(ux: float, uy: float, watch: int, face: float, open_side: int) -> Intent:
    """A mark's run, and the side it leaves open."""
    return Intent(
        ux, uy, watch, face, 0, 0.0, 0.0, NOTHING, NOTHING, NOTHING, 0.0, 0.0, 0, 0, 1.0, NOTHING,
        math.nan, 0.0, 0.0, open_side, 0.0, math.nan, math.nan, math.nan,
    )  # fmt: skip


def hold(call: int, call_who: int, reach_x: float, reach_y: float) -> Intent:
    """With the disc: a call, a wave-off or nothing (-1), and where to hold the disc."""
    return Intent(
        0.0, 0.0, NOTHING, math.nan, 0, 0.0, 0.0, call, call_who, NOTHING, 0.0, 0.0, 0, 0, 1.0, NOTHING,
        math.nan, reach_x, reach_y, 0, 0.0, math.nan, math.nan, math.nan,
    )  # fmt: skip


def throw(
    to: int,
    aim_x: float,
    aim_y: float,
    kind: int,
    shape: int,
    height: float,
    look: int,
    said: float,
    margin: float,
    past_mark: float,
    wild: float,
) -> Intent:
    """With the disc: throw to `to` at a place, m."""
    return Intent(
        0.0, 0.0, NOTHING, math.nan, 0, 0.0, 0.0, NOTHING, NOTHING, to, aim_x, aim_y, kind, shape, height,
        look, said, 0.0, 0.0, 0, 0.0, margin, past_mark, wild,
    )  # fmt: skip
