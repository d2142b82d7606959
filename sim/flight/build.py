"""Build the table of flights: python -m sim.flight.build

It takes about eight minutes on two cores, one throw on each.
"""

from __future__ import annotations

import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.flight.fit import fitted
from sim.flight.lookup import FILE, ORDER, QUANTUM, TERMS
from sim.flight.release import Array
from sim.flight.shapes import SHAPES, THROWS
from sim.flight.solver import begin, solve
from sim.flight.targets import Target, World

DISTANCES = np.array(
    [1, 2, 3, 4.5, 6, 8, 10, 12.5, 15, 18, 21, 25, 29, 33, 37, 41, 45, 49, 53, 57, 61, 65, 70.0]
)
WINDS = np.array([-10, -8, -6, -3, 0, 3, 6, 8, 10.0])

Index = NDArray[np.intp]

_HALVINGS = 4
_RESCUES = 4


def build(
    world: World | None = None,
    distances: Array = DISTANCES,
    winds: Array = WINDS,
    throws: tuple[int, ...] = (0, 1),
    said: bool = False,
) -> dict[str, Any]:
    """Solve and fit every node, from short distances to long ones.

    Where a throw is out of reach at some distance its longest reach is found by halving, and the
    nodes beyond carry the flight of the longest reach.

    Parameters
    ----------
    distances, winds : the nodes, rising; the winds are the same along and across.
    throws : codes.
    said : print each distance and how many throws still get there.

    Returns
    -------
    What `sim.flight.lookup.made` makes a table of.

    Raises
    ------
    ValueError : if a throw does not even get over the first distance.
    """
    world = World() if world is None else world
    began = time.perf_counter()
    grid = (np.array(throws), np.arange(len(SHAPES)), winds, winds)
    whole = tuple(len(g) for g in grid)
    throw, shape, along, across = (g.ravel() for g in np.meshgrid(*grid, indexing="ij"))
    lanes = Target(
        throw=throw.astype(np.intp),
        shape=shape.astype(np.intp),
        distance=np.full(throw.shape, float(distances[0])),
        wind_along=along.astype(float),
        wind_across=across.astype(float),
    )
    cells = np.zeros((len(throw), len(distances), TERMS, ORDER, 3))
    times = np.zeros((len(throw), len(distances), 2))
    reach = np.full(len(throw), distances[0])
    trail = _Trail(lanes, whole, world)
    for k, distance in enumerate(distances):
        live = np.flatnonzero(reach == distances[max(k - 1, 0)])
        lost = live[~trail.go_on(live, distance)]
        lost = trail.rescue(lost, distance)
        if k == 0 and len(lost):
            raise ValueError(f"{len(lost)} throws do not get over {distance:g} m")
        beyond = np.full(len(lost), distance)
        for _ in range(_HALVINGS):
            middle = 0.5 * (trail.distance[lost] + beyond)
            beyond = np.where(trail.go_on(lost, middle), beyond, middle)
        reach[live] = trail.distance[live]
        here = lanes.take(live).to(reach[live])
        times[live, k], cells[live, k] = fitted(here, trail.angles[:, live], world)
        ended = live[reach[live] < distance]
        cells[ended, k + 1 :] = cells[ended, k][:, None]
        times[ended, k + 1 :] = times[ended, k][:, None]
        if said:
            spent = time.perf_counter() - began
            print(f"{distance:5.1f} m: {len(live) - len(ended):4d} get there, {spent:4.0f} s")
    if not (np.isfinite(cells).all() and np.isfinite(times).all()):
        raise RuntimeError("a flight was cut off before it came to the ground")
    return {
        "throws": np.array(THROWS),
        "shapes": np.array(SHAPES),
        "distances": distances,
        "winds": winds,
        "reach": reach.reshape(whole),
        "times": times.reshape(*whole, len(distances), 2).astype(np.float32),
        "cells": np.rint(cells.reshape(*whole, *cells.shape[1:]) / QUANTUM).astype(np.int32),
        "release_height": np.array(world.throws.release_height),
        "catch_height": np.array(world.throws.catch_height),
    }


class _Trail:
    """The last two releases found on the way out, for each of N throws."""

    def __init__(self, lanes: Target, whole: tuple[int, ...], world: World) -> None:
        self.lanes, self.whole, self.world = lanes, whole, world
        self.angles = begin(lanes, world).angles
        self.before = self.angles.copy()
        self.distance = np.zeros(len(lanes.throw))
        self.previous = np.zeros(len(lanes.throw))

    def go_on(self, index: Index, distance: Array | float) -> NDArray[np.bool_]:
        """Try to get some throws (indices) over a distance; (len(index),) bool, who did."""
        if not len(index):
            return np.zeros(0, bool)
        distance = np.broadcast_to(np.asarray(distance, float), index.shape)
        gap = np.maximum(self.distance[index] - self.previous[index], 1e-9)
        ratio = np.where(self.previous[index] > 0, (distance - self.distance[index]) / gap, 0.0)
        change = self.angles[:, index] - self.before[:, index]
        return self._try(index, distance, self.angles[:, index] + ratio * change)

    def rescue(self, lost: Index, distance: float) -> Index:
        """Try the lost ones again from releases in neighbouring winds; returns who stays lost."""
        for _ in range(_RESCUES):
            before = len(lost)
            for step in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                throw, shape, i, j = np.unravel_index(lost, self.whole)
                m, n = i + step[0], j + step[1]
                inside = (m >= 0) & (m < self.whole[2]) & (n >= 0) & (n < self.whole[3])
                near = np.zeros_like(lost)
                near[inside] = np.ravel_multi_index(
                    (throw[inside], shape[inside], m[inside], n[inside]), self.whole
                )
                inside &= self.distance[near] == distance
                tried = lost[inside]
                far = np.full(len(tried), distance)
                saved = tried[self._try(tried, far, self.angles[:, near[inside]])]
                lost = np.setdiff1d(lost, saved)
            if len(lost) == before:
                break
        return lost

    def _try(self, index: Index, distance: Array, guess: Array) -> NDArray[np.bool_]:
        if not len(index):
            return np.zeros(0, bool)
        found = solve(self.lanes.take(index).to(distance), self.world, guess)
        there = index[found.solved]
        self.before[:, there], self.previous[there] = self.angles[:, there], self.distance[there]
        self.angles[:, there] = found.angles[:, found.solved]
        self.distance[there] = distance[found.solved]
        return found.solved


def _one(throw: int) -> dict[str, Any]:
    return build(throws=(throw,), said=throw == 0)


def main() -> None:
    """Build the table and store it in the package."""
    began = time.perf_counter()
    with ProcessPoolExecutor(len(THROWS)) as pool:
        parts = list(pool.map(_one, range(len(THROWS))))
    kept = parts[0] | {
        name: np.concatenate([part[name] for part in parts]) for name in ("reach", "times", "cells")
    }
    path = Path(__file__).with_name(FILE)
    np.savez_compressed(path, **kept)
    spent = time.perf_counter() - began
    print(f"{path.name}: {path.stat().st_size / 1e6:.2f} MB in {spent:.0f} s")


if __name__ == "__main__":
    main()
