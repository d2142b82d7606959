"""Wanted throws: what is to be thrown, by what release, and how far a trial is from it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sim.flight.coefficients import POTTS_CROWTHER, Coefficients
from sim.flight.disc import Disc
from sim.flight.release import Array, Release
from sim.flight.rigidbody import Flight, fly
from sim.flight.shapes import FLOATED, ThrowSettings

_FLOOR = -3.0  # trial flights may pass below the ground
_TOGETHER = 800  # flights integrated together


@dataclasses.dataclass(frozen=True)
class World:
    """What is thrown and how: the disc, its coefficients, the settings of the throws."""

    disc: Disc = dataclasses.field(default_factory=Disc)
    coefficients: Coefficients = POTTS_CROWTHER
    throws: ThrowSettings = dataclasses.field(default_factory=ThrowSettings)


@dataclasses.dataclass(frozen=True)
class Target:
    """N wanted throws: codes of throw and shape, distance (m), wind (m/s), all (N,)."""

    throw: NDArray[np.intp]
    shape: NDArray[np.intp]
    distance: Array
    wind_along: Array
    wind_across: Array

    def take(self, index: NDArray[np.intp]) -> Target:
        """Return the wanted throws at an index."""
        return Target(*(getattr(self, field.name)[index] for field in dataclasses.fields(self)))

    def to(self, distance: Array | float) -> Target:
        """Return the same throws over another distance."""
        full = np.broadcast_to(np.asarray(distance, float), self.throw.shape)
        return dataclasses.replace(self, distance=full)

    def in_wind(self, share: float) -> Target:
        """Return the same throws in a share of the wind."""
        along, across = share * self.wind_along, share * self.wind_across
        return dataclasses.replace(self, wind_along=along, wind_across=across)


def release_of(target: Target, angles: Array, world: World) -> Release:
    """Return the release with (pitch, bank, heading, pace) (4, N) for wanted throws.

    pace : log of the speed over the natural one.
    """
    pitch, bank, heading, pace = angles
    disc, coefficients, throws = world.disc, world.coefficients, world.throws
    most = math.radians(throws.most_attack)
    speed = throws.speed(target.distance, target.wind_along, target.wind_across) * np.exp(pace)
    speed = np.minimum(speed, throws.top_speed)
    level, up = speed * np.cos(pitch), speed * np.sin(pitch)
    behind, across = level - target.wind_along, target.wind_across
    air2 = np.maximum(behind * behind + up * up + across * across, 1.0)
    press = 0.5 * disc.air_density * disc.area * air2
    carries = (disc.mass * disc.gravity / press - coefficients.lift_0) / coefficients.lift_slope
    # A thrower feels the wind in the face and holds the disc to it, not to the ground; a wind
    # from the side lends lift without being met head on, one from behind is not felt.
    against = level + np.maximum(-target.wind_along, 0.0)
    met = np.maximum(np.hypot(behind, up), 1.0)
    share = np.sqrt(air2) / met * np.sin(np.minimum(carries, most))
    attack = np.arcsin(np.clip(share, -math.sin(most), math.sin(most)))
    held = np.arctan2(up, against) + attack
    return Release(
        speed, pitch, bank, heading,
        spin=world.throws.spin(target.throw, speed),
        nose=held - pitch,
        height=world.throws.release_height,
    )  # fmt: skip


def fly_to(
    target: Target, angles: Array, world: World, *, trial: bool = False, wobble: bool = True
) -> Iterator[tuple[NDArray[np.intp], Flight]]:
    """Fly releases (4, N), in slices to keep memory small; pairs of index and flights.

    trial : end flights when they are past their target or far below the ground.
    """
    for start in range(0, angles.shape[1], _TOGETHER):
        index = np.arange(start, min(start + _TOGETHER, angles.shape[1]))
        some = target.take(index)
        yield index, fly(
            release_of(some, angles[:, index], world), world.disc, world.coefficients,
            wind_across=some.wind_across, wind_along=some.wind_along,
            far=some.distance if trial else np.inf, floor=_FLOOR if trial else 0.0,
            longest=9.0 if trial else 15.0, wobble=wobble, tolerance=1e-5,
        )  # fmt: skip


def misses(target: Target, angles: Array, world: World, *, wobble: bool = True) -> Array:
    """How far releases (4, N) are from what is wanted, (4, N).

    Height (m) and aside (m) at the target, mean tilt until there (sine of an angle), and pace; of
    floated throws in place of the pace or mixed with it, height (m) at three quarters of the way.
    """
    result = np.empty_like(angles)
    for index, flight in fly_to(target, angles, world, trial=True, wobble=wobble):
        result[:, index] = _misses(flight, target.take(index), angles[:, index], world)
    return result


def _misses(flight: Flight, target: Target, angles: Array, world: World) -> Array:
    there = flight.first(1, target.distance)
    down = flight.first(2, _FLOOR, falling=True)
    down = np.where(np.isnan(down), flight.times[-1], down)
    there = np.where(there <= down, there, np.nan)
    end = np.where(np.isnan(there), down, there)
    aside, along, height = flight.at(end)
    # A flight that falls short counts as lower still, by what it is short.
    short = np.where(np.isnan(there), target.distance - along, 0.0)
    winds = target.wind_along, target.wind_across
    tilt = flight.mean(6, end) - world.throws.lean(target.throw, target.shape, *winds)
    late = flight.first(1, 0.75 * target.distance)
    _, along, high = flight.at(np.where(late <= end, late, end))
    high = high - np.maximum(0.75 * target.distance - along, 0.0)
    floats = target.shape == FLOATED
    wanted = world.throws.hang(target.distance, *winds)
    # Both sink with the speed, so that any mixture of them has one speed that fits.
    lofted = world.throws.lofted(target.distance)
    mixed = lofted * (high - wanted) - (1.0 - lofted) * angles[3]
    last = np.where(floats, mixed, angles[3])
    return np.array([height - world.throws.catch_height - short, aside, tilt, last])
