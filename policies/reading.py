"""What a thrower expects of a pass: made of what can be seen, not of what will happen."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from policies.cuts.base import NOT_YET
from policies.moves import length
from sim import motion
from sim.elementary import log, logistic
from sim.flight.lookup import duration
from sim.intent import BACKHAND, FLOATED, FOREHAND
from sim.marking import gap_to_hands
from sim.reach import may_reach, reach_time
from sim.settings import check_settings, row_type, setting
from sim.throwing import release_offset, side_of
from sim.view import imagine, put

STRIDE = 0.1  # s between two looks ahead along a run
FASTEST = 25.0  # m/s; no disc covers its distance faster
FURTHEST = 35  # looks ahead: 3.5 s
SIDELINE = 1.0  # m; nobody aims closer to the line than this
HEIGHTS = (1.0, 1.9, 0.4)  # m; a normal release, over the mark's hands, under them
_LANE = (0.3, 0.45, 0.6, 0.7, 0.77, 0.84, 0.9, 0.95, 1.0)  # shares of the way looked at
USUAL = (0.7, 0.85)  # m to the break side and in front: where marks stand
LOW_HAND, HIGH_HAND = 0.5, 1.7  # m, where a mark's hands are expected to work
INTO_REACH = 1.5  # m/s; what passing so far inside a standing defender's reach is worth in time
AT_HAND = 3.0  # m; a mark further off than this is still one of the defenders
EARLY = 0.25  # s that a receiver needs to see where the disc goes
NEAREST = 2.5  # m; nobody throws to somebody beside them
CARRY = 0.9  # s that somebody's present velocity is taken to last


@dataclass(frozen=True)
class Reading:
    """How a thrower judges: the feel that comes of many throws (see MODEL.md, reliability)."""

    spread: float = setting(
        0.27, low=0.02, high=1.0, unit="s",
        source="judgement; interception as a logistic in time, 0.45 s in football (Spearman 2017)",
        doc="how surely a race is called: spread of the logistic in the margin of time",
    )  # fmt: skip
    late: float = setting(
        0.30, low=-0.5, high=1.0, unit="s", doc="taken off a defender's chances for noticing late"
    )
    room: float = setting(
        1.8,
        low=0.2,
        high=4.0,
        unit="m",
        doc="error at the catch that a receiver makes up for half the time",
    )
    arms: float = setting(
        0.35, low=0.0, high=1.0, unit="m", doc="how far the mark's hands are expected to follow"
    )
    blocks: float = setting(
        0.80, low=0.0, high=1.0, unit="", doc="chance that a disc into the mark's hands is stopped"
    )
    bother: float = setting(
        0.10, low=0.0, high=0.5, unit="", doc="share of throws that a mark at hand spoils besides"
    )
    scrap: float = setting(
        0.25,
        low=0.0,
        high=1.0,
        unit="",
        doc="share of throws kept where a defender should be first",
    )
    shift: float = setting(0.0, low=-3.0, high=3.0, unit="", doc="optimism, in log odds")

    def __post_init__(self) -> None:
        check_settings(self)


ReadingRow = row_type("ReadingRow", Reading)


def reading_in(row: Any) -> Any:
    """The settings of a reading in a row of numbers."""
    return ReadingRow(row[0], row[1], row[2], row[3], row[4], row[5], row[6], row[7])


def air_time(me: Any, table: Any, shape: int, x: float, y: float) -> float:
    """Seconds that a disc takes to a place, in the wind as felt."""
    dx, dy = x - me.x, y - me.y
    far = max(length(dx, dy), 1e-6)
    along = (me.wind_x * dx + me.wind_y * dy) / far
    across = (me.wind_x * dy - me.wind_y * dx) / far
    return duration(table, BACKHAND, shape, max(far, 1.0), along, across)


def foresee(
    me: Any,
    team: Any,
    look: int,
    who: int,
    since: float,
    delay: float,
    wind_up: float,
    soonest: float,
) -> tuple[float, float, float, float]:
    """Carry a cutter forward along the called cut until the disc and the runner meet.

    Returns the place (x, y), s in the air (nan: they do not meet), and the cut's cue at release. A
    run whose cue is further away than `soonest` (s, negative) is not carried on.
    """
    shape = int(team.sheet[look, 4])
    body = me.body[who]
    it = me.seen[who]
    x, y, vx, vy = it.x, it.y, it.vx, it.vy
    other = team.other
    imagine(me, other, who)
    cue, t = NOT_YET, 0.0
    for _ in range(FURTHEST):
        put(other, x, y, vx, vy, since + t - delay)
        intent = team.parts[look](other, team.rows[look])
        if t < wind_up + 0.5 * STRIDE:
            cue = intent.cue + (wind_up - t)
        else:
            if cue <= soonest:
                return x, y, math.nan, cue
            if (t - wind_up) * FASTEST >= length(x - me.x, y - me.y):
                flight = air_time(me, team.table, shape, x, y)
                if t - wind_up >= flight:
                    return x, y, flight, cue
        if cue < -3.0 and t >= wind_up:
            return x, y, math.nan, NOT_YET
        ux, uy = motion.limit(intent.ux, intent.uy, body.top_speed)
        x, y, vx, vy = motion.advance(x, y, vx, vy, ux, uy, body.sprint_time, body.grip, STRIDE)
        t += STRIDE
    return x, y, math.nan, cue


def meet_as_seen(
    me: Any, team: Any, who: int, shape: int, wind_up: float
) -> tuple[float, float, float]:
    """Where somebody who goes on as seen for a moment would catch it, and s in the air."""
    it = me.seen[who]
    x, y, flight = it.x, it.y, 0.0
    for _ in range(3):
        flight = air_time(me, team.table, shape, x, y)
        carried = min(wind_up + flight, CARRY)
        x, y = it.x + it.vx * carried, it.y + it.vy * carried
    return x, y, flight


def judge(
    me: Any, r: Any, who: int, x: float, y: float, flight: float, wind_up: float, shape: int
) -> tuple[float, int, float, float, float, float]:
    """The chance of a pass to a place as the thrower sees it, the kind of throw, the release height.

    After these what the chance is made of: the margin on the soonest defender (s), the chance to get
    past the mark, and how wild the throw is, as a share of what a receiver makes up for.

    The product of four: that no defender is at the line or the place first (a logistic in time), the
    mark, that it goes where it is meant to, and hands; then as sure as experience makes it.
    """
    if abs(x) > me.half_width - SIDELINE or not me.low + SIDELINE < y < me.high - SIDELINE:
        return 0.0, BACKHAND, HEIGHTS[0], -9.0, 1.0, 1.0
    body = me.body[me.slot]
    far = length(x - me.x, y - me.y)
    if far > body.range or far < NEAREST:
        return 0.0, BACKHAND, HEIGHTS[0], -9.0, 1.0, 1.0
    margin = soonest_defender(me, r, who, x, y, flight, wind_up, shape)
    safe = logistic(margin * math.pi / (math.sqrt(3.0) * r.spread))
    safe = r.scrap + (1.0 - r.scrap) * safe
    line, price, kind, height = best_line(me, r, x, y, wind_up)
    aim, pitch = body.aim_error, body.loft_error
    wild = far * price * math.sqrt(aim * aim + pitch * pitch + 0.6 * body.pace_error**2) / r.room
    wind = length(me.wind_x, me.wind_y)
    wild *= 1.0 + 0.06 * wind + 0.3 * body.wind_feel * wind / 5.0
    accurate = (1.0 - body.slip) / (1.0 + wild * wild * wild)
    chance = safe * line * accurate * me.body[who].hands
    if 1e-9 < chance < 1.0 - 1e-9:
        chance = sure(chance, r.shift)
    return chance, kind, height, margin, line, wild


def sure(chance: float, shift: float) -> float:
    """A chance with its log odds shifted."""
    return logistic(log(chance / (1.0 - chance)) + shift)


def soonest_defender(
    me: Any, r: Any, who: int, x: float, y: float, flight: float, wind_up: float, shape: int
) -> float:
    """By how much the soonest defender is later than the disc on its way to the receiver, s.

    The receiver comes to meet the disc: what lies beyond the first point of its way that the receiver
    can be at in time does not count.
    """
    least = 1.5
    runner, its = me.seen[who], me.body[who]
    for k in range(len(_LANE)):
        share = _LANE[k]
        if shape == FLOATED and share < 0.75:
            continue  # it passes above all hands
        px, py = me.x + (x - me.x) * share, me.y + (y - me.y) * share
        due = wind_up + flight * share
        for q in range(me.attackers, me.everybody):
            it, body = me.seen[q], me.body[q]
            if q == me.mark and length(it.x - me.x, it.y - me.y) < AT_HAND:
                continue  # the line past the mark is another matter
            arm = body.arm + 0.3
            left = due - r.late
            if not may_reach(
                it.x,
                it.y,
                it.vx,
                it.vy,
                px,
                py,
                left + least,
                body.top_speed,
                body.sprint_time,
                arm,
            ):
                continue
            need = reach_time(
                it.x, it.y, it.vx, it.vy, px, py, body.top_speed, body.sprint_time, body.grip, arm
            )
            margin = need - left
            if need <= 0.0:
                # already there: it depends on how far inside the reach the disc passes
                margin = max(margin, (length(px - it.x, py - it.y) - arm) / INTO_REACH)
            least = min(least, margin)
        if share < 1.0 and may_reach(
            runner.x, runner.y, runner.vx, runner.vy, px, py, due - EARLY, its.top_speed,
            its.sprint_time, its.arm,
        ):  # fmt: skip
            break
    return least


def best_line(
    me: Any, r: Any, x: float, y: float, wind_up: float
) -> tuple[float, float, int, float]:
    """The chance to get past the mark, what the throw costs in accuracy, its kind and height."""
    body = me.body[me.slot]
    best, best_price, kind, height = -1.0, 1.0, BACKHAND, HEIGHTS[0]
    marked = me.mark >= 0
    mx, my, vx, vy = 0.0, 1.0, 0.0, 0.0
    if marked:
        it = me.seen[me.mark]
        mx, my, vx, vy = it.x - me.x, it.y - me.y, it.vx, it.vy
        marked = length(mx, my) < 4.0
    unsettled = length(vx, vy) > 1.0 or not 0.8 < length(mx, my) < 1.8
    carried = min(wind_up, 0.3)
    to_x, to_y = x - me.x, y - me.y
    size = max(length(to_x, to_y), 1e-6)
    to_x, to_y = to_x / size, to_y / size
    for one in range(2):
        price = body.weak_side if (one == FOREHAND) != (body.forehand_strong == 1) else 1.0
        off_x, off_y = release_offset(me.x, me.y, x, y, side_of(me.hand, one), body.pivot)
        for k in range(3):
            cost = price * (1.0 if k == 0 else (1.4 if k == 1 else 1.2))
            gap = 9.0
            if marked:
                gap = line_gap(
                    r, off_x, off_y, to_x, to_y, HEIGHTS[k], mx + carried * vx, my + carried * vy
                )
                if unsettled:
                    # one still on its way is expected to get to the usual place, or half way there
                    usual_x, usual_y = -USUAL[0] * me.open, USUAL[1]
                    gap = min(
                        gap, line_gap(r, off_x, off_y, to_x, to_y, HEIGHTS[k], usual_x, usual_y)
                    )
                    half_x, half_y = 0.5 * (mx + usual_x), 0.5 * (my + usual_y)
                    gap = min(
                        gap, line_gap(r, off_x, off_y, to_x, to_y, HEIGHTS[k], half_x, half_y)
                    )
            chance = 1.0 - r.blocks * max(0.0, 1.0 - gap / 0.20)
            chance *= 1.0 - r.bother * max(0.0, 1.0 - gap / 0.55)
            worth = chance / (1.0 + 0.05 * (cost - 1.0))
            if worth > best:
                best, best_price, kind, height = worth, cost, one, HEIGHTS[k]
        if not marked and one == 0 and price == 1.0:
            break
    return best, best_price, kind, height


def line_gap(
    r: Any,
    off_x: float,
    off_y: float,
    to_x: float,
    to_y: float,
    height: float,
    mark_x: float,
    mark_y: float,
) -> float:
    """How near a straight throw passes to the hands of a mark, m; all places from the thrower.

    `off_*` is where it is released, (to_x, to_y) its direction, `mark_*` the mark's chest.
    """
    far = length(mark_x, mark_y)
    if far < 0.05 or far > 3.0:
        return 0.0 if far < 0.05 else 9.0
    way_x, way_y = mark_x / far, mark_y / far
    right = off_x * way_y - off_y * way_x
    hands = min(max(right, -r.arms), r.arms)
    gap, s = 9.0, 0.0
    while s < 1.9:
        x, y = off_x + to_x * s - mark_x, off_y + to_y * s - mark_y
        gap = min(gap, gap_to_hands(x, y, height, way_x, way_y, hands, LOW_HAND, HIGH_HAND))
        s += 0.16
    return gap
