"""How a thrower pictures a pass: the run carried on, the defender who comes along, the disc's way."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from policies.cuts.base import NOT_YET
from policies.moves import CLOSE_UP, SETTLE, length
from sim import motion
from sim.bodies import beside, passing
from sim.flight.lookup import duration
from sim.intent import BACKHAND
from sim.rulebook import ask
from sim.view import imagine, put

EARLY = 0.1  # s that a runner is led to be there before the disc: to wait is easier than to gain
SPARE = 1.0  # share of the own error that a long throw is kept short by, for the same reason
STRIDE = 0.1  # s between two looks ahead along a run
FASTEST = 25.0  # m/s; no disc covers its distance faster
FURTHEST = 50  # looks ahead: 5 s
BODY = 0.85  # m from a defender at which a runner is taken to have to go round
SEES_AHEAD = 0.5  # s before that at which the runner turns
AT_ARMS = 1.2  # m to which the defender of somebody who stands is taken to close up
NEAR = 4.0  # m within which a defender is with somebody
STOPS = 0.45  # s that somebody not called is taken to go on as seen


class Picture(NamedTuple):
    """A pass as the thrower pictures it, from what is seen.

    Where it is caught (x, y, m), s in the air (nan: disc and runner do not meet) and the cue of the
    cut at its release; then the receiver (`run_*`), the defender who comes along (`shadow`, -1
    without one) and where that one is (`with_*`) at the moment both have noticed the throw, m, m/s.
    """

    x: float
    y: float
    flight: float
    cue: float
    run_x: float
    run_y: float
    run_vx: float
    run_vy: float
    shadow: int
    with_x: float
    with_y: float
    with_vx: float
    with_vy: float


def in_the_air(it: Picture, flight: float) -> Picture:
    """The same pass with another time in the air, s."""
    return Picture(
        it.x, it.y, flight, it.cue, it.run_x, it.run_y, it.run_vx, it.run_vy, it.shadow, it.with_x,
        it.with_y, it.with_vx, it.with_vy,
    )  # fmt: skip


def air_time(me: Any, table: Any, shape: int, x: float, y: float) -> float:
    """Seconds that a disc takes to a place, in the wind as felt."""
    dx, dy = x - me.x, y - me.y
    far = max(length(dx, dy), 1e-6)
    along = (me.wind_x * dx + me.wind_y * dy) / far
    across = (me.wind_x * dy - me.wind_y * dx) / far
    return duration(table, BACKHAND, shape, max(far, 1.0), along, across)


def error_at(me: Any, far: float, price: float) -> float:
    """The error of an own throw at the catch that the thrower reckons with, m."""
    body = me.body[me.slot]
    aim, pitch = body.aim_error, body.loft_error
    off = far * price * math.sqrt(aim * aim + pitch * pitch + 0.6 * body.pace_error**2)
    wind = length(me.wind_x, me.wind_y)
    return off * (1.0 + 0.06 * wind + 0.3 * body.wind_feel * wind / 5.0)


def foresee(
    me: Any,
    team: Any,
    r: Any,
    look: int,
    who: int,
    since: float,
    delay: float,
    wind_up: float,
    soonest: float,
    shape: int,
) -> Picture:
    """Carry a cutter forward along the called cut until a disc thrown in a shape meets the runner.

    What was seen is old by the own lag: a run that has begun is carried on from there by the cut, as
    everybody knows how a runner gets going. The nearest defender comes along, as far to the side as
    then. A run whose cue is further away than `soonest` (s, negative) is not carried on.
    """
    body = me.body[who]
    it = me.seen[who]
    ran = min(me.lag, max(since, 0.0))  # s of the run that have not been seen yet
    x, y, vx, vy = it.x - it.vx * ran, it.y - it.vy * ran, it.vx, it.vy
    other = team.other
    imagine(me, other, who)
    shadow = nearest_cover(me, who)
    wx, wy, wvx, wvy, aside_x, aside_y = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if shadow >= 0:
        d = me.seen[shadow]
        wx, wy, wvx, wvy = d.x - d.vx * ran, d.y - d.vy * ran, d.vx, d.vy
        aside_x, aside_y = wx - x, wy - y
        if length(aside_x, aside_y) > NEAR:  # from a poach back to the man
            less = AT_ARMS / length(aside_x, aside_y)
            aside_x, aside_y = less * aside_x, less * aside_y
    noticed = wind_up + r.late
    nx, ny, nvx, nvy, mx, my, mvx, mvy = x, y, vx, vy, wx, wy, wvx, wvy
    flight, cue, t, stride, before, was_x, was_y = math.nan, NOT_YET, -ran, ran, -1e9, x, y
    for k in range(FURTHEST):
        if k > 0:
            stride = STRIDE
        put(other, x, y, vx, vy, since + t - delay)
        intent = ask(team, look, other)
        if t < wind_up + 0.5 * STRIDE:
            cue = intent.cue + (wind_up - t)
        else:
            if cue <= soonest:
                break
            if (t - wind_up) * FASTEST >= length(x - me.x, y - me.y):
                early = max(
                    EARLY, SPARE * error_at(me, length(x - me.x, y - me.y), 1.0) / body.top_speed
                )
                over = t - wind_up + early - air_time(me, team.table, shape, x, y)
                if over >= 0.0:
                    back = over / (over - before)  # share of the last stride that was too much
                    x, y = x - back * (x - was_x), y - back * (y - was_y)
                    flight = t - back * stride - wind_up + early
                    break
                before = over
            was_x, was_y = x, y
        if cue < -3.0 and t >= wind_up:
            cue = NOT_YET
            break
        ux, uy = motion.limit(intent.ux, intent.uy, body.top_speed)
        if shadow >= 0 and t <= noticed:
            when, across = passing(wx - x, wy - y, ux - wvx, uy - wvy, BODY, SEES_AHEAD)
            if when < SEES_AHEAD:
                ux, uy = beside(ux, uy, when, across, BODY, me.open)
        x, y, vx, vy = motion.advance(x, y, vx, vy, ux, uy, body.sprint_time, body.grip, stride)
        t += stride
        if t <= noticed + 0.5 * STRIDE:
            if shadow >= 0:
                wx, wy, wvx, wvy = comes_along(
                    me.body[shadow], wx, wy, wvx, wvy, x + aside_x, y + aside_y, vx, vy, stride
                )
            nx, ny, nvx, nvy, mx, my, mvx, mvy = x, y, vx, vy, wx, wy, wvx, wvy
    return Picture(x, y, flight, cue, nx, ny, nvx, nvy, shadow, mx, my, mvx, mvy)


def comes_along(
    body: Any,
    x: float,
    y: float,
    vx: float,
    vy: float,
    to_x: float,
    to_y: float,
    to_vx: float,
    to_vy: float,
    stride: float,
) -> tuple[float, float, float, float]:
    """A defender `stride` s later (m, m/s) who keeps with a place that moves at `to_vx`, `to_vy`."""
    top, gain = body.top_speed, body.sprint_time / SETTLE
    ux, uy = motion.limit(to_vx + CLOSE_UP * (to_x - x), to_vy + CLOSE_UP * (to_y - y), top)
    ux, uy = motion.limit(vx + (ux - vx) * gain, vy + (uy - vy) * gain, top)
    return motion.advance(x, y, vx, vy, ux, uy, body.sprint_time, body.grip, stride)


def nearest_cover(me: Any, who: int) -> int:
    """The defender seen near an attacker, else who was told to guard this one; -1 without any."""
    found = nearest_defender(me, me.seen[who].x, me.seen[who].y, NEAR)
    for q in range(me.attackers, me.everybody):
        if found < 0 and me.body[q].guards == who and q != me.mark:
            found = q
    return found


def nearest_defender(me: Any, x: float, y: float, within: float) -> int:
    """The defender seen nearest to a place; -1 with nobody within so many metres."""
    found, best = -1, within
    for q in range(me.attackers, me.everybody):
        far = length(me.seen[q].x - x, me.seen[q].y - y)
        if far < best:
            found, best = q, far
    return found


def meet_as_seen(me: Any, team: Any, r: Any, who: int, shape: int, wind_up: float) -> Picture:
    """Somebody not called, who stops on seeing the throw."""
    it = me.seen[who]
    x, y, flight = it.x, it.y, 0.0
    for _ in range(3):
        flight = air_time(me, team.table, shape, x, y)
        carried = min(wind_up + flight, STOPS)
        x, y = it.x + it.vx * carried, it.y + it.vy * carried
    noticed = wind_up + r.late
    shadow, wx, wy, wvx, wvy = nearest_cover(me, who), 0.0, 0.0, 0.0, 0.0
    if shadow >= 0:
        d = me.seen[shadow]
        wx, wy, wvx, wvy = d.x, d.y, d.vx, d.vy
        aside_x, aside_y = wx - it.x, wy - it.y
        less = min(AT_ARMS / max(length(aside_x, aside_y), 0.01), 1.0)  # closes up
        t = 0.0
        while t < noticed - 0.5 * STRIDE:
            t += STRIDE
            wx, wy, wvx, wvy = comes_along(
                me.body[shadow], wx, wy, wvx, wvy, it.x + it.vx * t + less * aside_x,
                it.y + it.vy * t + less * aside_y, it.vx, it.vy, STRIDE,
            )  # fmt: skip
    return Picture(
        x, y, flight, 0.0, it.x + it.vx * noticed, it.y + it.vy * noticed, it.vx, it.vy, shadow, wx,
        wy, wvx, wvy,
    )  # fmt: skip
