"""Who can be where by when: soonest arrivals by the law of `sim.motion`, and the run that does it.

One player at a time, `it` and `legs` as there; x enters sign-symmetrically.
"""

from __future__ import annotations

import math
from typing import Any

from sim.elementary import exp
from sim.motion import Legs, Moving, gap_share, moving

_TINY = 1e-300
_STEPS = 40
_NEAR = 0.01  # m; a point missed by less counts as reached


def reach_time(
    it: Any, legs: Any, to_x: float, to_y: float, radius: float, most: float = math.inf
) -> float:
    """Soonest time, s, at which the player can be within `radius` m of a point, at any speed.

    Without the cap the points that can be reached by t form a disc (Fujimura & Sugihara 2005) with
    centre x0 + v0 m and radius vmax (t - m), m = tau (1 - exp(-t/tau)). With the cap the same holds
    for each constant full-speed intent, m being the longer lag of `gap_share` for the gap between
    that intent and v0. The first t at which the point lies in the set is approached from below.

    Stated error. A point that is missed by less than 1 cm counts as reached. A player who re-aims
    by `chase` every 0.05 s is, at the time returned, within 1.2 cm of the promise in 99 % and
    within 5 cm in 99.8 % of states of any speed, direction and distance; the others only graze the
    point in passing. With a radius of an arm's length another straight intent may be up to 0.05 s
    sooner, by less than 0.01 s in 9 of 10 states. Intents that vary on the way gain about 1 %.
    |v| <= vmax. Returns 0 where the point is already within `radius`, `most` where it would be more.
    """
    return first_moment(moving(it), legs, to_x, to_y, radius, most)[0]


def chase(it: Any, legs: Any, to_x: float, to_y: float) -> tuple[float, float]:
    """The full-speed intent (ux, uy), m/s, which brings the player to a point soonest.

    Constant intent on this is what `reach_time` assumes; it is zero on the point itself.
    """
    _, way_x, way_y, far = first_moment(moving(it), legs, to_x, to_y, 0.0, math.inf)
    scale = legs.top_speed / max(far, _TINY)
    return way_x * scale, way_y * scale


def may_reach(it: Any, legs: Any, to_x: float, to_y: float, time: float, radius: float) -> bool:
    """Whether a point lies in the set that can be reached by `time` s, grip left aside.

    A quick sieve before `reach_time`, whose error of 2 cm is allowed for. Without the cap a player
    carries less far past a point close at hand: fewer than 1 in 100 of those who can be there are
    hidden, all within two metres or so.
    """
    t = max(time, 0.0)
    lag = legs.sprint_time * (1.0 - exp(-t / legs.sprint_time))
    dx, dy = to_x - it.x - it.vx * lag, to_y - it.y - it.vy * lag
    reach = legs.top_speed * (t - lag) + radius + _NEAR
    return dx * dx + dy * dy < reach * reach


def first_moment(
    it: Moving, legs: Any, to_x: float, to_y: float, radius: float, most: float
) -> tuple[float, float, float, float]:
    """Time of arrival, `most` if it is not sooner; the way from the set's centre to the target then
    (x, y), and its length.

    f(t) = vmax (t - m) + radius - |d - v0 m| rises through 0 at the arrival. Its curvature is at
    most (vmax + |v0|) |m''|, and |m''| only falls with t, so the step to the root of the parabola
    with the present value and slope and that curvature never jumps over a first arrival.
    """
    vx, vy = it.vx, it.vy
    vmax, tau, grip = legs.top_speed, legs.sprint_time, legs.grip
    dx, dy = to_x - it.x, to_y - it.y
    speed2 = vx * vx + vy * vy
    square = vmax * vmax + speed2
    top = vmax + math.sqrt(speed2)
    far = math.sqrt(dx * dx + dy * dy)
    along = (vx * dx + vy * dy) / max(far, _TINY)
    short = max(far - radius, 0.0)
    # A moment before the arrival: with w the part of v0 along the way, the distance made good is at
    # most w t + a t^2/2, a being the smaller of (vmax - w)/tau and grip; and at most
    # vmax t - (vmax - w) m, where m >= tau (1 - 1/(1 + q + q^2/2)) with q = t/tau.
    if short <= 0.0:
        return 0.0, dx, dy, far
    lack = max(vmax - along, 0.0)
    t = max(_parabola(short, along, min(lack / tau, grip)), short / vmax)
    q = t / tau
    q += 0.5 * q * q
    t = max(t, (short + lack * tau * (q / (1.0 + q))) / vmax)
    cx, cy = dx, dy
    for _ in range(_STEPS):
        if t >= most:
            return most, cx, cy, far
        gap = math.sqrt(max(square - 2.0 * vmax * along, _TINY))
        slope, lag = gap_share(gap, tau, grip, t)
        cx, cy = dx - vx * lag, dy - vy * lag
        far = math.sqrt(cx * cx + cy * cy)
        along = (vx * cx + vy * cy) / max(far, _TINY)
        short = far - vmax * (t - lag) - radius
        if short <= _NEAR:
            break
        rise = vmax + (along - vmax) * slope
        move = _parabola(short, rise, min(slope / tau, grip / gap) * top)
        t += move
        # the gap of the next step needs the way as it will be then
        lag += slope * move
        cx, cy = dx - vx * lag, dy - vy * lag
        far = math.sqrt(cx * cx + cy * cy)
        along = (vx * cx + vy * cy) / max(far, _TINY)
    return min(t, most), cx, cy, far


def _parabola(short: float, rise: float, bend: float) -> float:
    """The first t at which rise t + bend t^2 / 2 makes up for `short` > 0.

    Two forms of the same root, each without cancellation for its sign of `rise`.
    """
    root = math.sqrt(rise * rise + 2.0 * bend * short)
    if rise > 0.0:
        return 2.0 * short / max(rise + root, _TINY)
    return (root - rise) / max(bend, _TINY)


def arrivals(player: Any, xs: Any, ys: Any, out: Any) -> None:
    """Write the soonest arrivals of one player over a grid into `out` (len(ys), len(xs)), s.

    `player` holds x, y, vx, vy, vmax, tau, grip.
    """
    it = Moving(player[0], player[1], player[2], player[3])
    legs = Legs(player[4], player[5], player[6])
    for i in range(len(ys)):
        for k in range(len(xs)):
            out[i, k] = reach_time(it, legs, xs[k], ys[i], 0.0)
