"""Find the release that brings a throw of a given shape to a point at catching height.

The speed is the natural one for the shape, distance and wind. Three numbers of the release, pitch,
bank and heading, are found from three conditions: there the disc is at catching height and not
aside, and until there its mean tilt is what the shape asks for. Of a low and a high flight that
both do, the low one is found. Wind is held off by aim and tilt, the way a thrower does it.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from numpy.typing import NDArray

from sim.flight.release import Array
from sim.flight.targets import Target, World, misses

SHORTEST = 3.0  # metres; the search for a long throw begins with a short one

_NUDGE = 1e-3  # rad, the step of the difference quotients
_STRIDE = np.array([0.1, 0.15, 0.1])  # rad, the longest steps of an iteration
_CLOSE = np.array([2e-3, 2e-3, 2e-4])  # m, m, sine: close enough


@dataclasses.dataclass(frozen=True)
class Solution:
    """Releases found for N wanted throws.

    Attributes
    ----------
    angles : (3, N) pitch, bank, heading (rad) as in `Release`.
    solved : (N,) bool; where False none was found at the natural speed.
    """

    angles: Array
    solved: NDArray[np.bool_]


def solve(
    target: Target, world: World | None = None, guess: Array | None = None, wobble: bool = True
) -> Solution:
    """Find the releases of N wanted throws by Newton's method, all at once.

    The search is made on flights without wobble, with slopes measured once by difference
    quotients and then kept up to date by Broyden's rule (Broyden 1965), which needs one flight an
    iteration in place of four. A few iterations on full flights end it.

    Parameters
    ----------
    guess : (3, N) where to begin; a long throw needs that of a slightly shorter one.
    wobble : False leaves out the end on full flights.
    """
    world = World() if world is None else world
    x = _within(first_guess(target, world) if guess is None else guess)
    count = x.shape[1]
    several = [x] + [x + _NUDGE * np.eye(3)[i][:, None] for i in range(3)]
    repeated = target.take(np.tile(np.arange(count), 4))
    every = misses(repeated, np.concatenate(several, axis=1), world, wobble=False)
    every = every.reshape(3, 4, count)
    slope = np.moveaxis((every[:, 1:] - every[:, :1]) / _NUDGE, 2, 0)
    x, slope, solved = _approach(target, x, slope, world, wobble=False, rounds=12)
    near = np.flatnonzero(solved)
    if wobble and len(near):
        x[:, near], _, solved[near] = _approach(
            target.take(near), x[:, near], slope[near], world, wobble=True, rounds=5
        )
    return Solution(x, solved)


def _approach(
    target: Target, x: Array, slope: Array, world: World, wobble: bool, rounds: int
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Iterate from x (3, N) with slopes (N, 3, 3); the last x, slopes and who got there."""
    x, slope = x.copy(), slope.copy()
    miss = misses(target, x, world, wobble=wobble)
    solved = _close(miss)
    for _ in range(rounds):
        busy = np.flatnonzero(~solved)
        if not len(busy):
            break
        here, old, rates = x[:, busy], miss[:, busy], slope[busy]
        # The small diagonal keeps a flat spot from dividing by zero.
        step = -np.linalg.solve(rates + 1e-9 * np.eye(3), old.T[:, :, None])[:, :, 0].T
        step *= np.minimum(1.0, (_STRIDE[:, None] / np.maximum(np.abs(step), 1e-12)).min(axis=0))
        there = _within(here + step)
        step = there - here
        new = misses(target.take(busy), there, world, wobble=wobble)
        foreseen = [r[:, 0] * step[0] + r[:, 1] * step[1] + r[:, 2] * step[2] for r in _rows(rates)]
        gain = (new - old - np.array(foreseen)).T
        length = np.maximum(step[0] ** 2 + step[1] ** 2 + step[2] ** 2, 1e-18)
        slope[busy] = rates + gain[:, :, None] * (step / length).T[:, None, :]
        x[:, busy], miss[:, busy] = there, new
        solved[busy] = _close(new)
    return x, slope, solved


def _close(miss: Array) -> NDArray[np.bool_]:
    return np.asarray((np.abs(miss) < _CLOSE[:, None]).all(axis=0), bool)


def _rows(slope: Array) -> list[Array]:
    return [slope[:, i, :] for i in range(3)]


def first_guess(target: Target, world: World) -> Array:
    """Where to begin the search for a short throw, (3, N)."""
    lean = np.arcsin(world.throws.lean(target.throw, target.shape))
    return np.array([np.full_like(lean, math.radians(5.0)), lean, np.zeros_like(lean)])


def _within(angles: Array) -> Array:
    """Keep trial releases (3, N) to what an arm can do."""
    low, high = np.array([[-0.5, -1.4, -1.2], [1.0, 1.4, 1.2]])[:, :, None]
    return np.clip(angles, low, high)


def find(target: Target, world: World | None = None, stride: float = 4.0) -> Solution:
    """Find releases over any distances, working up from short throws in steps of the distance.

    stride : about the longest step, m.
    """
    world = World() if world is None else world
    furthest = float(target.distance.max())
    steps = max(1, math.ceil((furthest - SHORTEST) / stride))
    start = np.minimum(target.distance, SHORTEST)
    found = solve(target.to(start), world, wobble=False)
    before, solved = found.angles, found.solved
    for i in range(1, steps + 1):
        distance = start + (target.distance - start) * i / steps
        guess = found.angles if i == 1 else 2 * found.angles - before
        before = found.angles
        found = solve(target.to(distance), world, guess, wobble=i == steps)
        solved = solved & found.solved
    return Solution(found.angles, solved)
