"""The state of one play: records with named fields, one for the play and one a player.

Kernels and rules read and write them as `play.holder` or `players[2].vx`, as ordinary Python and
compiled alike. Whole numbers are int64, the rest float64; m, s, m/s and rad.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

HELD, WIND_UP, FLYING, OVER = 0, 1, 2, 3
KNOTS = 25  # points kept of each flight, evenly spaced in time from release to the ground
MEMORY = 16  # numbers that a player's rule may keep
PLAYERS = 22  # most in a play, both teams together
RING = 128  # most ticks of the past
ROW = 32  # most settings of one policy
PARTS = 24  # most parts of a plan or a defence, and rows of its sheet
SHEET = 12  # most numbers of one row of a sheet
EVENTS = 160  # calls, wave-offs and throws kept of one rehearsal

CALLED, WAVED_OFF, THROWN, FAKED = 1, 2, 3, 4


def fields_of(numbers: str, floats: str) -> np.dtype[Any]:
    """A record type: the names of its whole numbers and of its floats, each in one string."""
    fields: list[tuple[str, Any]] = [(name, np.int64) for name in numbers.split()]
    fields += [(name, np.float64) for name in floats.split()]
    return np.dtype(fields, align=True)


# The play. `row` is the one of the ring that was written last. `hand_*` is where the thrower holds the
# disc, off the chest (x, y) and above the ground (z); `reach_*` where the thrower is bringing it.
# `call_*` is the look called last, `was_*` the one before; `call_side` is the side open as it was
# called. `mark_slot` marks; `open_side` is +1 or -1, the side left open, `open_was` before it.
PLAY = fields_of(
    "tick row phase holder counting mark open_side open_was throws completions thrower last_thrower "
    "receiver kind curve look call_look call_who call_side was_look was_who outcome stopper events "
    "fakes",
    "now held_since count_start open_since aim_x aim_y height estimate release_at "
    "margin past_mark wild knot_step hand_x hand_y hand_z reach_x reach_y reach_z call_at "
    "trapped_for end_x end_y ended flight_s catch_chance",
)

# A player now. `face` is the bearing of the hips, `want_face` where they should turn (nan: along
# the run), `eyes` 1 on the own man, 0 on the disc. `first` and `tracking` are this rehearsal's
# delays, `lag` the present one. `plays`, `meet_*`: going for the disc, and where and when.
# `judge_*` is the luck of this player's reading of a flight. `lean` is how far the mark's arm is
# stretched, to the right of the line from the thrower. `run_at`: since when the called cut is run.
# `expect_*`: the way on which a run of the man watched is expected.
PLAYER = fields_of(
    "eyes starts_seen sees_moving watch tried plays run_look run_side",
    "x y vx vy ux uy face want_face first tracking lag fooled_until last_start "
    "timing meet_x meet_y meet_at notice_at judge_x judge_y judge_t lean lunge_to lunge_until run_at "
    "waved_at expect_x expect_y",
)

# What somebody is seen as: place, velocity, and the bearing of the hips (the disc: its height).
SEEN = fields_of("", "x y vx vy face")

# What does not change in a play: who this is, and what the body can do (see `sim.ability`).
BODY_NUMBERS = "offence handler guards hand forehand_strong"
BODY_ABILITIES = (
    "top_speed sprint_time grip reaction reaction_spread tracking misread misread_again arm "
    "standing_reach jump dive hands stretch_hands aim_error loft_error pace_error roll_error "
    "spin_error slip weak_side range wind_up pivot wind_feel place_error"
)
BODY = fields_of(BODY_NUMBERS, "start_x start_y " + BODY_ABILITIES)

EVENT = fields_of(
    "event look who to cover outcome stopper kind curve",
    "at count said x y aim_x aim_y distance separation clearance flight_s margin past_mark wild",
)


# The field, the rules and the clock of a play. `every` ticks lie between two decisions; `depth` ticks
# of the past are kept.
GROUND = fields_of(
    "until resets every attackers players holder open_side depth",
    "half_width goal_line low high last_number mark_radius pace wind_x wind_y time_cap spread tick "
    "stall",
)

# The words of the seed and of the rehearsal's number: the address of its luck.
LUCK = fields_of("seed_low seed_high low high", "")


# What a plan or a defence says: its settings and those of its parts, and its sheet of numbers. Then
# where its compiled rules are: the one of its players, and those of its parts.
PLAN = np.dtype(
    [
        ("count", np.int64),
        ("rule", np.int64),
        ("parts", np.int64, (PARTS,)),
        ("row", np.float64, (ROW,)),
        ("rows", np.float64, (PARTS, ROW)),
        ("sheet", np.float64, (PARTS, SHEET)),
    ],
    align=True,
)


def game_type(laws: np.dtype[Any]) -> np.dtype[Any]:
    """The record of a whole play: everything that its kernels read and write.

    Attributes
    ----------
    ground, luck, laws : the field and clock, the rehearsal's luck, the judgements; constant.
    play, players, body : the play, the players now, and what does not change about them.
    ring : the past, a row a tick and player (last the disc): x, y, vx, vy, face or height.
    spots : where everybody stood at the last catch, m. before : where, a tick ago.
    memory : what the players' rules keep. knots : the flight, m.
    events : what was called, waved off, faked and thrown.
    """
    return np.dtype(
        [
            ("ground", GROUND),
            ("luck", LUCK),
            ("laws", laws),
            ("play", PLAY),
            ("players", PLAYER, (PLAYERS,)),
            ("body", BODY, (PLAYERS,)),
            ("ring", np.float64, (RING, PLAYERS + 1, 5)),
            ("spots", np.float64, (PLAYERS, 2)),
            ("before", np.float64, (PLAYERS, 2)),
            ("memory", np.float64, (PLAYERS, MEMORY)),
            ("knots", np.float64, (KNOTS, 3)),
            ("events", EVENT, (EVENTS,)),
        ],
        align=True,
    )


class Row(np.void):  # type: ignore[misc]  # final to type checkers alone
    """One record, its fields read and written by name: `row.x`.

    As `numpy.record` is; but that one looks each name up anew, in Python, which took four fifths of
    the time of a plain play. Here each field is a property of the class, made by `records`.
    """

    def __setattr__(self, name: str, value: Any) -> None:
        try:
            self[name] = value
        except ValueError:
            raise AttributeError(f"record has no attribute {name}") from None

    def __getattr__(self, name: str) -> Any:
        raise AttributeError(f"record has no attribute {name}")


def _field(name: str) -> property:
    def get(row: Row) -> Any:
        try:
            return row[name]
        except ValueError:  # a field of another kind of record
            raise AttributeError(f"record has no attribute {name}") from None

    return property(get)


@cache
def _of_rows(dtype: np.dtype[Any]) -> np.dtype[Any]:
    """The same layout, whose records are a `Row` each, those inside it too."""
    if dtype.subdtype is not None:
        inside, shape = dtype.subdtype
        return np.dtype((_of_rows(inside), shape))
    if dtype.names is None or dtype.fields is None:
        return dtype
    for name in dtype.names:
        if name not in vars(Row):
            setattr(Row, name, _field(name))
    fields = [dtype.fields[name] for name in dtype.names]
    made = np.dtype(
        {
            "names": list(dtype.names),
            "formats": [_of_rows(kind) for kind, *_ in fields],
            "offsets": [offset for _, offset, *_ in fields],
            "itemsize": dtype.itemsize,
        },
        align=dtype.isalignedstruct,
    )
    return np.dtype((Row, made))


def records(dtype: np.dtype[Any], count: int) -> Any:
    """An array of `count` empty records, each a `Row`."""
    return np.zeros(count, _of_rows(dtype))
