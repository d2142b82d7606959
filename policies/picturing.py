"""How a thrower pictures a pass: the run carried on, the defender who comes along, the disc's way."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from policies.calls import DELAY, HEARD
from policies.covers import TURNS_FROM, taken_for_a_run
from policies.cuts.base import NOT_YET
from policies.moves import CLOSE_UP, SETTLE, length
from sim import motion
from sim.bodies import beside, give_way, passing
from sim.elementary import log
from sim.flight.lookup import duration
from sim.intent import BACKHAND
from sim.lowlevel import blank
from sim.motion import Moving, carried, moving
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
    cut at its release; then the receiver (`run`), the defender who comes along (`shadow`, -1 without
    one) and where that one is (`cover`) at the moment both have noticed the throw.
    """

    x: float
    y: float
    flight: float
    cue: float
    run: Moving
    shadow: int
    cover: Moving


def in_the_air(it: Picture, flight: float) -> Picture:
    """The same pass with another time in the air, s."""
    return Picture(it.x, it.y, flight, it.cue, it.run, it.shadow, it.cover)


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


def foresee(me: Any, team: Any, r: Any, shape: int, soonest: float) -> Picture:
    """Carry the cutter called forward along the cut until a disc thrown in a shape meets the runner.

    What was seen is old by the own lag: a run that has begun is carried on from there by the cut, as
    everybody knows how a runner gets going. The nearest defender comes along, as far to the side as
    then. A run whose cue is further away than `soonest` (s, negative) is not carried on.
    """
    look, who, wind_up = me.call, me.call_who, me.release_in
    since, delay = me.since_call - HEARD, team.sheet[look, DELAY]
    body, other = me.body[who], team.other
    ran = min(me.lag, max(since, 0.0))  # s of the run that have not been seen yet
    run = carried(me.seen[who], -ran)
    imagine(me, other, who)
    shadow = nearest_cover(me, who)
    cover, aside, face = Moving(0.0, 0.0, 0.0, 0.0), (0.0, 0.0), 0.0
    if shadow >= 0:
        cover, face = carried(me.seen[shadow], -ran), me.seen[shadow].face
        aside = kept_aside(cover.x - run.x, cover.y - run.y)
    noticed = wind_up + r.late
    run_then, cover_then = run, cover
    # strides in which the unseen part is run
    pieces = min(max(math.ceil(ran / STRIDE - 1e-6), 1), UNSEEN)
    begun = running_for(body, length(run.vx, run.vy)) + ran  # s that the run has lasted
    past = blank(ROWS, 5)
    keep(past, 0, -ran, run)
    flight, cue, t, before, was = math.nan, NOT_YET, -ran, -1e9, run
    for k in range(FURTHEST + pieces):
        stride = ran / pieces if k < pieces else STRIDE
        put(other, run.x, run.y, run.vx, run.vy, since + t - delay)
        intent = ask(team, look, other)
        if t < wind_up + 0.5 * STRIDE:
            cue = intent.cue + (wind_up - t)
        else:
            if cue <= soonest:
                break
            far = length(run.x - me.x, run.y - me.y)
            if (t - wind_up) * FASTEST >= far:
                early = max(EARLY, SPARE * error_at(me, far, 1.0) / body.top_speed)
                over = t - wind_up + early - air_time(me, team.table, shape, run.x, run.y)
                if over >= 0.0:
                    back = over / (over - before)  # share of the last stride that was too much
                    x, y = run.x - back * (run.x - was.x), run.y - back * (run.y - was.y)
                    run = Moving(x, y, run.vx, run.vy)
                    flight = t - back * stride - wind_up + early
                    break
                before = over
            was = run
        if cue < -3.0 and t >= wind_up:
            cue = NOT_YET
            break
        ux, uy = intent.ux, intent.uy
        if shadow >= 0 and t <= noticed:
            dx, dy = cover.x - run.x, cover.y - run.y
            when, across = passing(dx, dy, ux - cover.vx, uy - cover.vy, BODY, SEES_AHEAD)
            if when < SEES_AHEAD:
                ux, uy = beside(ux, uy, when, across, BODY, me.open)
        ux, uy = motion.limit(ux, uy, body.top_speed)
        run = motion.advance(run, body, ux, uy, stride)
        t += stride
        keep(past, k + 1, t, run)
        if t <= noticed + 0.5 * STRIDE:
            if shadow >= 0:
                its = me.body[shadow]
                lag = lag_after(its, begun + t - 0.5 * stride)
                man = seen_late(past, k + 1, t - 0.5 * stride, lag, begun)
                cover, face = comes_along(its, cover, face, man, aside, stride)
                run, cover = give_way(run, cover, TOUCH, stride)
            run_then, cover_then = run, cover
    return Picture(run.x, run.y, flight, cue, run_then, shadow, cover_then)


def keep(past: Any, row: int, t: float, it: Moving) -> None:
    """Write the time (s), the place and the velocity of a runner into a row of `past`."""
    past[row, 0], past[row, 1], past[row, 2], past[row, 3], past[row, 4] = (
        t,
        it.x,
        it.y,
        it.vx,
        it.vy,
    )


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


def seen_late(past: Any, last: int, t: float, lag: float, begun: float) -> Moving:
    """A runner at the moment `t` as somebody sees him who is `lag` s behind: carried on as he was.

    `past` holds the run so far in rows of time (s), place (m) and velocity (m/s), `last` the latest of
    them; before its first row the runner got going at an even rate, `begun` s before the time 0.
    """
    w = t - lag
    k = last
    while k > 0 and past[k, 0] > w:
        k -= 1
    start = past[k]
    if w < start[0]:
        ago = start[0] - w
        rose = max(start[0] + begun, 1e-6)  # s in which the runner got going
        ago = min(ago, rose)
        left = 1.0 - ago / rose
        vx, vy = left * start[3], left * start[4]
        x, y = start[1] - 0.5 * ago * (start[3] + vx), start[2] - 0.5 * ago * (start[4] + vy)
    else:
        later = past[min(k + 1, last)]
        part = (w - start[0]) / max(later[0] - start[0], 1e-6)
        x, y = start[1] + part * (later[1] - start[1]), start[2] + part * (later[2] - start[2])
        vx, vy = start[3] + part * (later[3] - start[3]), start[4] + part * (later[4] - start[4])
    return Moving(x + vx * lag, y + vy * lag, vx, vy)


def comes_along(
    body: Any, it: Moving, face: float, man: Moving, aside: tuple[float, float], stride: float
) -> tuple[Moving, float]:
    """A defender `stride` s later, and the hips, who keeps so far aside (m) of a man as he sees him.

    A run is cut off ahead. Whoever has to run turns the hips first, and is slower until they are round.
    """
    top, gain = body.top_speed, body.sprint_time / SETTLE
    speed = length(man.vx, man.vy)
    ahead = CUTS_OFF * taken_for_a_run(speed)
    to_x, to_y = man.x + ahead * man.vx + aside[0], man.y + ahead * man.vy + aside[1]
    ux, uy = man.vx + CLOSE_UP * (to_x - it.x), man.vy + CLOSE_UP * (to_y - it.y)
    ux, uy = motion.limit(ux, uy, top)
    if speed > TURNS_FROM:
        face = motion.turned(face, motion.heading(ux, uy, face), TURNS, stride)
    ux, uy = it.vx + (ux - it.vx) * gain, it.vy + (uy - it.vy) * gain
    ux, uy = motion.limit(ux, uy, motion.speed_with_hips(ux, uy, face, top, BACKWARD))
    return motion.advance(it, body, ux, uy, stride), face


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


def meet_as_seen(me: Any, team: Any, r: Any, who: int, shape: int) -> Picture:
    """Somebody not called, who stops on seeing the throw."""
    it, wind_up = me.seen[who], me.release_in
    x, y, flight = it.x, it.y, 0.0
    for _ in range(3):
        flight = air_time(me, team.table, shape, x, y)
        runs_on = min(wind_up + flight, STOPS)
        x, y = it.x + it.vx * runs_on, it.y + it.vy * runs_on
    noticed = wind_up + r.late
    shadow, cover = nearest_cover(me, who), Moving(0.0, 0.0, 0.0, 0.0)
    if shadow >= 0:
        cover, face = moving(me.seen[shadow]), me.seen[shadow].face
        aside, t = kept_aside(cover.x - it.x, cover.y - it.y), 0.0
        while t < noticed - 0.5 * STRIDE:
            t += STRIDE
            man = carried(it, t)
            cover, face = comes_along(me.body[shadow], cover, face, man, aside, STRIDE)
    return Picture(x, y, flight, 0.0, carried(it, noticed), shadow, cover)
