"""Rigid-body flight of a spinning disc in a uniform wind, integrated by scipy.

State of one flight: position r, velocity v, the disc's upper normal n and its angular momentum L,
twelve numbers, in axes x to the right of the line of the throw, y along it, z up. The spin about
the normal is s = L.n / Ia and the rest of the angular velocity is w = (L - (L.n) n) / Id, so that

    dr/dt = v        m dv/dt = lift + drag + weight
    dn/dt = w x n      dL/dt = moment

hold without any angles or frames: precession, nutation (wobble) and the exchange of both follow
from the last line. With u = v - wind, u_n = u.n and the angle of attack a = atan2(-u_n, |u - u_n n|):
lift is q A CL(a) square to u toward n, drag q A CD(a) against u; with f the forward direction in the
plane of the disc and e = f x n pointing right the moment is

    q A d [ (CM(a) + k CMq w.e) e  +  (-k CRr s + k CRp w.f) f  +  k CNr s n ],    q = rho u^2 / 2.

The minus before CRr is there because the published r is about an axis pointing down, n points up.

Sources: Hummel 2003, MSc thesis, UC Davis (forces and moments, from memory); Potts & Crowther,
AIAA 2002-3150; the vector form is Euler's equation of an axisymmetric body.

Seen from above a right-hander's backhand turns clockwise (spin < 0), the forehand the other way.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from sim.flight.coefficients import Coefficients
from sim.flight.disc import Disc

Array = NDArray[np.float64]

SPIN_SIGN = {"backhand": -1.0, "forehand": 1.0}


@dataclasses.dataclass(frozen=True)
class Release:
    """How N discs leave the hand; every field is an array (N,) or a number.

    Attributes
    ----------
    speed : m/s over the ground.
    pitch : rad, climb of the velocity, which is also the pitch of the disc when nose is 0.
    bank : rad, tilt about the velocity, positive with the right edge down.
    heading : rad, from the line of the throw, positive to the right.
    spin : rad/s about the upper normal; negative is clockwise from above (right-hand backhand).
    nose : rad, pitch of the disc above its own velocity, the angle of attack in still air.
    wobble : rad/s, angular velocity about the velocity's direction at release.
    height : m above the ground.
    """

    speed: Any
    pitch: Any
    bank: Any = 0.0
    heading: Any = 0.0
    spin: Any = 0.0
    nose: Any = 0.0
    wobble: Any = 0.0
    height: Any = 1.0

    def mirrored(self) -> Release:
        """Return the same throw by the other hand: left and right exchanged."""
        return dataclasses.replace(
            self,
            bank=-np.asarray(self.bank),
            heading=-np.asarray(self.heading),
            spin=-np.asarray(self.spin),
            wobble=-np.asarray(self.wobble),
        )

    def state(self, disc: Disc) -> Array:
        """Return the states at release, (12, N)."""
        fields = [np.atleast_1d(np.asarray(v, float)) for v in dataclasses.astuple(self)]
        speed, pitch, bank, heading, spin, nose, wobble, height = np.broadcast_arrays(*fields)
        sh, ch, sp, cp = np.sin(heading), np.cos(heading), np.sin(pitch), np.cos(pitch)
        sb, cb, sn, cn = np.sin(bank), np.cos(bank), np.sin(nose), np.cos(nose)
        ahead = (sh * cp, ch * cp, sp)
        level = (-sh * sp * cb + ch * sb, -ch * sp * cb - sh * sb, cp * cb)
        normal = tuple(cn * b - sn * a for a, b in zip(ahead, level, strict=True))
        axis = tuple(sn * b + cn * a for a, b in zip(ahead, level, strict=True))
        zero = np.zeros_like(speed)
        momentum = (
            disc.axial_inertia * spin * n + disc.diametral_inertia * wobble * a
            for n, a in zip(normal, axis, strict=True)
        )
        velocity = (speed * a for a in ahead)
        return np.array([zero, zero, height, *velocity, *normal, *momentum])


def derivative(
    state: Array, wind: tuple[Any, Any], disc: Disc, coefficients: Coefficients
) -> Array:
    """Return d(state)/dt for states (12, N); wind is (to the right, along) in m/s."""
    vx, vy, vz, nx, ny, nz, lx, ly, lz = state[3:]
    size = np.sqrt(nx * nx + ny * ny + nz * nz)
    nx, ny, nz = nx / size, ny / size, nz / size
    ux, uy, uz = vx - wind[0], vy - wind[1], vz
    un = ux * nx + uy * ny + uz * nz
    px, py, pz = ux - un * nx, uy - un * ny, uz - un * nz
    plane = np.sqrt(px * px + py * py + pz * pz) + 1e-12
    air2 = ux * ux + uy * uy + uz * uz + 1e-24
    air = np.sqrt(air2)
    angle = np.arctan2(-un, plane)
    press = 0.5 * disc.air_density * disc.area * air2
    lift = press * coefficients.lift(angle) / plane
    drag = press * coefficients.drag(angle) / air
    on_n, on_u = lift * air, -lift * un / air - drag
    ax = (on_n * nx + on_u * ux) / disc.mass
    ay = (on_n * ny + on_u * uy) / disc.mass
    az = (on_n * nz + on_u * uz) / disc.mass - disc.gravity
    ln = lx * nx + ly * ny + lz * nz
    spin = ln / disc.axial_inertia
    wx = (lx - ln * nx) / disc.diametral_inertia
    wy = (ly - ln * ny) / disc.diametral_inertia
    wz = (lz - ln * nz) / disc.diametral_inertia
    fx, fy, fz = px / plane, py / plane, pz / plane
    ex, ey, ez = fy * nz - fz * ny, fz * nx - fx * nz, fx * ny - fy * nx
    k, scale = coefficients.rate_time, press * disc.diameter
    along_f, along_e = wx * fx + wy * fy + wz * fz, wx * ex + wy * ey + wz * ez
    roll = k * (coefficients.roll_damping * along_f - coefficients.roll_by_spin * spin)
    pitch = coefficients.moment(angle) + k * coefficients.pitch_damping * along_e
    turn = k * coefficients.spin_damping * spin
    rate = np.empty_like(state)
    rate[0], rate[1], rate[2] = vx, vy, vz
    rate[3], rate[4], rate[5] = ax, ay, az
    rate[6] = wy * nz - wz * ny
    rate[7] = wz * nx - wx * nz
    rate[8] = wx * ny - wy * nx
    rate[9] = scale * (pitch * ex + roll * fx + turn * nx)
    rate[10] = scale * (pitch * ey + roll * fy + turn * ny)
    rate[11] = scale * (pitch * ez + roll * fz + turn * nz)
    return rate


@dataclasses.dataclass(frozen=True)
class Flight:
    """N flights sampled at common times.

    Attributes
    ----------
    times : (T,) seconds, evenly spaced from release.
    states : (T, 12, N); a flight goes on below the ground, see `landing`.
    """

    times: Array
    states: Array

    def at(self, t: Array) -> Array:
        """Positions (3, N) at times t (N,), by cubics through positions and velocities."""
        step = self.times[1] - self.times[0]
        place = np.clip(np.asarray(t, float) / step, 0.0, len(self.times) - 1.0)
        low = np.minimum(place.astype(np.intp), len(self.times) - 2)
        s, each = place - low, np.arange(self.states.shape[2])
        before, after = self.states[low, :6, each].T, self.states[low + 1, :6, each].T
        h00, h10 = (1 + 2 * s) * (1 - s) ** 2, s * (1 - s) ** 2
        h01, h11 = s * s * (3 - 2 * s), s * s * (s - 1)
        return h00 * before[:3] + h10 * step * before[3:] + h01 * after[:3] + h11 * step * after[3:]

    def first(self, axis: int, level: Any, after: Any = 0.0, falling: bool = False) -> Array:
        """Time (N,) at which a coordinate first crosses a level after a time; NaN if never."""
        after = np.broadcast_to(np.asarray(after, float), self.states.shape[2:])
        gap = self.states[:, axis, :] - level
        sign = -1.0 if falling else 1.0
        crossed = (sign * gap[:-1] < 0) & (sign * gap[1:] >= 0)
        crossed &= self.times[1:, None] > after
        found = crossed.any(axis=0)
        row = np.argmax(crossed, axis=0)
        low, high = np.maximum(self.times[row], after), self.times[row + 1]
        for _ in range(40):
            middle = 0.5 * (low + high)
            past = sign * (self.at(middle)[axis] - level) >= 0
            low, high = np.where(past, low, middle), np.where(past, middle, high)
        return np.where(found, 0.5 * (low + high), np.nan)

    def landing(self) -> Array:
        """Time (N,) at which each disc touches the ground."""
        return self.first(2, 0.0, falling=True)

    def catching(self, height: float = 1.2) -> Array:
        """Time (N,) at which each disc comes down through the catching height."""
        return self.first(2, height, falling=True)


def fly(
    release: Release,
    disc: Disc,
    coefficients: Coefficients,
    *,
    wind_across: Any = 0.0,
    wind_along: Any = 0.0,
    far: Any = np.inf,
    floor: float = 0.0,
    longest: float = 12.0,
    step: float = 0.02,
    tolerance: float = 1e-6,
) -> Flight:
    """Fly N discs from their release until all of them are on the ground.

    Parameters
    ----------
    wind_across, wind_along : m/s, (N,) or a number, positive toward right and away.
    far, floor : a flight matters until it is this far along (m, (N,) or a number) or below this
        height (m); the integration ends when no flight matters any more.
    longest : seconds after which the flights are cut off.
    step : seconds between samples; the integrator chooses its own steps.
    tolerance : relative tolerance of the integrator, absolute in metres and m/s.
    """
    start = release.state(disc)
    wind_across, wind_along = np.asarray(wind_across, float), np.asarray(wind_along, float)
    count = np.broadcast_shapes(start.shape[1:], wind_across.shape, wind_along.shape)[0]
    start = np.broadcast_to(start, (12, count)).copy()
    wind = (wind_across, wind_along)

    def rate(_: float, flat: Array) -> Array:
        return derivative(flat.reshape(12, count), wind, disc, coefficients).ravel()

    def all_done(_: float, flat: Array) -> float:
        # A margin, so that the last crossing lies inside the samples.
        above, short = (
            flat[2 * count : 3 * count] - floor + 0.5,
            far + 1.0 - flat[count : 2 * count],
        )
        return float(np.minimum(above, short).max())

    all_done.terminal = True  # type: ignore[attr-defined]
    # The angular momentum is of the order 0.1; the others are of the order 1 and more.
    absolute = np.repeat([tolerance] * 9 + [0.1 * tolerance] * 3, count)
    times = np.arange(round(longest / step) + 1) * step
    solved = solve_ivp(
        rate, (0.0, longest), start.ravel(), "RK45", times, rtol=tolerance, atol=absolute,
        events=all_done, max_step=0.05,
    )  # fmt: skip
    if not solved.success:
        raise RuntimeError(f"the flight could not be integrated: {solved.message}")
    states = solved.y.T.reshape(len(solved.t), 12, count)
    return Flight(times=solved.t, states=states)
