"""Fit the polynomials of the table to integrated flights."""

from __future__ import annotations

import numpy as np

from sim.flight.release import Array
from sim.flight.rigidbody import Flight
from sim.flight.table import AFTER, BEFORE, COLUMNS
from sim.flight.targets import Target, World, fly_to

_SAMPLES = 40


def fitted(target: Target, angles: Array, world: World) -> Array:
    """Cells (N, COLUMNS) of the table for releases (3, N) that get to their targets."""
    cells = np.empty((angles.shape[1], COLUMNS))
    for index, flight in fly_to(target, angles, world):
        cells[index] = _cells(flight, target.distance[index], world)
    return cells


def _cells(flight: Flight, distance: Array, world: World) -> Array:
    low, high = world.throws.release_height, world.throws.catch_height
    duration, landing = flight.first(1, distance), flight.landing()
    # Samples crowd toward both ends, where a polynomial is worst.
    s = 0.5 - 0.5 * np.cos(np.pi * np.arange(1, _SAMPLES) / _SAMPLES)
    before = np.array([flight.at(duration * u) for u in s])
    after = np.array([flight.at(duration + (landing - duration) * w) for w in s])
    arc, tail = s[:, None] ** np.arange(BEFORE), s[:, None] ** np.arange(AFTER)
    bow, rise = (s * (1 - s))[:, None], (low + (high - low) * s)[:, None]
    columns = [
        duration / distance,
        landing - duration,
        *_least(bow * arc, before[:, 1] / distance - s[:, None]),
        *_least(bow * arc, before[:, 0] / distance),
        *_least(bow * arc, before[:, 2] - rise),
        *_least(s[:, None] * tail, after[:, 1] - distance),
        *_least(s[:, None] * tail, after[:, 0]),
        *_least(bow * tail, after[:, 2] - high * (1 - s)[:, None]),
    ]
    return np.array(columns).T


def _least(form: Array, values: Array) -> Array:
    return np.asarray(np.linalg.lstsq(form, values, rcond=None)[0], float)
