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
TURNS = 7.0  # rad/s at which a defender is taken to turn the hips
BACKWARD = 0.6  # share of top speed that a defender is taken to make backward
RUNS = 3.0  # m/s of the man at which a defender turns and runs
SEES_LATE = 0.35  # s that a defender's idea of a run is taken to lag behind it
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
    wx, wy, wvx, wvy, aside_x, aside_y, face = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if shadow >= 0:
        d = me.seen[shadow]
        face = d.face
        wx, wy, wvx, wvy = d.x - d.vx * ran, d.y - d.vy * ran, d.vx, d.vy
        aside_x, aside_y = wx - x, wy - y
        if length(aside_x, aside_y) > NEAR:  # from a poach back to the man
            less = AT_ARMS / length(aside_x, aside_y)
            aside_x, aside_y = less * aside_x, less * aside_y
    noticed = wind_up + r.late
    nx, ny, nvx, nvy, mx, my, mvx, mvy = x, y, vx, vy, wx, wy, wvx, wvy
    # the run as the defender takes it to be: at its start little of it has been seen
    told = max(1.0 - SEES_LATE / max(since - ran, STRIDE), 0.0)
    bvx, bvy = told * vx, told * vy
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
        ux, uy = intent.ux, intent.uy
        if shadow >= 0 and t <= noticed:
            when, across = passing(wx - x, wy - y, ux - wvx, uy - wvy, BODY, SEES_AHEAD)
            if when < SEES_AHEAD:
                ux, uy = beside(ux, uy, when, across, BODY, me.open)
        ux, uy = motion.limit(ux, uy, body.top_speed)
        x, y, vx, vy = motion.advance(x, y, vx, vy, ux, uy, body.sprint_time, body.grip, stride)
        t += stride
        if t <= noticed + 0.5 * STRIDE:
            if shadow >= 0:
                told = min(stride / SEES_LATE, 1.0)
                bvx, bvy = bvx + told * (vx - bvx), bvy + told * (vy - bvy)
                wx, wy, wvx, wvy, face = comes_along(
                    me.body[shadow], wx, wy, wvx, wvy, face,
                    x + aside_x - 0.5 * SEES_LATE * (vx - bvx),
                    y + aside_y - 0.5 * SEES_LATE * (vy - bvy), bvx, bvy, stride,
                )  # fmt: skip
            nx, ny, nvx, nvy, mx, my, mvx, mvy = x, y, vx, vy, wx, wy, wvx, wvy
    return Picture(x, y, flight, cue, nx, ny, nvx, nvy, shadow, mx, my, mvx, mvy)


def comes_along(
    body: Any,
    x: float,
    y: float,
    vx: float,
    vy: float,
    face: float,
    to_x: float,
    to_y: float,
    to_vx: float,
    to_vy: float,
    stride: float,
) -> tuple[float, float, float, float, float]:
    """A defender `stride` s later (m, m/s, hips) who keeps with a place that moves at `to_vx`, `to_vy`.

    Whoever has to run turns the hips first, and is slower until they are round.
    """
    top, gain = body.top_speed, body.sprint_time / SETTLE
    ux, uy = motion.limit(to_vx + CLOSE_UP * (to_x - x), to_vy + CLOSE_UP * (to_y - y), top)
    if length(to_vx, to_vy) > RUNS:
        face = motion.turned(face, motion.heading(ux, uy, face), TURNS, stride)
    ux, uy = vx + (ux - vx) * gain, vy + (uy - vy) * gain
    ux, uy = motion.limit(ux, uy, motion.speed_with_hips(ux, uy, face, top, BACKWARD))
    x, y, vx, vy = motion.advance(x, y, vx, vy, ux, uy, body.sprint_time, body.grip, stride)
    return x, y, vx, vy, face


def nearest_cover(me: Any, who: int) -> int:
    """The defender who keeps with an attacker: the own one if near, else whoever is; -1 without any.

    Somebody of a zone keeps with nobody.
    """
    it, own = me.seen[who], -1
    found, best = -1, NEAR
    for q in range(me.attackers, me.everybody):
        guards = me.body[q].guards
        if guards < 0:
            continue
        far = length(me.seen[q].x - it.x, me.seen[q].y - it.y)
        if guards == who and q != me.mark:
            own = q
            if far < NEAR:
                return q
        if far < best:
            found, best = q, far
    return found if found >= 0 else own


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
        wx, wy, wvx, wvy, face = d.x, d.y, d.vx, d.vy, d.face
        aside_x, aside_y = wx - it.x, wy - it.y
        less = min(AT_ARMS / max(length(aside_x, aside_y), 0.01), 1.0)  # closes up
        t = 0.0
        while t < noticed - 0.5 * STRIDE:
            t += STRIDE
            wx, wy, wvx, wvy, face = comes_along(
                me.body[shadow], wx, wy, wvx, wvy, face, it.x + it.vx * t + less * aside_x,
                it.y + it.vy * t + less * aside_y, it.vx, it.vy, STRIDE,
            )  # fmt: skip
    return Picture(
        x, y, flight, 0.0, it.x + it.vx * noticed, it.y + it.vy * noticed, it.vx, it.vy, shadow, wx,
        wy, wvx, wvy,
    )  # fmt: skip
