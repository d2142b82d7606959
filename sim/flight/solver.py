"""Find the release that brings a throw of a given shape to a point at catching height.

Four numbers of the release, pitch, bank, heading and pace, are found from four conditions: there
the disc is at catching height and not aside, until there its mean tilt is what the shape asks for,
and the speed is the natural one for the distance and wind or, of a floated throw, the height at
three quarters of the way is the wanted one. Of a low and a high flight that both do, the low one is
found. Wind is held off by aim and tilt, the way a thrower does it.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from numpy.typing import NDArray

from sim.flight.release import Array
from sim.flight.targets import Target, World, misses

SHORTEST = 2.0  # metres; the search for a long throw begins with a short one

_ROUNDS, _HALVINGS, _LAST_ROUNDS = 12, 5, 6
_GUSTS = 5  # steps from calm air to the full wind
_NUDGE = 1e-3  # rad, the step of the difference quotients
_STRIDE = np.array([0.1, 0.15, 0.1, 0.1])  # rad, pace: the longest steps of an iteration
_CLOSE = np.array([2e-3, 2e-3, 2e-4, 2e-3])  # m, m, sine, pace or m: close enough


@dataclasses.dataclass(frozen=True)
class Solution:
    """Releases found for N wanted throws.

    Attributes
    ----------
    angles : (4, N) pitch, bank, heading (rad) and pace as in `release_of`.
    solved : (N,) bool; where False none was found at the natural speed.
    """

    angles: Array
    solved: NDArray[np.bool_]


def solve(
    target: Target, world: World | None = None, guess: Array | None = None, wobble: bool = True
) -> Solution:
    """Find the releases of N wanted throws by Newton's method, all at once.

    The search is made on flights without wobble, with slopes measured by difference quotients and
    steps that are halved while they make matters worse. A few iterations on full flights end it,
    with the last slopes kept up to date by Broyden's rule (Broyden 1965), which needs one flight
    an iteration in place of five.

    Parameters
    ----------
    guess : (4, N) where to begin; a long throw needs that of a slightly shorter one.
    wobble : False leaves out the end on full flights.
    """
    world = World() if world is None else world
    x = _within(first_guess(target, world) if guess is None else guess)
    miss = misses(target, x, world, wobble=False)
    stuck = np.zeros(x.shape[1], bool)
    for _ in range(_ROUNDS):
        busy = np.flatnonzero(~(_close(miss) | stuck))
        if not len(busy):
            break
        some, here, old = target.take(busy), x[:, busy], miss[:, busy]
        step = _step(_slopes(some, here, old, world), old)
        size, best = np.ones(len(busy)), _total(old)
        trying = np.arange(len(busy))
        for _ in range(_HALVINGS):
            there = _within(here[:, trying] + size[trying] * step[:, trying])
            new = misses(some.take(trying), there, world, wobble=False)
            better = _total(new) < best[trying]
            won = busy[trying[better]]
            x[:, won], miss[:, won] = there[:, better], new[:, better]
            trying = trying[~better]
            size[trying] *= 0.4
            if not len(trying):
                break
        stuck[busy[trying]] = True
    solved = _close(miss)
    near = np.flatnonzero(solved)
    if wobble and len(near):
        some = target.take(near)
        slope = _slopes(some, x[:, near], miss[:, near], world)
        x[:, near], solved[near] = _finish(some, x[:, near], slope, world)
    return Solution(x, solved)


def _slopes(target: Target, x: Array, miss: Array, world: World) -> Array:
    """Slopes (N, 4, 4) of the misses at x by difference quotients, on flights without wobble."""
    several = [x + _NUDGE * np.eye(4)[i][:, None] for i in range(4)]
    repeated = target.take(np.tile(np.arange(x.shape[1]), 4))
    every = misses(repeated, np.concatenate(several, axis=1), world, wobble=False)
    every = every.reshape(4, 4, x.shape[1])
    return np.moveaxis((every - miss[:, None]) / _NUDGE, 2, 0)


def _step(slope: Array, miss: Array) -> Array:
    # The small diagonal keeps a flat spot from dividing by zero.
    step = -np.linalg.solve(slope + 1e-9 * np.eye(4), miss.T[:, :, None])[:, :, 0].T
    return step * np.minimum(1.0, (_STRIDE[:, None] / np.maximum(np.abs(step), 1e-12)).min(axis=0))


def _finish(
    target: Target, x: Array, slope: Array, world: World
) -> tuple[Array, NDArray[np.bool_]]:
    """Iterate on full flights by Broyden's rule; the last x, and who got there."""
    miss = misses(target, x, world)
    for _ in range(_LAST_ROUNDS):
        busy = np.flatnonzero(~_close(miss))
        if not len(busy):
            break
        here, old, rates = x[:, busy], miss[:, busy], slope[busy]
        there = _within(here + _step(rates, old))
        step = there - here
        new = misses(target.take(busy), there, world)
        foreseen = sum(rates[:, :, i].T * step[i] for i in range(4))
        length = np.maximum(sum(part * part for part in step), 1e-18)
        slope[busy] += (new - old - foreseen).T[:, :, None] * (step / length).T[:, None, :]
        x[:, busy], miss[:, busy] = there, new
    return x, _close(miss)


def _close(miss: Array) -> NDArray[np.bool_]:
    return np.asarray((np.abs(miss) < _CLOSE[:, None]).all(axis=0), bool)


def _total(miss: Array) -> Array:
    return np.asarray((np.abs(miss) / _CLOSE[:, None]).max(axis=0), float)


def first_guess(target: Target, world: World) -> Array:
    """Where to begin the search for a short throw in calm air, (4, N)."""
    lean = np.arcsin(world.throws.lean(target.throw, target.shape))
    return np.array([0.0 * lean + 0.3, lean, 0.0 * lean, 0.0 * lean])


def _within(angles: Array) -> Array:
    """Keep trial releases (4, N) to what an arm can do."""
    low, high = np.array([[-0.5, -1.4, -1.2, -1.5], [1.3, 1.4, 1.2, 1.0]])[:, :, None]
    return np.clip(angles, low, high)


def find(target: Target, world: World | None = None, stride: float = 4.0) -> Solution:
    """Find releases over any distances, from short throws in calm air out to the wind and distance.

    stride : about the longest step, m.
    """
    world = World() if world is None else world
    start = np.minimum(target.distance, SHORTEST)
    found = begin(target.to(start), world)
    angles, before = found.angles, found.angles
    furthest = float(target.distance.max())
    steps = max(1, math.ceil((furthest - SHORTEST) / stride))
    for i in range(1, steps + 1):
        distance = start + (target.distance - start) * i / steps
        guess = angles if i == 1 else 2 * angles - before
        found = solve(target.to(distance), world, guess, wobble=i == steps)
        # Those who were lost go on from where they last got to.
        again = np.flatnonzero(~found.solved)
        if len(again):
            some = target.to(distance).take(again)
            more = solve(some, world, angles[:, again], wobble=i == steps)
            found.angles[:, again], found.solved[again] = more.angles, more.solved
        before, angles = angles, np.where(found.solved, found.angles, angles)
    return found


def begin(target: Target, world: World) -> Solution:
    """Find releases over short distances, the wind rising from calm; without wobble."""
    found = solve(target.in_wind(0.0), world, wobble=False)
    for i in range(1, _GUSTS + 1):
        found = solve(target.in_wind(i / _GUSTS), world, found.angles, wobble=False)
    return found
