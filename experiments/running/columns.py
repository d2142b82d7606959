"""What the columns of tables of rehearsals mean: the one dictionary of them."""

from __future__ import annotations

from typing import NamedTuple

import pyarrow as pa

FIRST, LAST = "first", "last"


class Column(NamedTuple):
    """One column.

    Attributes
    ----------
    meaning : in a line. unit : "" for words, counts and shares.
    throw : "first" or "last" where it is about a throw of the rehearsal, else "".
    """

    meaning: str
    unit: str = ""
    throw: str = ""


COLUMNS = {
    "study": Column("the folder that the rehearsal was kept in"),
    "point": Column(
        "which of the situations of the study: a plan, a pair, a value that was varied"
    ),
    "situation": Column("name of the situation"),
    "plan": Column("the offence's plan"),
    "defence": Column("the defence's plan"),
    "force": Column("the force of the mark"),
    "seed": Column("of the luck: the same seed and rehearsal meet the same luck"),
    "rehearsal": Column("its number, from 0"),
    "outcome": Column("how it ended"),
    "completed": Column("whether the offence has the disc at the end, or has scored"),
    "goal": Column("whether it ended in a goal"),
    "throws": Column("how many were thrown"),
    "look": Column("which look was thrown; open player: one not called", throw=FIRST),
    "thrower": Column("who threw", throw=LAST),
    "receiver": Column("to whom", throw=LAST),
    "cover": Column("who covered the receiver", throw=FIRST),
    "stopper": Column("who stopped it, if somebody did", throw=LAST),
    "calls": Column("how many looks were called"),
    "waved_off": Column("how many of them were waved off"),
    "stall_at_release": Column("the stall count at the release", "count", FIRST),
    "release_s": Column("from the start to the release", "s", FIRST),
    "estimate": Column("the thrower's own estimate of the chance, 0 to 1", throw=FIRST),
    "distance_m": Column("length of the throw", "m", FIRST),
    "flight_s": Column("time in the air", "s", LAST),
    "separation_m": Column("from the receiver to the cover at the release", "m", FIRST),
    "start_x_m": Column("the disc at the start, across, + to the right", "m"),
    "start_y_m": Column("the disc at the start, downfield from the goal line defended", "m"),
    "end_x_m": Column("the disc at the end, across", "m", LAST),
    "end_y_m": Column("the disc at the end, downfield", "m", LAST),
    "trapped_s": Column("time with the disc within 5 m of a sideline", "s"),
    "duration_s": Column("length of the play", "s"),
    "aim_x_m": Column("where it was aimed, across", "m", FIRST),
    "aim_y_m": Column("where it was aimed, downfield", "m", FIRST),
    "gain_m": Column("from the start to the end downfield, where completed", "m", LAST),
    "off_centre_m": Column("from the long axis to the end, where completed", "m", LAST),
    "trapped": Column("completed within 5 m of a sideline, and no goal", throw=LAST),
    "catch_chance": Column("what stood for the catch before the hands' luck, 0 to 1", throw=FIRST),
}


def described(table: pa.Table) -> pa.Table:
    """The table with the dictionary's lines as metadata of its fields: meaning, unit, throw."""
    fields = [
        field.with_metadata(COLUMNS[field.name]._asdict()) if field.name in COLUMNS else field
        for field in table.schema
    ]
    return table.cast(pa.schema(fields, table.schema.metadata))
