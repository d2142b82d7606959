"""How a player runs: the sprint law with a cap on acceleration, advanced exactly.

A player intends a velocity u, |u| <= vmax, and follows it with a lag::

    dv/dt = (u - v) / tau,   |dv/dt| <= grip.

From rest straight ahead, with grip not binding, this is the sprint law v = vmax (1 - exp(-t/tau))
of Furusawa, Hill & Parkinson 1927 and Keller 1973. For constant u the velocity moves along the
straight line from v0 to u: the gap W = |u - v| shrinks at the rate grip while W > grip tau, and
exponentially afterwards. So the state at any time has a closed form and ticks leave no trace.

Everywhere m, m/s, m/s2, s and rad; one player at a time. `it` is a `Moving` or any record with its
fields, `legs` are `Legs` or any record with theirs, such as a `sim.ability.Ability`. x enters
sign-symmetrically: mirrored inputs give the mirrored result to the bit.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from sim.elementary import bearing, cos, exp, sin, turn_between

_TINY = 1e-300
_SOON = 0.05  # s; `meet` plans no shorter run

# How `arrive` stops; the player's own habits, so judgement. The share of the braking that the legs
# allow at a standstill, the time in which a wrong velocity is put right, and the speed allowed for
# each metre still to go once near (slower than the correction, hence no overshoot).
_BRAKE_SHARE = 0.8
_RESPONSE = 0.2
_NEAR_RATE = 2.5


class Moving(NamedTuple):
    """Somebody on the move: place, m, and velocity, m/s."""

    x: float
    y: float
    vx: float
    vy: float


class Legs(NamedTuple):
    """How somebody runs: top speed, m/s, time constant of the sprint law, s, and grip, m/s2."""

    top_speed: float
    sprint_time: float
    grip: float


def moving(it: Any) -> Moving:
    """The place and velocity in a record."""
    return Moving(it.x, it.y, it.vx, it.vy)


def carried(it: Any, seconds: float) -> Moving:
    """Somebody carried on at the present velocity, or back."""
    return Moving(it.x + it.vx * seconds, it.y + it.vy * seconds, it.vx, it.vy)


def advance(it: Any, legs: Any, ux: float, uy: float, dt: float) -> Moving:
    """Somebody after `dt` s of intending (ux, uy); exact, cap included."""
    wx, wy = ux - it.vx, uy - it.vy
    gap = math.sqrt(wx * wx + wy * wy)
    left, lost = gap_share(gap, legs.sprint_time, legs.grip, dt)
    x, y = it.x + (ux * dt - wx * lost), it.y + (uy * dt - wy * lost)
    return Moving(x, y, ux - wx * left, uy - wy * left)


def gap_share(gap: float, tau: float, grip: float, t: float) -> tuple[float, float]:
    """What is left of the gap u - v0 after t, and its integral over t: shares 1 and s.

    v(t) = u - (u - v0) left,   x(t) = x0 + u t - (u - v0) lost.
    """
    over = gap - grip * tau
    if over <= 0.0:  # the cap does not bind: the sprint law alone
        fade = exp(-t / tau)
        return fade, tau * (1.0 - fade)
    capped = min(over / grip, t)
    used = grip * capped / max(gap, _TINY)
    fade = exp((capped - t) / tau)
    rest = 1.0 - used
    return rest * fade, capped * (1.0 - 0.5 * used) + rest * tau * (1.0 - fade)


def limit(ux: float, uy: float, most: float) -> tuple[float, float]:
    """(ux, uy), scaled down to the length `most` if it is longer."""
    size = math.sqrt(ux * ux + uy * uy)
    if size <= most:
        return ux, uy
    return ux * (most / size), uy * (most / size)


def meet(it: Any, legs: Any, to_x: float, to_y: float, due: float) -> tuple[float, float]:
    """The intent (ux, uy) which has the player at a point just when `due` s are over.

    The constant intent u for which x0 + u t - (u - v0) m is the target, m = tau (1 - exp(-t/tau)),
    cut down to the top speed: whoever is early slows down, whoever is late runs flat out. The cap on
    acceleration is left to the next look. A time below 0.05 s counts as that.
    """
    t = max(due, _SOON)
    lag = legs.sprint_time * (1.0 - exp(-t / legs.sprint_time))
    dx, dy = to_x - it.x - it.vx * lag, to_y - it.y - it.vy * lag
    return limit(dx / (t - lag), dy / (t - lag), legs.top_speed)


def arrive(it: Any, legs: Any, to_x: float, to_y: float, speed: float) -> tuple[float, float]:
    """The intent (ux, uy) which takes the player to a point and stands there.

    The wanted velocity points at the target with the smaller of `speed` and the speed from which
    the player can still brake; the intent is what produces its rate of change plus a correction of
    the present velocity within about 0.2 s. Meant to be asked again every 0.1 s or sooner.
    """
    vmax, tau, grip = legs.top_speed, legs.sprint_time, legs.grip
    dx, dy = to_x - it.x, to_y - it.y
    far = math.sqrt(dx * dx + dy * dy)
    to_x, to_y = dx / max(far, _TINY), dy / max(far, _TINY)
    brake = _BRAKE_SHARE * min(grip, vmax / tau)
    near = brake / (_NEAR_RATE * _NEAR_RATE)
    top = min(vmax, speed)
    if far < near:
        allowed, easing = _NEAR_RATE * far, _NEAR_RATE
    else:
        allowed = math.sqrt(2.0 * brake * max(far - 0.5 * near, 0.5 * near))
        easing = brake / allowed
    if allowed >= top:
        allowed, easing = top, 0.0
    # How the wanted velocity changes as the player moves: its length with the way still to go, its
    # direction with the motion across it.
    turning = allowed / max(far, _TINY)
    closing = it.vx * to_x + it.vy * to_y
    change = closing * (turning - easing)
    ax = (allowed * to_x - it.vx) / _RESPONSE - turning * it.vx + change * to_x
    ay = (allowed * to_y - it.vy) / _RESPONSE - turning * it.vy + change * to_y
    pull = tau * min(1.0, grip / max(math.sqrt(ax * ax + ay * ay), _TINY))
    return limit(it.vx + pull * ax, it.vy + pull * ay, vmax)


def turned(face: float, toward: float, rate: float, dt: float) -> float:
    """The bearing of the hips, rad, after `dt` s of turning toward a bearing at up to `rate`."""
    turn = turn_between(face, toward)
    most = rate * dt
    if abs(turn) <= most:
        return toward
    return face + (most if turn > 0.0 else -most)


def speed_with_hips(ux: float, uy: float, face: float, vmax: float, backward: float) -> float:
    """The speed, m/s, that hips turned to `face` allow in a direction: less the more it is behind.

    Full speed up to 45 degrees off, `backward` times that straight behind, linear in the cosine.
    """
    size = math.sqrt(ux * ux + uy * uy)
    if size < 1e-9:
        return vmax
    along = (ux * sin(face) + uy * cos(face)) / size
    if along >= 0.7071067811865476:
        return vmax
    share = (0.7071067811865476 - along) / 1.7071067811865475
    return vmax * (1.0 - (1.0 - backward) * share)


def heading(ux: float, uy: float, face: float) -> float:
    """The bearing of a velocity, or `face` for one too small to have any."""
    if ux * ux + uy * uy < 1e-6:
        return face
    return bearing(ux, uy)
