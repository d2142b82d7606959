"""Equations of motion of a spinning disc in a uniform wind.

State of one flight: position r, velocity v, the disc's upper normal n and its angular momentum L,
twelve numbers, in axes x to the right of the line of the throw, y along it, z up. The spin about
the normal is s = L.n / Ia, the rest of the angular velocity w = (L - (L.n) n) / Id, so that

    dr/dt = v        m dv/dt = lift + drag + weight        dn/dt = w x n        dL/dt = moment

hold without any angles or turning frames: precession and nutation (wobble) both follow from the
last line. With u = v - wind, u_n = u.n and the angle of attack a = atan2(-u_n, |u - u_n n|), lift
is q A CL(a) square to u toward n and drag q A CD(a) against u. With f forward in the plane of the
disc, e = f x n to the right and k the time that makes rates plain numbers, the moment is

    q A d [ (CM(a) + k CMq w.e) e + (-k CRr s + k CRp w.f) f + k CNr s n ],       q = rho u^2 / 2.

The minus before CRr is there because the published rate is about an axis pointing down; n is up.

`steady` leaves out the wobble, whose period is far shorter than a flight: L turns with n, so that
Ia s dn/dt is the part of the moment square to n. Its states have s in place of L.

Sources: Hummel 2003, MSc thesis, UC Davis (form of forces and moments, from memory); Potts &
Crowther 2002, AIAA 2002-3150; otherwise Euler's equations of an axisymmetric body.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.flight.coefficients import Coefficients
from sim.flight.disc import Disc

Array = NDArray[np.float64]


class _Air(NamedTuple):
    """Air meeting N discs: unit normal n, f and e, angle of attack, q A d, acceleration."""

    n: Array
    f: Array
    e: Array
    angle: Array
    scale: Array
    acceleration: Array


def _dot(a: Array, b: Array) -> Array:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Array, b: Array) -> Array:
    return a[[1, 2, 0]] * b[[2, 0, 1]] - a[[2, 0, 1]] * b[[1, 2, 0]]


def _meet(state: Array, wind: tuple[Any, Any], disc: Disc, coefficients: Coefficients) -> _Air:
    n, u = state[6:9], state[3:6].copy()
    n = n / np.sqrt(_dot(n, n))
    u[0] -= wind[0]
    u[1] -= wind[1]
    un = _dot(u, n)
    p = u - un * n
    # The small numbers keep still air and a disc square to the stream from dividing by zero.
    plane = np.sqrt(_dot(p, p)) + 1e-12
    air2 = _dot(u, u) + 1e-24
    air = np.sqrt(air2)
    angle = np.arctan2(-un, plane)
    press = 0.5 * disc.air_density * disc.area * air2
    # Lift acts along (n - (u_n / u^2) u) / cos a, and cos a is plane / air.
    lift = press * coefficients.lift(angle) / plane
    drag = press * coefficients.drag(angle) / air
    acceleration = lift * air / disc.mass * n - (lift * un / air + drag) / disc.mass * u
    acceleration[2] -= disc.gravity
    f = p / plane
    return _Air(n, f, _cross(f, n), angle, press * disc.diameter, acceleration)


def full(state: Array, wind: tuple[Any, Any], disc: Disc, coefficients: Coefficients) -> Array:
    """Return d(state)/dt of N flights (12, N); wind is (to the right, along) in m/s."""
    air = _meet(state, wind, disc, coefficients)
    along_n = _dot(state[9:], air.n)
    spin = along_n / disc.axial_inertia
    w = (state[9:] - along_n * air.n) / disc.diametral_inertia
    k = coefficients.rate_time
    rolling, pitching = _dot(w, air.f), _dot(w, air.e)
    roll = k * (coefficients.roll_damping * rolling - coefficients.roll_by_spin * spin)
    pitch = coefficients.moment(air.angle) + k * coefficients.pitch_damping * pitching
    turn = k * coefficients.spin_damping * spin
    moment = air.scale * (pitch * air.e + roll * air.f + turn * air.n)
    return np.concatenate([state[3:6], air.acceleration, _cross(w, air.n), moment])


def steady(state: Array, wind: tuple[Any, Any], disc: Disc, coefficients: Coefficients) -> Array:
    """Return d(state)/dt of N flights without wobble (10, N): r, v, n and the spin.

    dn/dt = p e + g f makes w = p f - g e, so that the damping enters two equations for p and g,
    with h = q A d / (Ia s):  p = h (CM - k CMq g),  g = h k (CRp p - CRr s).
    """
    air = _meet(state, wind, disc, coefficients)
    spin, k = state[9], coefficients.rate_time
    h = air.scale / (disc.axial_inertia * spin)
    by_spin = h * k * coefficients.roll_by_spin * spin
    on_pitch, on_roll = h * k * coefficients.pitch_damping, h * k * coefficients.roll_damping
    p = (h * coefficients.moment(air.angle) + on_pitch * by_spin) / (1 + on_pitch * on_roll)
    g = on_roll * p - by_spin
    slowing = air.scale * k * coefficients.spin_damping * spin / disc.axial_inertia
    return np.concatenate([state[3:6], air.acceleration, p * air.e + g * air.f, slowing[None]])
