"""How a defender covers an attacker: what is taken away, what is given, and where the eyes are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from policies.moves import inside, keep_with, length, unit
from sim.elementary import bearing, turn_between
from sim.intent import Intent, deny
from sim.reach import reach_time
from sim.settings import Checked, setting
from sim.view import chance

STANCES = (
    "tight",
    "fronting",
    "siding",
    "backing",
    "deny-dump",
    "deny-up-line",
    "inside",
    "face-guarding",
    "sagging",
)
(TIGHT, FRONTING, SIDING, BACKING, DENY_DUMP, DENY_UP_LINE, INSIDE, FACE_GUARDING, SAGGING) = range(
    9
)
EYES = ("both", "man", "disc")
MAN = 1
RUNS = 2.0  # m/s from which a man is on a run that has to be cut off
TURNS_FROM = 3.0  # m/s of the man from which a defender turns and runs
RUN_UP = 4.0  # m/s beyond that at which a run is taken for what it is
LANE = (5.0, 8.0)  # m to the open side and downfield of the disc: where a strike is caught
DOUBT = 0.5  # share of a run across the way taken away that is not believed
STAMP, ASTRAY_X, ASTRAY_Y = 0, 1, 2  # places in a defender's memory
EVEN = 3.4641016151377544  # times its sd a draw from 0 to 1 is spread evenly: sqrt(12)
LATE = 4.0  # count from which covers tighten, fully four later


@dataclass(frozen=True)
class Cover(Checked):
    """Cover: takes one way of the attacker away, and cuts off the run that is seen."""

    stance: str = setting(
        "tight", choices=STANCES, doc="the way that is taken away: the others are given"
    )
    cushion: float = setting(
        1.2,
        low=0.3,
        high=8.0,
        unit="m",
        source="tight cover 0.5-1.5 m, sagging cover 3-5 m, common practice",
        doc="distance kept from the attacker",
    )
    eyes: str = setting(
        "both", choices=EYES, doc="on the man: sooner to the cut, later to the disc"
    )
    foresee: float = setting(
        0.6, low=0.0, high=1.5, unit="s", doc="how far ahead a run that is seen is cut off"
    )
    tighten: float = setting(
        0.35, low=0.0, high=0.9, unit="", doc="share of the cushion given up between counts 4 and 8"
    )
    turn_late: float = setting(
        0.5,
        low=0.0,
        high=1.0,
        unit="",
        doc="how far a handler's cover turns toward the dump by then",
    )

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Keep the place between the man and the way taken away; cut a run off, without overrunning."""
        man = me.man if me.man >= 0 else me.holder
        x, y, vx, vy = place(me, s, man)
        return keep_at(me, s, man, x, y, vx, vy)


def keep_at(me: Any, s: Any, man: int, x: float, y: float, vx: float, vy: float) -> Intent:
    """Run to keep with a moving place, hips between man and disc, or along a run."""
    it = me.seen[man]
    ux, uy = keep_with(me, x, y, vx, vy)
    to_man = bearing(it.x - me.x, it.y - me.y)
    face = to_man
    if s.eyes != MAN and s.stance != FACE_GUARDING:
        to_disc = bearing(me.disc_x - me.x, me.disc_y - me.y)
        face = to_man + 0.5 * turn_between(to_man, to_disc)
    if length(it.vx, it.vy) > TURNS_FROM or length(x - me.x, y - me.y) > 3.0:
        face = math.nan  # turn and run
    eyes = 1 if s.eyes == MAN or s.stance == FACE_GUARDING else 0
    way_x, way_y = 0.0, 0.0
    if TIGHT < s.stance < FACE_GUARDING:
        way_x, way_y = lean(s.stance, it.x, it.y, me.disc_x, me.disc_y, me.open, 0.0)
    return deny(ux, uy, man, face, eyes, way_x, way_y)


def place(me: Any, s: Any, man: int) -> tuple[float, float, float, float]:
    """Where to be for an attacker as seen now, and how that place moves (m, m/s)."""
    it = me.seen[man]
    speed = length(it.vx, it.vy)
    x, y, vx, vy = it.x, it.y, it.vx, it.vy
    if TIGHT < s.stance < FACE_GUARDING:
        # a run the way that is taken away is believed, any other may still turn into it
        to_x, to_y = lean(s.stance, x, y, me.disc_x, me.disc_y, me.open, 0.0)
        that_way = vx * to_x + vy * to_y
        if that_way > 0.0:
            vx, vy = vx + DOUBT * (that_way * to_x - vx), vy + DOUBT * (that_way * to_y - vy)
    if speed > RUNS and s.foresee > 0.0:
        # the point on the run seen that this player can be at when the man is
        # the further, the more it is a run and not a step
        t = meeting(me, it.x, it.y, vx, vy, s.foresee * taken_for_a_run(speed))
        x, y = x + vx * t, y + vy * t
    late = min(max((me.count - LATE) / 4.0, 0.0), 1.0)
    cushion = s.cushion * (1.0 - s.tighten * late)
    turn = s.turn_late * late if me.body[man].handler == 1 else 0.0
    way_x, way_y = lean(s.stance, it.x, it.y, me.disc_x, me.disc_y, me.open, turn)
    off_x, off_y = astray(me)
    x, y = inside(me, x + cushion * way_x + off_x, y + cushion * way_y + off_y, -2.0)
    return x, y, vx, vy


def taken_for_a_run(speed: float) -> float:
    """How far somebody so fast is taken to be on a run, not a step: 0 to 1."""
    return min(max((speed - RUNS) / RUN_UP, 0.0), 1.0)


def astray(me: Any) -> tuple[float, float]:
    """How far off the place meant this player stands since the last catch, m."""
    if me.memory[STAMP] != me.completions + 1.0:
        size = EVEN * me.body[me.slot].place_error
        me.memory[STAMP] = me.completions + 1.0
        me.memory[ASTRAY_X] = size * (chance(me, 2 * me.completions) - 0.5)
        me.memory[ASTRAY_Y] = size * (chance(me, 2 * me.completions + 1) - 0.5)
    return me.memory[ASTRAY_X] * me.open, me.memory[ASTRAY_Y]


def meeting(me: Any, x: float, y: float, vx: float, vy: float, most: float) -> float:
    """Soonest time, s, at which this player can be on a run as it is seen, at most `most`."""
    t = 0.0
    for _ in range(2):
        t = reach_time(me, me.body[me.slot], x + vx * t, y + vy * t, 0.3, most)
    return t


def lean(
    stance: float, x: float, y: float, disc_x: float, disc_y: float, side: float, turn: float
) -> tuple[float, float]:
    """The unit vector from a man at (x, y) to where the stance has its defender stand.

    `turn` 0 to 1 blends in the way that takes the dump away.
    """
    to_disc_x, to_disc_y = unit(disc_x - x, disc_y - y)
    beside = side
    if x != disc_x:
        beside = 1.0 if x > disc_x else -1.0
    # the space behind the disc on the man's side; the one up the line of that side; the lane
    # across the thrower's front
    dump_x, dump_y = unit(disc_x + 3.5 * beside - x, disc_y - 4.5 - y)
    line_x, line_y = unit(-0.45 * beside, 0.9)
    front_x, front_y = unit(disc_x + LANE[0] * side - x, disc_y + LANE[1] - y)
    if stance == FRONTING:
        way_x, way_y = to_disc_x, to_disc_y
    elif stance == SIDING:
        way_x, way_y = unit(0.8 * side + 0.6 * to_disc_x, 0.6 * to_disc_y)
    elif stance == BACKING:
        way_x, way_y = 0.0, 1.0
    elif stance == DENY_DUMP:
        way_x, way_y = dump_x, dump_y
    elif stance == DENY_UP_LINE:
        way_x, way_y = line_x, line_y
    elif stance == INSIDE:
        way_x, way_y = front_x, front_y
    elif stance == SAGGING:
        way_x, way_y = unit(0.4 * to_disc_x + 0.3 * side, 0.4 * to_disc_y + 0.8)
    else:
        way_x, way_y = unit(0.5 * to_disc_x + 0.5 * side, 0.5 * to_disc_y + 0.7)
    return unit(way_x + turn * (dump_x - way_x), way_y + turn * (dump_y - way_y))
