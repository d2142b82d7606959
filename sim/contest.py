"""While the disc flies: who goes for it, where they meet it, and whose hand is first.

Nothing here knows a completion probability. Everybody guesses where and when the disc comes down,
the better the nearer it is. A player who can get a hand on the disc at its height tries; when
another could be there within a few hundredths of a second, luck decides whose hand is first; a hand
holds or not. A defender too far behind to touch the disc changes nothing.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from sim.elementary import logistic
from sim.luck import Purpose, capped_normal, uniform
from sim.motion import meet
from sim.perception import disc_at, notices_throw_after
from sim.reach import may_reach, reach_time
from sim.rules import inside
from sim.state import KNOTS

NOBODY, CAUGHT, BLOCKED, DROPPED = 0, 1, 2, 3
_FAR = 1e9
_CATCH, _CONTEST, _FLIGHT = int(Purpose.CATCH), int(Purpose.CONTEST), int(Purpose.FLIGHT)
_CROWDED = 0.15  # m, a rival hand as near to the disc as this makes it a crowd
_LAYS_OUT = 32  # the draws of those who lay out come after those of the hands


def read_flight(g: Any) -> None:
    """Deal out, at a release, when each player notices the throw and how each misjudges it."""
    play, side = g.play, float(g.ground.open_side)
    for q in range(g.ground.players):
        me = g.players[q]
        me.tried, me.plays = 0, 0
        me.notice_at = play.now + notices_throw_after(g, q)
        me.judge_x = side * capped_normal(g.luck, _FLIGHT, play.throws, 3 * q)
        me.judge_y = capped_normal(g.luck, _FLIGHT, play.throws, 3 * q + 1)
        me.judge_t = capped_normal(g.luck, _FLIGHT, play.throws, 3 * q + 2)


def choose_meetings(g: Any) -> None:
    """Let everyone choose whether, where and when to meet the disc.

    Each player takes the soonest point of the flight, as judged, that can be reached in time, or
    the least late one; between two looks at the flight it is taken as straight. The receiver always
    goes; the receiver's defender if not too late; the others if in time and before the receiver can
    have it: nobody leaves a man for a disc out of reach.
    """
    play, ground = g.play, g.ground
    receiver_at = _FAR
    if play.receiver >= 0:
        late = _best_meeting(g, play.receiver, True, _FAR)
        g.players[play.receiver].plays = 1
        if late <= 0.0:
            receiver_at = g.players[play.receiver].meet_at
    for q in range(ground.attackers, ground.players):
        me = g.players[q]
        own = me.watch == play.receiver
        late = _best_meeting(g, q, False, _FAR if own else receiver_at)
        me.plays = int(late < (g.laws.hands.plays_if_late if own else 1e-9))


def _best_meeting(g: Any, q: int, receives: bool, before: float) -> float:
    """Write where player q would meet the disc; how late that is, s (large: not at all)."""
    play, hands, eyes = g.play, g.laws.hands, g.laws.eyes
    me, body = g.players[q], g.body[q]
    top = body.standing_reach + body.jump
    patience = _FAR if receives else max(hands.plays_if_late, 1e-9)
    best_cost, best_late = _FAR, _FAR
    was_late, was_x, was_y, was_left = 0.0, 0.0, 0.0, 0.0
    for k in range(2, KNOTS, 2):
        due = play.release_at + play.knot_step * k
        left = due - play.now
        if left <= 0.0:
            continue
        if left >= best_cost or due > before:
            break  # a point costs at least the time until the disc is there
        blur = eyes.flight_error * left
        x = g.knots[k, 0] + blur * me.judge_x
        y = g.knots[k, 1] + blur * me.judge_y
        left = left * (1.0 + eyes.flight_timing * me.judge_t)
        high = g.knots[k, 2] > top
        if not receives and (high or not may_reach(me, body, x, y, left + patience, body.arm)):
            continue
        late = reach_time(me, body, x, y, body.arm) - left
        if high:
            late += 1.0
        elif late < 0.0 < was_late:
            # in time here and not at the look before: just in time somewhere between
            share = was_late / (was_late - late)
            x, y, late = was_x + (x - was_x) * share, was_y + (y - was_y) * share, 0.0
            left = was_left + (left - was_left) * share
        was_late, was_x, was_y, was_left = late, x, y, left
        if receives and not inside(g, g.knots[k, 0], g.knots[k, 1]):
            late += 2.0
        cost = 10.0 * max(late, 0.0) + left
        if cost < best_cost:
            best_cost, best_late = cost, late
            me.meet_x, me.meet_y, me.meet_at = x, y, play.now + left
    return best_late


def chase_disc(g: Any) -> None:
    """Turn the wish to meet the disc into a run, for those who have noticed that it was thrown."""
    now = g.play.now
    for q in range(g.ground.players):
        me = g.players[q]
        if me.plays == 1 and now >= me.notice_at - 1e-9:
            me.ux, me.uy = meet(me, g.body[q], me.meet_x, me.meet_y, me.meet_at - now)
            me.want_face = math.nan


def easy_reach(height: float, arm: float, standing: float, shoulder: float) -> float:
    """Horizontal reach (m) without leaving the ground, at a disc height (m); 0 when too high."""
    above = min(max((height - shoulder) / (standing - shoulder), 0.0), 1.0)
    return arm * math.sqrt(1.0 - above * above)


def full_reach(height: float, body: Any, shoulder: float) -> float:
    """Horizontal reach (m) jumping or laid out, at a disc height (m)."""
    jumping = easy_reach(height, body.arm, body.standing_reach + body.jump, shoulder)
    laid_out = body.arm + body.dive if height < shoulder else 0.0
    return max(jumping, laid_out)


class Touch(NamedTuple):
    """The moment at which a hand comes to the disc.

    Whose, and whether without a jump or a dive; at which share of the tick and where (m); and the
    height (m) at which hands reach for the disc in this tick.
    """

    who: int
    easily: bool
    at: float
    x: float
    y: float
    z: float
    height: float


def resolve(g: Any, age: float) -> tuple[int, int, float, float]:
    """Let hands decide the disc over the tick that ends `age` s after its release.

    Returns
    -------
    what (NOBODY, CAUGHT, BLOCKED, DROPPED), whose hand, and where (x, y).
    """
    hands, tick, before = g.laws.hands, g.ground.tick, g.before
    x0, y0, z0 = disc_at(g, age - tick)
    x1, y1, z1 = disc_at(g, age)
    height = 0.5 * (z0 + z1)
    first, at, easily = -1, _FAR, True
    for q in range(g.ground.players):
        if not _may_try(g, q):
            continue
        me, body = g.players[q], g.body[q]
        sx, sy = x0 - before[q, 0], y0 - before[q, 1]
        mx, my = x1 - me.x - sx, y1 - me.y - sy
        easy = easy_reach(height, body.arm, body.standing_reach, hands.shoulder)
        moment = _enters(sx, sy, mx, my, easy)
        if moment < at:
            first, at, easily = q, moment, True
        if moment > 1.0:
            full = full_reach(height, body, hands.shoulder)
            nearest = _nearest(sx, sy, mx, my)
            cx, cy = sx + nearest * mx, sy + nearest * my
            runs = me.vx * me.vx + me.vy * me.vy > hands.run_up**2 or height > hands.shoulder
            if 0.0 < nearest < 1.0 and cx * cx + cy * cy <= full * full and runs and nearest < at:
                first, at, easily = q, nearest, False
    if first < 0 or at > 1.0:
        return NOBODY, -1, 0.0, 0.0
    x, y, z = x0 + (x1 - x0) * at, y0 + (y1 - y0) * at, z0 + (z1 - z0) * at
    touch = Touch(first, easily, at, x, y, z, height)
    if g.play.throws == 1:
        g.play.catch_chance += chance_caught(g, touch)
    owner, crowded, easily = _whose_hand(g, touch)
    if g.body[owner].offence == 1 and height < hands.shoulder:
        bids = _who_lays_out(g, touch)
        if bids >= 0:
            g.players[bids].tried = 1
            return BLOCKED, bids, x, y
    return _hold(g, owner, easily, crowded, z), owner, x, y


def _may_try(g: Any, q: int) -> bool:
    """Not the thrower, not twice, not before the throw is noticed; the mark had its say before."""
    play, me = g.play, g.players[q]
    if me.tried == 1 or q == play.thrower or play.now < me.notice_at - 1e-9:
        return False
    return not (q == play.mark and play.now - play.release_at < g.laws.hands.mark_recovers)


def _enters(sx: float, sy: float, mx: float, my: float, reach: float) -> float:
    """Share of the tick at which the disc comes within `reach`, large if it does not."""
    if reach <= 0.0:
        return _FAR
    a, b, c = mx * mx + my * my, sx * mx + sy * my, sx * sx + sy * sy - reach * reach
    if c <= 0.0:
        return 0.0
    root = b * b - a * c
    if a <= 1e-9 or root < 0.0:
        return _FAR
    at = (-b - math.sqrt(root)) / a
    return at if 0.0 <= at <= 1.0 else _FAR


def _nearest(sx: float, sy: float, mx: float, my: float) -> float:
    """Share of the tick at which the disc is nearest."""
    square = mx * mx + my * my
    return min(max(-(sx * mx + sy * my) / max(square, 1e-12), 0.0), 1.0)


def _whose_hand(g: Any, touch: Touch) -> tuple[int, bool, bool]:
    """The player whose hand is first, whether a rival's hand was there too, and how easily."""
    other, gap, overtaken = _rival(g, touch)
    if other >= 0 and uniform(g.luck, _CONTEST, g.play.throws, touch.who) < overtaken:
        return other, gap < _CROWDED, gap <= 1e-9
    return touch.who, gap < _CROWDED, touch.easily


def _way_to(g: Any, q: int, touch: Touch) -> tuple[float, float]:
    """The way from a player to the disc at the moment of a touch, m."""
    me, before = g.players[q], g.before[q]
    dx = touch.x - (before[0] + (me.x - before[0]) * touch.at)
    dy = touch.y - (before[1] + (me.y - before[1]) * touch.at)
    return dx, dy


def _rival(g: Any, touch: Touch) -> tuple[int, float, float]:
    """The other side's hand nearest to the disc or -1, how far off (m), the chance that it is first."""
    hands, who = g.laws.hands, touch.who
    own, other, other_gap = 0.0, -1, _FAR
    for q in range(g.ground.players):
        rival = g.body[q].offence != g.body[who].offence
        if not (q == who or (rival and _may_try(g, q))):
            continue
        body = g.body[q]
        dx, dy = _way_to(g, q, touch)
        reach = easy_reach(touch.height, body.arm, body.standing_reach, hands.shoulder)
        gap = math.sqrt(dx * dx + dy * dy) - reach
        if q == who:
            own = gap
        elif gap < hands.rival_room and gap < other_gap:
            other, other_gap = q, gap
    if other < 0:
        return -1, _FAR, 0.0
    late = min(max((other_gap - own) / hands.closing, -1.0), 1.0)
    return other, other_gap, logistic(-late * math.pi / (math.sqrt(3.0) * hands.timing))


def _who_lays_out(g: Any, touch: Touch) -> int:
    """The defender who lays out and gets a hand on a disc that is about to be caught, or -1."""
    for q in range(g.ground.attackers, g.ground.players):
        bid = _bid(g, q, touch)
        if bid > 0.0 and uniform(g.luck, _CONTEST, g.play.throws, _LAYS_OUT + q) < bid:
            return q
    return -1


def _bid(g: Any, q: int, touch: Touch) -> float:
    """The chance that a defender lays out and gets a hand on a disc that is about to be caught.

    Somebody at a run who goes for the disc, with the place of the catch between the easy reach and
    the full one. The nearer to the easy reach, the surer.
    """
    hands, me, body = g.laws.hands, g.players[q], g.body[q]
    if me.plays == 0 or not _may_try(g, q) or body.dive <= 0.0:
        return 0.0
    if me.vx * me.vx + me.vy * me.vy < hands.run_up**2:
        return 0.0
    dx, dy = _way_to(g, q, touch)
    short = math.sqrt(dx * dx + dy * dy) - body.arm
    if dx * me.vx + dy * me.vy <= 0.0 or not 0.0 < short < body.dive:
        return 0.0
    return (1.0 - short / body.dive) * hands.touch_stretched


def _hold(g: Any, owner: int, easily: bool, crowded: bool, height: float) -> int:
    """Whether the hand that is first catches, drops, blocks, or only waves at the disc."""
    g.players[owner].tried = 1
    draw = uniform(g.luck, _CATCH, g.play.throws, owner)
    held = draw < _grip(g, owner, easily, crowded, height)
    if g.body[owner].offence == 0:
        return BLOCKED if held else NOBODY
    if held:
        return CAUGHT
    # fingers on a disc at full stretch: the throw was off, and it flies on
    return DROPPED if easily else NOBODY


def _grip(g: Any, owner: int, easily: bool, crowded: bool, height: float) -> float:
    """The chance that a hand of the offence holds the disc; of one of the defence, that it stops it."""
    hands, body = g.laws.hands, g.body[owner]
    if body.offence == 0:
        return hands.touch if easily else hands.touch_stretched
    holds = body.hands if easily else body.stretch_hands
    if crowded:
        holds *= 1.0 - hands.crowd
    low = min(max((1.0 - height) / 0.5, 0.0), 1.0)
    return holds * (1.0 - hands.knee * low)


def chance_caught(g: Any, touch: Touch) -> float:
    """The chance that a disc which hands have come to is caught inside the field, coins not yet thrown.

    Whose hand is first, who lays out, whether the hand holds: the chances of all three together.
    The sum of these over the moments at which hands come to one throw has the catch's own chance as
    its average (each is the chance of a catch then, given that it came to this), and less variance
    than the catch. It may exceed 1 where a hand waved at the disc before.
    """
    other, gap, overtaken = _rival(g, touch)
    crowded = other >= 0 and gap < _CROWDED
    caught = (1.0 - overtaken) * _chance_of(g, touch.who, touch.easily, crowded, touch)
    if other >= 0:
        caught += overtaken * _chance_of(g, other, gap <= 1e-9, crowded, touch)
    return caught


def _chance_of(g: Any, owner: int, easily: bool, crowded: bool, touch: Touch) -> float:
    """The chance that it is caught by the player whose hand is first."""
    me = g.players[owner]
    if g.body[owner].offence == 0 or not inside(g, me.x, me.y):
        return 0.0
    caught = _grip(g, owner, easily, crowded, touch.z)
    if touch.height < g.laws.hands.shoulder:
        for q in range(g.ground.attackers, g.ground.players):
            caught *= 1.0 - _bid(g, q, touch)
    return caught
