"""What a thrower expects of a pass: made of what can be seen, not of what will happen."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

from policies.moves import length, nearest_defender, unit
from policies.picturing import Picture, error_at
from sim.elementary import exp, log, logistic
from sim.flight.lookup import on_the_way
from sim.intent import BACKHAND, FLOATED, FOREHAND, Intent, throw
from sim.lowlevel import blank
from sim.marking import gap_to_hands
from sim.motion import Moving
from sim.settings import Checked, setting, settings_type
from sim.state import KNOTS
from sim.throwing import WITHOUT_ERRORS, Throw, release_offset, side_of, the_way

SIDELINE = 1.0  # m; nobody aims closer to the line than this
HEIGHTS = (1.0, 1.9, 0.4)  # m; a normal release, over the mark's hands, under them
LOOKS = 8  # points of the way looked at, from where somebody can have noticed the throw
USUAL = (0.7, 0.85)  # m to the break side and in front: where marks stand
SETTLED = 0.8  # m; a mark further from there is on the way
STOPS_WITHIN, BOTHERS_WITHIN = 0.20, 0.55  # m from the mark's hands
AT_STRETCH = 0.8  # m; hands are expected to follow no further
UNSURE_WITHIN = 0.6  # m; the hands of one who is still running may be anywhere so near
PAST_MARK = 1.9  # m of its way on which a disc may meet the mark's hands
OVERHEAD = 9.0  # s too late: nobody reaches so high
LOW_HAND, HIGH_HAND = 0.5, 1.7  # m, where a mark's hands are expected to work
COMES_FROM = 6.0  # m from which somebody can be there to mark by the release
AT_HAND = 3.0  # m; a mark further off than this is still one of the defenders
NEAREST = 2.5  # m; nobody throws to somebody beside them
PLAIN, PLAIN_AIR = 10.0, 0.8  # m and s of a plain pass
HELD_UP = 0.2  # s that somebody right in the way costs a receiver
SHOULDER = 0.3  # m by which he has to be ahead for that
ROUND = 1.0  # m aside of the way at which he is out of it
MORE_ROOM = 0.05  # share by which each second in the air beyond the first gives more room


@dataclass(frozen=True)
class Reading(Checked):
    """How a thrower judges: the feel that comes of many throws (see MODEL.md, reliability)."""

    spread: float = setting(
        0.09, low=0.02, high=1.0, unit="s",
        source="judgement; interception as a logistic in time, 0.45 s in football (Spearman 2017)",
        doc="how surely a race is called: spread of the logistic in the margin of time",
    )  # fmt: skip
    astray: float = setting(
        0.20, low=0.0, high=3.0, unit="",
        doc="share of the way that a throw is off by that counts in the race, run at top speed",
    )  # fmt: skip
    lead: float = setting(
        -0.04, low=-0.5, high=1.0, unit="s", doc="a cover later than this is first half the time"
    )
    cross: float = setting(
        0.025, low=-0.5, high=1.0, unit="s", doc="the same of a defender who crosses the disc's way"
    )
    late: float = setting(
        0.22, low=0.0, high=1.0, unit="s",
        source="simple visual reaction 0.213-0.231 s, Woods 2015",
        doc="after a release until others are expected to notice it",
    )  # fmt: skip
    room: float = setting(
        3.35, low=0.2, high=9.0, unit="m",
        doc="sd of the error that a receiver makes up for half the time in a second",
    )  # fmt: skip
    arms: float = setting(
        2.9, low=0.0, high=8.0, unit="m/s",
        doc="how fast the mark's hands are expected to follow the disc brought out, once it is seen",
    )  # fmt: skip
    blocks: float = setting(
        0.80, low=0.0, high=1.0, unit="", doc="chance that a disc into the mark's hands is stopped"
    )
    bother: float = setting(
        0.50, low=0.0, high=3.0, unit="",
        doc="share by which the errors of a throw close past the mark's hands are expected to grow",
    )  # fmt: skip
    hangs: float = setting(
        0.62, low=0.0, high=1.0, unit="",
        doc="share of floated throws kept where a defender should be first: they hang for everybody",
    )  # fmt: skip
    shift: float = setting(0.0, low=-3.0, high=3.0, unit="", doc="optimism, in log odds")


ReadingRow = settings_type(Reading)


def reading_in(row: Any) -> Any:
    """The settings of a reading in a row of numbers."""
    return ReadingRow(
        row[0], row[1], row[2], row[3], row[4], row[5], row[6], row[7], row[8], row[9], row[10]
    )


class Offer(NamedTuple):
    """A pass as the thrower weighs it up.

    The chance (`said`), to whom and where (m), the kind, shape and release height (m) of the throw.
    Then what the chance is made of: the margin on the soonest defender (s), the chance to get past the
    mark, and how wild the throw is, as a share of what a receiver makes up for.
    """

    said: float
    who: int
    x: float
    y: float
    kind: int
    shape: int
    height: float
    margin: float
    past_mark: float
    wild: float


def thrown(it: Offer, look: int) -> Intent:
    """Throw it now, as a look of the plan or as none (-1)."""
    return throw(
        it.who, it.x, it.y, it.kind, it.shape, it.height, look, it.said, it.margin, it.past_mark, it.wild
    )  # fmt: skip


def judge(me: Any, team: Any, r: Any, who: int, seen: Picture, shape: int) -> Offer:
    """What a pass to a place is worth as the thrower sees it.

    The product of four: that no defender is at the line or the place first (a logistic in time), the
    mark, that it goes where it is meant to, and hands; then as sure as experience makes it.
    """
    x, y = seen.x, seen.y
    far = length(x - me.x, y - me.y)
    aimed = abs(x) <= me.half_width - SIDELINE and me.low + SIDELINE < y < me.high - SIDELINE
    if not aimed or far > me.body[me.slot].range or far < NEAREST:
        return Offer(0.0, who, x, y, BACKHAND, shape, HEIGHTS[0], -9.0, 1.0, 1.0)
    way, other_way = blank(KNOTS, 3), blank(KNOTS, 3)
    line, price, kind, height, step = best_line(me, team.table, r, shape, x, y, way, other_way)
    margin = soonest_defender(me, r, who, seen, way if kind == BACKHAND else other_way, step)
    off = error_at(me, far, price)
    # a disc off its way costs the receiver time, or gives it to the defender
    spread = length(r.spread, r.astray * off / me.body[who].top_speed)
    safe = logistic(margin * math.pi / (math.sqrt(3.0) * spread))
    if shape == FLOATED:
        safe = r.hangs + (1.0 - r.hangs) * safe
    room = room_for(r, seen.flight)
    if shape == FLOATED:
        # led to the end of a run: what the receiver has in hand is all that can be made up
        its, left = me.body[who], max(seen.flight - r.late, 0.0)
        late = lateness(seen.run, its, x, y, 0.0, left)
        room = min(room, max(-late * its.top_speed, its.arm))
    wild = off / room
    accurate = on_target(me, wild)
    edge = min(me.half_width - abs(x), me.high - y)
    accurate *= logistic(1.7 * edge / max(off, 0.05))  # a normal error over the line
    chance = safe * line * accurate * me.body[who].hands
    if 1e-9 < chance < 1.0 - 1e-9:
        chance = sure(chance, r.shift)
    return Offer(chance, who, x, y, kind, shape, height, margin, line, wild)


def room_for(r: Any, flight: float) -> float:
    """The error, m, that a receiver makes up for half the time while the disc is in the air (s)."""
    return r.room * (1.0 + MORE_ROOM * (flight - 1.0))


def on_target(me: Any, wild: float) -> float:
    """The chance that a throw so wild, as a share of the room, comes where it can be caught."""
    return (1.0 - me.body[me.slot].slip) / (1.0 + wild * wild * math.sqrt(wild))


def plain_pass(me: Any, r: Any) -> float:
    """What a pass of 10 m to somebody left alone is worth to this thrower: the measure of the day."""
    wild = error_at(me, PLAIN, 1.0) / room_for(r, PLAIN_AIR)
    return on_target(me, wild) * me.body[me.slot].hands


def sure(chance: float, shift: float) -> float:
    """A chance with its log odds shifted."""
    return logistic(log(chance / (1.0 - chance)) + shift)


def soonest_defender(me: Any, r: Any, who: int, seen: Picture, way: Any, step: float) -> float:
    """By how much the soonest defender is later than one who is first half the time, s.

    All keep with their men, or go on as seen, until they notice the throw, and then go straight for
    the disc on its way (`step` s between its points). The receiver comes to meet it: what lies beyond
    the first point at which the receiver can have it does not count. Nobody plays it above a jump.
    """
    least = 1.5
    flight = seen.flight
    its = me.body[who]
    round_him = way_round(seen)
    noticed = me.release_in + r.late
    first = min(r.late, flight)  # nobody plays it before
    stride, before = (flight - first) / LOOKS, OVERHEAD
    for k in range(LOOKS + 1):
        t = first + stride * k
        px, py, pz = on_the_way(way, step, t)
        own = OVERHEAD
        if pz <= its.standing_reach + its.jump:
            own = lateness(seen.run, its, px, py, 0.0, t - first)
        caught = own <= 0.0
        if caught and before < OVERHEAD:
            t -= stride * own / (own - before)
            px, py, pz = on_the_way(way, step, t)
        for q in range(me.attackers, me.everybody):
            it, body = me.seen[q], me.body[q]
            if q == me.mark and length(it.x - me.x, it.y - me.y) < AT_HAND:
                continue  # the line past the mark is another matter
            if pz > body.standing_reach + body.jump:
                continue
            if q == seen.shadow:
                lead = lateness(seen.cover, body, px, py, 0.0, t - first)
                least = min(least, lead - r.lead - round_him)
            else:
                man = body.guards
                at = me.seen[man] if 0 <= man != me.slot else it
                going = Moving(it.x, it.y, at.vx, at.vy)
                lead = lateness(going, body, px, py, noticed, t - first)
                least = min(least, lead - r.cross)
        if caught:
            break
        before = own
    return least


def way_round(seen: Picture) -> float:
    """What a defender in the way to the catch costs the receiver, s: the way round."""
    dx, dy = seen.cover.x - seen.run.x, seen.cover.y - seen.run.y
    if seen.shadow < 0:
        return 0.0
    to_x, to_y = unit(seen.x - seen.run.x, seen.y - seen.run.y)
    ahead, across = dx * to_x + dy * to_y, abs(dx * to_y - dy * to_x)
    return HELD_UP * min(max(ahead / SHOULDER, 0.0), 1.0) * max(1.0 - across / ROUND, 0.0)


def lateness(it: Moving, body: Any, to_x: float, to_y: float, noticed: float, left: float) -> float:
    """What somebody who goes on as seen until `noticed` s lacks at a place `left` s later.

    In s at top speed; below zero the arms are there in time. The set that can be reached is that
    of `sim.reach.may_reach`.
    """
    lag = noticed + body.sprint_time * (1.0 - exp(-left / body.sprint_time))
    short = length(to_x - it.x - it.vx * lag, to_y - it.y - it.vy * lag) - body.arm
    return (short - body.top_speed * (left + noticed - lag)) / body.top_speed


def best_line(
    me: Any, table: Any, r: Any, shape: int, x: float, y: float, way: Any, other_way: Any
) -> tuple[float, float, int, float, float]:
    """The chance to get past the mark, what the throw costs in accuracy, its kind and height.

    And the s between the points of its way, written into `way` for a backhand, else `other_way`.
    """
    body, far = me.body[me.slot], length(x - me.x, y - me.y)
    best, best_price, kind, height, step = -1.0, 1.0, BACKHAND, HEIGHTS[0], 1.0
    # without a mark, the nearest of all may be on the way to become it
    mark = me.mark if me.mark >= 0 else nearest_defender(me, me.x, me.y, COMES_FROM, -1)
    mx, my, vx, vy = 0.0, 9.0, 0.0, 0.0
    if mark >= 0:
        it = me.seen[mark]
        mx, my, vx, vy = it.x - me.x, it.y - me.y, it.vx, it.vy
    marked = length(mx, my) < COMES_FROM
    usual_x, usual_y = -USUAL[0] * me.open, USUAL[1]
    lacks = length(mx - usual_x, my - usual_y)
    running = length(vx, vy) > 1.0
    unsettled = running or lacks > SETTLED
    # the share of the way to the usual place that is made by the release
    made = min(length(vx, vy) * me.release_in / max(lacks, 0.1), 1.0)
    carried = min(me.release_in, 0.3)
    first = BACKHAND if body.forehand_strong == 0 else FOREHAND
    for nth in range(2):
        one = first if nth == 0 else BACKHAND + FOREHAND - first  # the surer hand first
        price = body.weak_side if nth == 1 else 1.0
        its = way if one == BACKHAND else other_way
        pace = as_meant(me, table, one, shape, x, y, its)
        for k in range(3):
            cost = price * (1.0 if k == 0 else (1.4 if k == 1 else 1.2))
            gap = 9.0
            if marked:
                at_x, at_y = mx + carried * vx, my + carried * vy
                gap = line_gap(me, r, its, far, HEIGHTS[k], at_x, at_y)
                if unsettled:
                    # one still on its way is expected about as far as it can have come by the release
                    for part in range(2):
                        to = made * (0.7 + 0.3 * part)
                        at_x, at_y = mx + to * (usual_x - mx), my + to * (usual_y - my)
                        gap = min(gap, line_gap(me, r, its, far, HEIGHTS[k], at_x, at_y))
            within = UNSURE_WITHIN if running else STOPS_WITHIN
            chance = 1.0 - r.blocks * STOPS_WITHIN / within * max(0.0, 1.0 - gap / within)
            cost *= 1.0 + r.bother * max(0.0, 1.0 - gap / BOTHERS_WITHIN)
            worth = chance / (1.0 + 0.05 * (cost - 1.0))
            if worth > best:
                best, best_price, kind, height, step = worth, cost, one, HEIGHTS[k], pace
            if best >= 1.0:
                return best, best_price, kind, height, step  # nothing in the way of the surer hand
    return best, best_price, kind, height, step


def as_meant(me: Any, table: Any, kind: int, shape: int, x: float, y: float, way: Any) -> float:
    """Write the way of an own throw to a place, as meant, and return the s between its points."""
    body = me.body[me.slot]
    off_x, off_y = release_offset(me.x, me.y, x, y, side_of(me.hand, kind), body.pivot)
    it = Throw(kind, shape, me.x + off_x, me.y + off_y, x, y, float(me.hand), HEIGHTS[0])
    return the_way(table, it, me.wind_x, me.wind_y, 1.0, body.range, WITHOUT_ERRORS, way)


def line_gap(
    me: Any, r: Any, way: Any, far: float, height: float, mark_x: float, mark_y: float
) -> float:
    """How near a disc released at a height passes to the hands of a mark, m.

    The mark's chest is at `mark_*` from the thrower; the `way` is that of a disc released at the first
    of the heights, to a catch `far` m off.
    """
    off = length(mark_x, mark_y)
    if off < 0.05 or off > 3.0:
        return 0.0 if off < 0.05 else 9.0
    way_x, way_y = mark_x / off, mark_y / off
    right = (way[0, 0] - me.x) * way_y - (way[0, 1] - me.y) * way_x
    follow = min(r.arms * max(me.release_in - r.late, 0.0), AT_STRETCH)
    hands = min(max(right, -follow), follow)
    stride = length(way[1, 0] - way[0, 0], way[1, 1] - way[0, 1])
    gap, s = 9.0, 0.0
    while s < PAST_MARK:
        x, y, z = on_the_way(way, stride, s)
        z += (height - HEIGHTS[0]) * max(1.0 - s / far, 0.0)
        near = gap_to_hands(
            x - me.x - mark_x, y - me.y - mark_y, z, way_x, way_y, hands, LOW_HAND, HIGH_HAND
        )
        gap = min(gap, near)
        s += 0.16
    return gap
