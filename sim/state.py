"""The state of one play: records with named fields, one for the play and one a player.

Kernels and rules read and write them as `play.holder` or `players[2].vx`, as ordinary Python and
compiled alike. Whole numbers are int64, the rest float64; m, s, m/s and rad.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

HELD, WIND_UP, FLYING, OVER = 0, 1, 2, 3
KNOTS = 25  # points kept of each flight, evenly spaced in time from release to the ground
MEMORY = 16  # numbers that a player's rule may keep
EVENTS = 160  # calls, wave-offs and throws kept of one rehearsal

CALLED, WAVED_OFF, THROWN, FAKED = 1, 2, 3, 4


def _record(numbers: str, floats: str) -> np.dtype[Any]:
    fields = [(name, np.int64) for name in numbers.split()]
    fields += [(name, np.float64) for name in floats.split()]
    return np.dtype(fields, align=True)


# The play. `hand_*` is where the thrower holds the disc, off the chest (x, y) and above the ground
# (z); `reach_*` where the thrower is bringing it. `call_*` is the look called last, `was_*` the one
# before. `mark_slot` marks; `open_side` is +1 or -1, the side left open, `open_was` before it.
PLAY = _record(
    "tick phase holder counting mark open_side open_was throws completions thrower last_thrower "
    "receiver kind curve look call_look call_who was_look was_who outcome stopper events fakes",
    "now held_since count_start open_since aim_x aim_y height estimate begun_at release_at "
    "knot_step hand_x hand_y hand_z reach_x reach_y reach_z call_at trapped_for end_x end_y ended "
    "flight_s",
)

# A player now. `face` is the bearing of the hips, `want_face` where they should turn (nan: along
# the run), `eyes` 1 on the own man, 0 on the disc. `first` and `tracking` are this rehearsal's
# delays, `lag` the present one. `plays`, `meet_*`: going for the disc, and where and when.
# `judge_*` is the luck of this player's reading of a flight. `lean` is how far the mark's arm is
# stretched, to the right of the line from the thrower. `run_at`: since when the called cut is run.
PLAYER = _record(
    "eyes starts_seen sees_moving watch tried plays run_look",
    "x y vx vy ux uy face want_face first tracking lag fooled_until last_start spot_x spot_y "
    "timing meet_x meet_y meet_at notice_at judge_x judge_y judge_t lean lunge_to lunge_until run_at "
    "waved_at",
)

# What somebody is seen as: place, velocity, and the bearing of the hips (the disc: its height).
SEEN = _record("", "x y vx vy face")

# What does not change in a play: who this is, and what the body can do (see `sim.ability`).
BODY_NUMBERS = "offence handler guards hand forehand_strong"
BODY_ABILITIES = (
    "top_speed sprint_time grip reaction reaction_spread tracking misread misread_again arm "
    "standing_reach jump dive hands stretch_hands aim_error loft_error pace_error roll_error "
    "spin_error slip weak_side range wind_up pivot wind_feel"
)
BODY = _record(BODY_NUMBERS, "start_x start_y " + BODY_ABILITIES)

EVENT = _record(
    "event look who to cover outcome stopper kind curve",
    "at count said x y aim_x aim_y distance separation clearance flight_s",
)


class Ground(NamedTuple):
    """The field, the rules and the clock of a play, as numbers."""

    half_width: float
    goal_line: float
    low: float
    high: float
    last_number: float
    mark_radius: float
    pace: float
    wind_x: float
    wind_y: float
    until: int
    resets: int
    time_cap: float
    spread: float
    tick: float
    every: int
    attackers: int
    players: int
    holder: int
    stall: float
    open_side: int


def records(dtype: np.dtype[Any], count: int) -> Any:
    """An array of `count` empty records."""
    return np.zeros(count, dtype).view(np.recarray)
