"""Find the release that brings a throw of a given shape to a point at catching height.

flat        level on the average of the flight: tilted at first so that turning over early and
            fading late even out; thrown at the natural speed, pitched as low as gets there.
inside-out  the outer edge lower than in the flat throw by a set angle: starts inside, curves out.
outside-in  the outer edge higher by the same angle: starts outside, curves in.
floated     level on the average like the flat throw, but hardly faster than gets there, so higher.

All are held so that the lift carries the weight at the airspeed of release, up to a greatest angle
of attack: a slow disc is thrown nose up, a fast one or one thrown into the wind nose down. The heading is whatever brings the disc to the line, so
wind is held off by aim and shape, the way a thrower does it.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from numpy.typing import NDArray

from sim.flight.coefficients import POTTS_CROWTHER, Coefficients
from sim.flight.disc import Disc
from sim.flight.rigidbody import Array, Flight, Release, fly
from sim.flight.shapes import OUTER_EDGE_LOW, SHAPES, ThrowSettings

FLAT, INSIDE_OUT, OUTSIDE_IN, FLOATED = range(len(SHAPES))

_FLOOR = -3.0  # flights of a trial may pass below the ground; the solution may not
_WIDTH = 800  # flights integrated together


@dataclasses.dataclass(frozen=True)
class World:
    """What a throw is thrown in and by: disc, coefficients, settings of the throws."""

    disc: Disc = Disc()
    coefficients: Coefficients = POTTS_CROWTHER
    throws: ThrowSettings = ThrowSettings()


@dataclasses.dataclass(frozen=True)
class Target:
    """N wanted throws: codes of throw, distance (m) and wind (m/s), all (N,)."""

    throw: NDArray[np.intp]
    distance: Array
    wind_along: Array
    wind_across: Array

    def take(self, index: NDArray) -> Target:
        """Return the wanted throws at an index."""
        return Target(
            *(v[index] for v in (self.throw, self.distance, self.wind_along, self.wind_across))
        )


@dataclasses.dataclass(frozen=True)
class Solution:
    """Releases found for N wanted throws.

    Attributes
    ----------
    speed, pitch, bank, heading : (N,) as in `Release`.
    solved : (N,) bool; where False no release was found at the speeds a thrower has.
    """

    speed: Array
    pitch: Array
    bank: Array
    heading: Array
    solved: NDArray[np.bool_]

    def stacked(self) -> Array:
        """Return speed, pitch, bank, heading as (4, N)."""
        return np.array([self.speed, self.pitch, self.bank, self.heading])


def release_of(target: Target, unknowns: Array, world: World) -> Release:
    """Return the release of (speed, pitch, bank, heading) (4, N) for wanted throws."""
    speed, pitch, bank, heading = unknowns
    disc, coefficients = world.disc, world.coefficients
    spin = world.throws.spin(target.throw, speed)
    level, up = speed * np.cos(pitch) - target.wind_along, speed * np.sin(pitch)
    press = 0.5 * disc.air_density * disc.area * np.maximum(level * level + up * up, 1.0)
    carries = (disc.mass * disc.gravity / press - coefficients.lift_0) / coefficients.lift_slope
    # In a wind the air meets the disc at another angle than the ground speed tells.
    attack = np.minimum(carries, math.radians(world.throws.most_attack))
    nose = attack + np.arctan2(up, np.abs(level)) - pitch
    height = world.throws.release_height
    return Release(speed, pitch, bank, heading, spin, nose=nose, height=height)


def _miss(flight: Flight, target: Target, catch_height: float) -> Array:
    """How far a flight is from its aim, (3, N): height and aside (m) there, mean tilt."""
    there = flight.first(1, target.distance)
    down = flight.first(2, _FLOOR, falling=True)
    there = np.where(there <= np.where(np.isnan(down), np.inf, down), there, np.nan)
    end = np.where(np.isnan(there), np.where(np.isnan(down), flight.times[-1], down), there)
    aside, along, height = flight.at(end)
    # A flight that falls short counts as lower still, by what it is short.
    short = np.where(np.isnan(there), target.distance - along, 0.0)
    step = flight.times[1]
    tilt = flight.states[:, 6, :]
    summed = np.zeros_like(tilt)
    np.cumsum(0.5 * step * (tilt[1:] + tilt[:-1]), axis=0, out=summed[1:])
    place = np.minimum(end / step, len(flight.times) - 1.0)
    low = np.minimum(place.astype(np.intp), len(flight.times) - 2)
    part, each = place - low, np.arange(len(end))
    mean = (1 - part) * summed[low, each] + part * summed[low + 1, each]
    return np.array([height - catch_height - short, aside, mean / end])


def _trial(target: Target, unknowns: Array, world: World) -> Array:
    """Misses (3, N) of releases (4, N), integrated in slices to keep memory small."""
    parts = []
    for start in range(0, unknowns.shape[1], _WIDTH):
        piece = target.take(np.arange(start, min(start + _WIDTH, unknowns.shape[1])))
        flight = fly(
            release_of(piece, unknowns[:, start : start + _WIDTH], world),
            world.disc, world.coefficients,
            wind_across=piece.wind_across, wind_along=piece.wind_along,
            far=piece.distance, floor=_FLOOR, longest=10.0, tolerance=1e-5,
        )  # fmt: skip
        parts.append(_miss(flight, piece, world.throws.catch_height))
    return np.concatenate(parts, axis=1)


# For each unknown: the step of the difference quotient, and the longest step of one iteration.
_NUDGE = np.array([0.02, 1e-3, 1e-3, 1e-3])
_STRIDE = np.array([1.5, 0.09, 0.15, 0.09])
_CLOSE = np.array([2e-3, 2e-3, 2e-4])


def _newton(
    target: Target, start: Array, free: list[int], wanted: list[int], world: World, rounds: int
) -> tuple[Array, NDArray[np.bool_]]:
    """Newton's method on many throws at once; free are unknowns, wanted are misses to end.

    The slopes are measured once by difference quotients and then kept up to date by Broyden's
    rule (1965), which needs one flight an iteration in place of one for each unknown.
    """
    x, count, k = start.copy(), start.shape[1], len(free)
    x = _within(x, world)
    several = [x]
    for i in free:
        nudged = x.copy()
        nudged[i] += _NUDGE[i]
        several.append(nudged)
    repeated = target.take(np.tile(np.arange(count), k + 1))
    misses = _trial(repeated, np.concatenate(several, axis=1), world)
    misses = misses.reshape(3, k + 1, count)[wanted]
    miss = misses[:, 0]
    slope = np.moveaxis((misses[:, 1:] - miss[:, None]) / _NUDGE[free][:, None], 2, 0)
    limit, close = _STRIDE[free][:, None], _CLOSE[wanted][:, None]
    solved = (np.abs(miss) < close).all(axis=0)
    for _ in range(rounds):
        busy = np.flatnonzero(~solved)
        if not len(busy):
            break
        old, here = miss[:, busy], x[:, busy]
        step = -np.linalg.solve(slope[busy] + 1e-9 * np.eye(k), old.T[:, :, None])[:, :, 0].T
        step *= np.minimum(1.0, (limit / np.maximum(np.abs(step), 1e-12)).min(axis=0))
        there = here.copy()
        there[free] += step
        there = _within(there, world)
        step = there[free] - here[free]
        new = _trial(target.take(busy), there, world)[wanted]
        x[:, busy], miss[:, busy] = there, new
        gain = new - old - np.einsum("nij,jn->in", slope[busy], step)
        length = np.maximum((step * step).sum(axis=0), 1e-18)
        slope[busy] += np.einsum("in,jn->nij", gain, step / length)
        solved[busy] = (np.abs(new) < close).all(axis=0)
    return x, solved


def _within(x: Array, world: World) -> Array:
    """Keep trial releases (4, N) to what an arm can do."""
    low = np.array([3.0, -0.8, -1.3, -1.0])[:, None]
    high = np.array([world.throws.top_speed, 1.2, 1.3, 1.0])[:, None]
    return np.clip(x, low, high)


def solve(
    target: Target,
    shape: int,
    world: World | None = None,
    guess: Array | None = None,
    flat: Solution | None = None,
    rounds: int = 12,
) -> Solution:
    """Find the releases of N wanted throws of one shape.

    Parameters
    ----------
    shape : code of the shape.
    guess : (4, N) where to begin; for long throws that of a slightly shorter one is needed.
    flat : the flat throws to the same points, for the two banked shapes; solved if None.
    rounds : most iterations.
    """
    world = World() if world is None else world
    throws = world.throws
    if guess is None:
        zero = np.zeros(len(target.distance))
        guess = np.array([zero, zero + math.radians(5.0), zero, zero])
    x = guess.copy()
    x[0] = throws.speed(shape, target.distance, target.wind_along)
    ok = np.ones(len(target.distance), bool)
    free, wanted = [1, 2, 3], [0, 1, 2]
    if shape in (INSIDE_OUT, OUTSIDE_IN):
        flat = solve(target, FLAT, world) if flat is None else flat
        side = 1.0 if shape == INSIDE_OUT else -1.0
        outer = np.asarray(OUTER_EDGE_LOW)[target.throw]
        x[2] = flat.bank + side * outer * math.radians(throws.bank)
        free, wanted = [1, 3], [0, 1]
        ok = flat.solved
    x, solved = _newton(target, x, free, wanted, world, rounds)
    return Solution(x[0], x[1], x[2], x[3], solved & ok)
