"""Who can be where by when: soonest arrivals by the law of `sim.motion`, and the run that does it.

Conventions as there: nothing is summed over an axis, no player's steps depend on another's, and x
enters sign-symmetrically.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_TINY = 1e-300
# Players a block: small enough for the temporaries of a block to stay in the processor's cache.
_BLOCK = 8192
# Steps which every arrival takes; those which are still more than _NEAR (m) short take more.
_STEPS = 3
_MORE_STEPS = 40
_NEAR = 0.02


def reach_time(
    pos: ArrayLike,
    vel: ArrayLike,
    target: ArrayLike,
    vmax: ArrayLike,
    tau: ArrayLike,
    grip: ArrayLike,
    radius: ArrayLike = 0.0,
) -> Floats:
    """Soonest time at which the player can be within `radius` of a point, at any speed.

    Without the cap the points that can be reached by t form a disc (Fujimura & Sugihara 2005) with
    centre x0 + v0 m and radius vmax (t - m), m = tau (1 - exp(-t/tau)). With the cap the same holds
    for each constant full-speed intent, m being the longer lag of `_gap_share` for the gap between
    that intent and v0. The first t at which the point lies in the set is approached from below by
    steps which a bound on the second derivative keeps short of it.

    Stated error. A point that is missed by less than 2 cm counts as reached. A player who re-aims
    by `chase` every 0.05 s is, at the time returned, within 1.2 cm of the promise in 99 % and
    within 5 cm in 99.8 % of states of any speed, direction and distance; the others only graze the
    point in passing. With a radius of an arm's length another straight intent may be up to 0.05 s
    sooner, by less than 0.01 s in 9 of 10 states. Intents that vary on the way gain about 1 %.

    Parameters
    ----------
    pos, vel, target : (..., 2) m, m/s, m. |vel| <= vmax.
    vmax, tau, grip : (...) m/s, s, m/s2.
    radius : (...) m, how far from the body's centre is near enough (arms).

    Returns
    -------
    (...) s; 0 where the point is already within `radius`.
    """
    return _first_moment(pos, vel, target, vmax, tau, grip, radius)[0]


def chase(
    pos: ArrayLike,
    vel: ArrayLike,
    target: ArrayLike,
    vmax: ArrayLike,
    tau: ArrayLike,
    grip: ArrayLike,
    radius: ArrayLike = 0.0,
) -> Floats:
    """The full-speed intent (..., 2), m/s, which brings the player to a point soonest.

    Constant intent on this is what `reach_time` assumes; it is zero on the point itself.
    """
    _, x, y, far = _first_moment(pos, vel, target, vmax, tau, grip, radius)
    scale = np.asarray(vmax) / np.maximum(far, _TINY)
    return np.stack((x * scale, y * scale), axis=-1)


def may_reach(
    pos: ArrayLike,
    vel: ArrayLike,
    target: ArrayLike,
    time: ArrayLike,
    vmax: ArrayLike,
    tau: ArrayLike,
    radius: ArrayLike = 0.0,
) -> NDArray[np.bool_]:
    """Whether a point lies in the set that can be reached by `time`, grip left aside, (...) bool.

    The set is a disc with centre x0 + v0 m and radius vmax (t - m), m = tau (1 - exp(-t/tau))
    (Fujimura & Sugihara 2005). A cap on acceleration only makes it smaller: a quick sieve before
    `reach_time`, whose error of 2 cm is allowed for.

    Parameters
    ----------
    pos, vel, target : (..., 2) m, m/s, m.
    time, vmax, tau, radius : (...) s, m/s, s, m.
    """
    pos, vel, target = np.asarray(pos), np.asarray(vel), np.asarray(target)
    t = np.maximum(time, 0.0)
    lag = np.asarray(tau) * (1.0 - np.exp(-t / tau))
    dx = target[..., 0] - pos[..., 0] - vel[..., 0] * lag
    dy = target[..., 1] - pos[..., 1] - vel[..., 1] * lag
    reach = np.asarray(vmax) * (t - lag) + np.asarray(radius) + _NEAR
    inside: NDArray[np.bool_] = dx * dx + dy * dy < reach * reach
    return inside


def _first_moment(
    pos: ArrayLike,
    vel: ArrayLike,
    target: ArrayLike,
    vmax: ArrayLike,
    tau: ArrayLike,
    grip: ArrayLike,
    radius: ArrayLike,
) -> tuple[Floats, Floats, Floats, Floats]:
    """Time of arrival, the way from the set's centre to the target then (x, y), its length.

    f(t) = vmax (t - m) + radius - |d - v0 m| rises through 0 at the arrival. Its curvature is at
    most (vmax + |v0|) |m''|, and |m''| only falls with t, so the step to the root of the parabola
    with the present value and slope and that curvature never jumps over a first arrival.
    """
    pos, vel, target = np.asarray(pos), np.asarray(vel), np.asarray(target)
    given = (
        target[..., 0] - pos[..., 0],
        target[..., 1] - pos[..., 1],
        vel[..., 0],
        vel[..., 1],
        *(np.asarray(a, dtype=float) for a in (vmax, tau, grip, radius)),
    )
    shape = np.broadcast_shapes(*(a.shape for a in given))
    columns = [np.broadcast_to(a, shape).reshape(-1) for a in given]
    size = columns[0].size
    state = [np.empty(size) for _ in range(6)]
    for start in range(0, size, _BLOCK):
        part = slice(start, start + _BLOCK)
        block = _constants(*(column[part] for column in columns))
        now = _start(block)
        for _ in range(_STEPS):
            now = _step(block, *now)
        for row, values in zip(state, now, strict=True):
            row[part] = values
    left = np.flatnonzero(state[5] > _NEAR)
    block = _constants(*(column[left] for column in columns))
    now = tuple(row[left] for row in state)
    for _ in range(_MORE_STEPS):
        if not left.size:
            break
        now = _step(block, *now)
        for row, values in zip(state, now, strict=True):
            row[left] = values
        going = now[5] > _NEAR
        left = left[going]
        block = tuple(column[going] for column in block)
        now = tuple(values[going] for values in now)
    t, x, y, far = (row.reshape(shape) for row in state[:4])
    return t, x, y, far


def _constants(
    dx: Floats,
    dy: Floats,
    vx: Floats,
    vy: Floats,
    vmax: Floats,
    tau: Floats,
    grip: Floats,
    radius: Floats,
) -> tuple[Floats, ...]:
    """What the steps toward an arrival need and do not change."""
    speed2 = vx * vx + vy * vy
    top = vmax + np.sqrt(speed2)
    return dx, dy, vx, vy, vmax, tau, grip, radius, vmax * vmax + speed2, top, grip * tau


def _start(block: tuple[Floats, ...]) -> tuple[Floats, ...]:
    """A moment before the arrival, from bounds on the distance made good along the first way.

    With w the part of v0 along it, that distance is at most w t + a t^2/2, a being the smaller of
    (vmax - w)/tau and grip; and at most vmax t - (vmax - w) m, cap or no cap, where
    m >= tau (1 - 1/(1 + x + x^2/2)) with x = t/tau.
    """
    dx, dy, vx, vy, vmax, tau, grip, radius, *_ = block
    _, _, far, along = _way(dx, dy, vx, vy, np.zeros_like(dx))
    short = np.maximum(far - radius, 0.0)
    lack = np.maximum(vmax - along, 0.0)
    t = np.maximum(_parabola(short, along, np.minimum(lack / tau, grip)), short / vmax)
    x = t / tau
    x += 0.5 * x * x
    t = np.maximum(t, (short + lack * tau * (x / (1.0 + x))) / vmax)
    return t, dx, dy, far, along, short


def _step(
    block: tuple[Floats, ...],
    t: Floats,
    cx: Floats,
    cy: Floats,
    far: Floats,
    along: Floats,
    short: Floats,
) -> tuple[Floats, ...]:
    """One step toward the first arrival.

    The state is the time, the way from the set's centre to the target (x, y), its length, the part
    of v0 along it, and the distance which was missing before the last move of the time.
    """
    dx, dy, vx, vy, vmax, tau, grip, radius, square, top, knee = block
    gap = np.sqrt(np.maximum(square - 2.0 * vmax * along, _TINY))
    capped = np.maximum(gap - knee, 0.0)
    capped /= grip
    np.minimum(capped, t, out=capped)
    fade = capped - t
    fade /= tau
    np.exp(fade, out=fade)
    steep = grip / gap
    used = steep * capped
    rest = 1.0 - used
    slope = rest * fade
    # lag = capped (1 - used / 2) + rest tau (1 - fade), with the products above.
    used *= -0.5
    used += 1.0
    capped *= used
    lag = rest - slope
    lag *= tau
    lag += capped
    _, _, far, along = _way(dx, dy, vx, vy, lag)
    short = t - lag
    short *= vmax
    np.subtract(far, short, out=short)
    short -= radius
    np.maximum(short, 0.0, out=short)
    # The slope of f at t, and the bound on its curvature from t on.
    rise = along - vmax
    rise *= slope
    rise += vmax
    bend = slope / tau
    np.minimum(bend, steep, out=bend)
    bend *= top
    move = _parabola(short, rise, bend)
    # The gap of the next step needs the way as it will be then.
    slope *= move
    lag += slope
    cx, cy, far, along = _way(dx, dy, vx, vy, lag)
    move += t
    return move, cx, cy, far, along, short


def _way(
    dx: Floats, dy: Floats, vx: Floats, vy: Floats, lag: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """The way from the set's centre to the target, its length, and the part of v0 along it."""
    cx = dx - vx * lag
    cy = dy - vy * lag
    far = np.sqrt(cx * cx + cy * cy)
    along = cx * vx
    along += cy * vy
    along /= np.maximum(far, _TINY)
    return cx, cy, far, along


def _parabola(short: Floats, rise: Floats, bend: Floats) -> Floats:
    """The s >= 0 at which rise s + bend s^2 / 2 makes up for `short`; 0 where nothing is short.

    Two forms of the same root, each without cancellation for its sign of `rise`.
    """
    root = bend * short
    root *= 2.0
    root += rise * rise
    np.sqrt(root, out=root)
    root += np.abs(rise)
    down = rise < 0.0
    top = np.where(down, root, 2.0 * short)
    top /= np.maximum(np.where(down, bend, root), _TINY)
    return np.where(short > 0.0, top, 0.0)
