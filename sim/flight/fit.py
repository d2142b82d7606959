"""Fly each node of the table, with and without errors of the release, and fit its polynomials.

With x an error in units of its step, f a coordinate at some time, and +, 0, - the flights with the
error, without and with the opposite one, a node keeps f0, (f+ - f-) / 2 and (f+ + f- - 2 f0) / 2,
so that f0 + x f1 + x^2 f2 is right at -1, 0 and 1. Steps are two standard deviations of a good
thrower's errors, so that this is an interpolation for nearly all throws, and not a derivative drawn
out: flights bend too much for that. Products of two errors come from the two flights with both, of
the same sign: (f++ + f-- - f+0 - f-0 - f0+ - f0- + 2 f0) / 2.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from sim.flight.lookup import ORDER, PITCH_STEP, ROLL_STEP, SPEED_STEP, SPIN_STEP, TERMS
from sim.flight.release import Array, Release
from sim.flight.rigidbody import Flight, fly
from sim.flight.targets import Target, World, release_of

# Speed, pitch, roll, 1 / spin in units of their steps; the first is the flight without errors.
ERRORS = np.array(
    [[0, 0, 0, 0]]
    + [[s * (i == j) for j in range(4)] for i in range(4) for s in (1, -1)]
    + [[s * (j in pair) for j in range(4)] for pair in ((0, 1), (0, 2), (1, 2)) for s in (1, -1)]
)

_TOGETHER = 60  # nodes flown together
_SAMPLES = 48
_BURIED, _LEAST_WEIGHT = 1.5, 0.03  # m; a sample this far below the ground counts for 1/e, or least


def erring(release: Release, speed: Array, pitch: Array, roll: Array, spin: Array) -> Release:
    """Return a release with errors: relative, rad, rad, relative."""
    return dataclasses.replace(
        release,
        speed=release.speed * (1.0 + speed),
        pitch=release.pitch + pitch,
        bank=release.bank + roll,
        spin=release.spin * (1.0 + spin),
    )


def fitted(target: Target, angles: Array, world: World) -> tuple[Array, Array]:
    """Nodes of the table for releases (4, N) that get to their targets.

    Returns times (N, 2) per metre and coefficients (N, TERMS, ORDER, 3) of u T_k(2u - 1), with T_k
    the Chebyshev polynomials.
    """
    count = angles.shape[1]
    times, cells = np.empty((count, 2)), np.empty((count, TERMS, ORDER, 3))
    for start in range(0, count, _TOGETHER):
        piece = slice(start, start + _TOGETHER)
        some = target.take(np.arange(count)[piece])
        times[piece], cells[piece] = _nodes(some, angles[:, piece], world)
    return times, cells


def fly_erring(target: Target, angles: Array, errors: Array, world: World) -> Flight:
    """Fly releases (4, N), each with its errors (speed, pitch, roll, spin) (4, N)."""
    return fly(
        erring(release_of(target, angles, world), *errors), world.disc, world.coefficients,
        wind_across=target.wind_across, wind_along=target.wind_along, tolerance=1e-5,
    )  # fmt: skip


def _nodes(target: Target, angles: Array, world: World) -> tuple[Array, Array]:
    count, kinds = angles.shape[1], len(ERRORS)
    repeat = np.repeat(np.arange(count), kinds)
    steps = np.array([SPEED_STEP, PITCH_STEP, ROLL_STEP, SPIN_STEP])
    errors = np.tile(ERRORS * steps, (count, 1)).T
    errors[3] = 1.0 / (1.0 + errors[3]) - 1.0
    flight = fly_erring(target.take(repeat), angles[:, repeat], errors, world)
    catch = flight.first(1, target.distance[repeat]).reshape(count, kinds)[:, 0]
    landings = flight.landing().reshape(count, kinds)
    whole = landings[:, :9].max(axis=1)
    # Samples crowd toward both ends, where a polynomial is worst.
    u = 0.5 - 0.5 * np.cos(np.pi * np.arange(1, _SAMPLES + 1) / _SAMPLES)
    places = np.array([flight.at(share * whole[repeat])[[1, 0, 2]] for share in u])
    places = places.reshape(_SAMPLES, 3, count, kinds).transpose(2, 3, 0, 1)
    weight = np.maximum(np.exp(np.minimum(places[..., 2] / _BURIED, 0.0)), _LEAST_WEIGHT)
    places[..., 2] -= world.throws.release_height
    form = u[:, None] * np.polynomial.chebyshev.chebvander(2 * u - 1, ORDER - 1)
    weighted = form.T * (weight * weight)[..., None, :]
    c = np.linalg.solve(weighted @ form + 1e-9 * np.eye(ORDER), weighted @ places)
    plain, single = c[:, 0], [(c[:, 1 + 2 * i], c[:, 2 + 2 * i]) for i in range(4)]
    terms = [plain] + [(more - less) / 2 for more, less in single]
    terms += [(more + less) / 2 - plain for more, less in single]
    for k, (i, j) in enumerate(((0, 1), (0, 2), (1, 2))):
        both = c[:, 9 + 2 * k] + c[:, 10 + 2 * k]
        terms.append((both - sum(single[i]) - sum(single[j])) / 2 + plain)
    times = np.stack([catch, whole], axis=1) / target.distance[:, None]
    return times, np.stack(terms, axis=1)
