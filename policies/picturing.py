"""How a thrower pictures a pass: the run carried on, the defender who comes along, the disc's way."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from policies.covers import TURNS_FROM, taken_for_a_run
from policies.cuts.base import NOT_YET
from policies.moves import CLOSE_UP, SETTLE, length
from sim import motion
from sim.bodies import beside, give_way, passing
from sim.elementary import log
from sim.flight.lookup import duration
from sim.intent import BACKHAND
from sim.lowlevel import blank
from sim.rulebook import ask
from sim.view import imagine, put

EARLY = 0.1  # s that a runner is led to be there before the disc: to wait is easier than to gain
SPARE = 1.0  # share of the own error that a long throw is kept short by, for the same reason
STRIDE = 0.1  # s between two looks ahead along a run
FASTEST = 25.0  # m/s; no disc covers its distance faster
FURTHEST = 50  # looks ahead: 5 s
UNSEEN = 20  # strides at most of a run that has not been seen yet
ROWS = FURTHEST + UNSEEN + 1
TOUCH = 0.6  # m between two bodies that touch
BODY = 0.85  # m from a defender at which a runner is taken to have to go round
SEES_AHEAD = 0.5  # s before that at which the runner turns
AT_ARMS = 1.2  # m to which a defender who is further off is taken to come back
NEAR = 4.0  # m within which a defender is with somebody
TURNS = 7.0  # rad/s at which a defender is taken to turn the hips
BACKWARD = 0.6  # share of top speed that a defender is taken to make backward
CUTS_OFF = 0.6  # s ahead on the run seen that a defender is taken to make for
CLOSING_IN = 0.6  # s of its lag that a defender is taken to lose in a second of watching a run
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
        aside_x, aside_y = kept_aside(wx - x, wy - y)
    noticed = wind_up + r.late
    nx, ny, nvx, nvy, mx, my, mvx, mvy = x, y, vx, vy, wx, wy, wvx, wvy
    # strides in which the unseen part is run
    pieces = min(max(math.ceil(ran / STRIDE - 1e-6), 1), UNSEEN)
    begun = running_for(body, length(vx, vy)) + ran  # s that the run has lasted
    run = blank(ROWS, 5)
    run[0, 0], run[0, 1], run[0, 2], run[0, 3], run[0, 4] = -ran, x, y, vx, vy
    flight, cue, t, stride, before, was_x, was_y = math.nan, NOT_YET, -ran, ran, -1e9, x, y
    for k in range(FURTHEST + pieces):
        stride = ran / pieces if k < pieces else STRIDE
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
        run[k + 1, 0], run[k + 1, 1], run[k + 1, 2] = t, x, y
        run[k + 1, 3], run[k + 1, 4] = vx, vy
        if t <= noticed + 0.5 * STRIDE:
            if shadow >= 0:
                its = me.body[shadow]
                lag = lag_after(its, begun + t - 0.5 * stride)
                mans = seen_late(run, k + 1, t - 0.5 * stride, lag, begun)
                wx, wy, wvx, wvy, face = comes_along(
                    its, wx, wy, wvx, wvy, face, mans[0], mans[1], mans[2], mans[3], aside_x,
                    aside_y, stride,
                )  # fmt: skip
                vx, vy, wvx, wvy = give_way(wx - x, wy - y, vx, vy, wvx, wvy, TOUCH, stride)
            nx, ny, nvx, nvy, mx, my, mvx, mvy = x, y, vx, vy, wx, wy, wvx, wvy
    return Picture(x, y, flight, cue, nx, ny, nvx, nvy, shadow, mx, my, mvx, mvy)


def kept_aside(x: float, y: float) -> tuple[float, float]:
    """The place beside a man (m) that a defender there is taken to keep; from a poach back to the man."""
    far = length(x, y)
    if far <= NEAR:
        return x, y
    return x * AT_ARMS / far, y * AT_ARMS / far


def running_for(body: Any, speed: float) -> float:
    """Seconds since somebody who runs so fast stood still, by the sprint law."""
    return -body.sprint_time * log(max(1.0 - speed / body.top_speed, 0.05))


def lag_after(body: Any, begun: float) -> float:
    """How far behind the present a defender is taken to see a run that began `begun` s ago, s."""
    if begun < body.reaction:
        return body.reaction
    return max(body.tracking, body.reaction - CLOSING_IN * (begun - body.reaction))


def seen_late(
    run: Any, last: int, t: float, lag: float, begun: float
) -> tuple[float, float, float, float]:
    """A runner at the moment `t` as somebody sees him who is `lag` s behind: carried on as he was.

    `run` holds the run so far in rows of time (s), place (m) and velocity (m/s), `last` the latest of
    them; before its first row the runner got going at an even rate, `begun` s before the time 0.
    """
    w = t - lag
    k = last
    while k > 0 and run[k, 0] > w:
        k -= 1
    start = run[k]
    if w < start[0]:
        ago = start[0] - w
        rose = max(start[0] + begun, 1e-6)  # s in which the runner got going
        ago = min(ago, rose)
        left = 1.0 - ago / rose
        vx, vy = left * start[3], left * start[4]
        x, y = start[1] - 0.5 * ago * (start[3] + vx), start[2] - 0.5 * ago * (start[4] + vy)
    else:
        later = run[min(k + 1, last)]
        part = (w - start[0]) / max(later[0] - start[0], 1e-6)
        x, y = start[1] + part * (later[1] - start[1]), start[2] + part * (later[2] - start[2])
        vx, vy = start[3] + part * (later[3] - start[3]), start[4] + part * (later[4] - start[4])
    return x + vx * lag, y + vy * lag, vx, vy


def comes_along(
    body: Any,
    x: float,
    y: float,
    vx: float,
    vy: float,
    face: float,
    man_x: float,
    man_y: float,
    man_vx: float,
    man_vy: float,
    aside_x: float,
    aside_y: float,
    stride: float,
) -> tuple[float, float, float, float, float]:
    """A defender `stride` s later (m, m/s, hips) who keeps so far aside of a man as he sees him.

    A run is cut off ahead. Whoever has to run turns the hips first, and is slower until they are round.
    """
    top, gain = body.top_speed, body.sprint_time / SETTLE
    speed = length(man_vx, man_vy)
    ahead = CUTS_OFF * taken_for_a_run(speed)
    to_x, to_y = man_x + ahead * man_vx + aside_x, man_y + ahead * man_vy + aside_y
    ux, uy = motion.limit(man_vx + CLOSE_UP * (to_x - x), man_vy + CLOSE_UP * (to_y - y), top)
    if speed > TURNS_FROM:
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
        aside_x, aside_y = kept_aside(wx - it.x, wy - it.y)
        t = 0.0
        while t < noticed - 0.5 * STRIDE:
            t += STRIDE
            wx, wy, wvx, wvy, face = comes_along(
                me.body[shadow], wx, wy, wvx, wvy, face, it.x + it.vx * t, it.y + it.vy * t, it.vx,
                it.vy, aside_x, aside_y, STRIDE,
            )  # fmt: skip
    return Picture(
        x, y, flight, 0.0, it.x + it.vx * noticed, it.y + it.vy * noticed, it.vx, it.vy, shadow, wx,
        wy, wvx, wvy,
    )  # fmt: skip
