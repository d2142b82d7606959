"""How a player runs: the sprint law with a cap on acceleration, advanced exactly.

A player intends a velocity u, |u| <= vmax, and follows it with a lag::

    dv/dt = (u - v) / tau,   |dv/dt| <= grip.

From rest straight ahead, with grip not binding, this is the sprint law v = vmax (1 - exp(-t/tau))
of Furusawa, Hill & Parkinson 1927 and Keller 1973. For constant u the velocity moves along the
straight line from v0 to u: the gap W = |u - v| shrinks at the rate grip while W > grip tau, and
exponentially afterwards. So the state at any time has a closed form and ticks leave no trace.

Everywhere: pos, vel, u and target are (..., 2) in m and m/s; vmax (m/s), tau (s), grip (m/s2) and
times (s) are (...); leading axes broadcast. Nothing is summed over an axis, no player's steps
depend on another's, and x enters sign-symmetrically: results are the same bit for bit in any batch,
and mirrored bit for bit for mirrored inputs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_TINY = 1e-300
# s; `meet` plans no shorter run.
_SOON = 0.05

# How `arrive` stops; the player's own habits, so judgement. The share of the braking that the legs
# allow at a standstill, the time in which a wrong velocity is put right, and the speed allowed for
# each metre still to go once near (slower than the correction, hence no overshoot).
_BRAKE_SHARE = 0.8
_RESPONSE = 0.2
_NEAR_RATE = 2.5


def advance(
    pos: ArrayLike, vel: ArrayLike, u: ArrayLike, tau: ArrayLike, grip: ArrayLike, dt: ArrayLike
) -> tuple[Floats, Floats]:
    """Position and velocity after `dt` of intending `u`; exact, grip cap included.

    Parameters
    ----------
    pos, vel, u : (..., 2) m, m/s, m/s.
    tau, grip, dt : (...) s, m/s2, s.

    Returns
    -------
    pos, vel : (..., 2) new arrays.
    """
    pos, vel, u = np.asarray(pos), np.asarray(vel), np.asarray(u)
    tau, grip, dt = np.asarray(tau), np.asarray(grip), np.asarray(dt)
    wx = u[..., 0] - vel[..., 0]
    wy = u[..., 1] - vel[..., 1]
    gap = np.sqrt(wx * wx + wy * wy)
    left, lost = _gap_share(gap, tau, grip, dt)
    shape = (*np.broadcast_shapes(left.shape, pos.shape[:-1]), 2)
    # in the memory layout of what came in
    new_pos = np.empty_like(pos, dtype=float) if pos.shape == shape else np.empty(shape)
    new_vel = np.empty_like(new_pos)
    for axis, w in ((0, wx), (1, wy)):
        new_vel[..., axis] = u[..., axis] - w * left
        new_pos[..., axis] = pos[..., axis] + (u[..., axis] * dt - w * lost)
    return new_pos, new_vel


def _gap_share(gap: Floats, tau: Floats, grip: Floats, t: Floats) -> tuple[Floats, Floats]:
    """What is left of the gap u - v0 after t, and its integral over t: shares 1 and s.

    v(t) = u - (u - v0) left,   x(t) = x0 + u t - (u - v0) lost.
    """
    capped = np.maximum(gap - grip * tau, 0.0) / grip
    capped = np.minimum(capped, t)
    used = grip * capped / np.maximum(gap, _TINY)
    fade = np.exp((capped - t) / tau)
    rest = 1.0 - used
    return rest * fade, capped * (1.0 - 0.5 * used) + rest * tau * (1.0 - fade)


def limit(u: ArrayLike, vmax: ArrayLike) -> Floats:
    """`u` (..., 2) scaled down, where it is longer than `vmax` (...), to that length."""
    u = np.asarray(u, dtype=float)
    x, y = u[..., 0], u[..., 1]
    scale = np.minimum(1.0, np.asarray(vmax) / np.maximum(np.sqrt(x * x + y * y), _TINY))
    return u * scale[..., None]


def meet(
    pos: ArrayLike,
    vel: ArrayLike,
    target: ArrayLike,
    due: ArrayLike,
    vmax: ArrayLike,
    tau: ArrayLike,
) -> Floats:
    """The intent (..., 2), m/s, which has the player at a point just when `due` (...) s are over.

    The constant intent u for which x0 + u t - (u - v0) m is the target, m = tau (1 - exp(-t/tau)),
    cut down to `vmax`: whoever is early slows down, whoever is late runs flat out. The cap on
    acceleration is left to the next look, a tick later.

    Parameters
    ----------
    pos, vel, target : (..., 2) m, m/s, m.
    due, vmax, tau : (...) s, m/s, s. A time below 0.05 s counts as that.
    """
    pos, vel, target = np.asarray(pos), np.asarray(vel), np.asarray(target)
    tau, t = np.asarray(tau), np.maximum(due, _SOON)
    lag = tau * (1.0 - np.exp(-t / tau))
    return limit((target - pos - vel * lag[..., None]) / (t - lag)[..., None], vmax)


def arrive(
    pos: ArrayLike,
    vel: ArrayLike,
    target: ArrayLike,
    vmax: ArrayLike,
    tau: ArrayLike,
    grip: ArrayLike,
    speed: ArrayLike = np.inf,
) -> Floats:
    """The intent (..., 2), m/s, which takes the player to a point and stands there.

    The wanted velocity points at the target with the smaller of `speed` and the speed from which
    the player can still brake; the intent is what produces its rate of change plus a correction of
    the present velocity within about 0.2 s. Meant to be asked again each tick of 0.1 s or less.

    Parameters
    ----------
    pos, vel, target : (..., 2) m, m/s, m.
    vmax, tau, grip : (...) m/s, s, m/s2.
    speed : (...) m/s, how fast to go at most; vmax when left out.
    """
    pos, vel, target = np.asarray(pos), np.asarray(vel), np.asarray(target)
    vmax, tau, grip = np.asarray(vmax), np.asarray(tau), np.asarray(grip)
    dx, dy = target[..., 0] - pos[..., 0], target[..., 1] - pos[..., 1]
    vx, vy = vel[..., 0], vel[..., 1]
    far = np.sqrt(dx * dx + dy * dy)
    to_x, to_y = dx / np.maximum(far, _TINY), dy / np.maximum(far, _TINY)
    brake = _BRAKE_SHARE * np.minimum(grip, vmax / tau)
    near = brake / (_NEAR_RATE * _NEAR_RATE)
    braked = np.sqrt(2.0 * brake * np.maximum(far - 0.5 * near, 0.5 * near))
    allowed = np.where(far < near, _NEAR_RATE * far, braked)
    top = np.minimum(vmax, speed)
    wanted = np.minimum(allowed, top)
    # How the wanted velocity changes as the player moves: its length with the way still to go, its
    # direction with the motion across it.
    easing = np.where(allowed < top, np.where(far < near, _NEAR_RATE, brake / braked), 0.0)
    turning = wanted / np.maximum(far, _TINY)
    closing = vx * to_x + vy * to_y
    change = closing * (turning - easing)
    ax = (wanted * to_x - vx) / _RESPONSE - turning * vx + change * to_x
    ay = (wanted * to_y - vy) / _RESPONSE - turning * vy + change * to_y
    pull = tau * np.minimum(1.0, grip / np.maximum(np.sqrt(ax * ax + ay * ay), _TINY))
    return limit(np.stack((vx + pull * ax, vy + pull * ay), axis=-1), vmax)
