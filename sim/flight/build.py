"""Build the table of flights: python -m sim.flight.build"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sim.flight.fit import fitted
from sim.flight.release import Array
from sim.flight.shapes import SHAPES, THROWS
from sim.flight.solver import solve
from sim.flight.table import COLUMNS, FILE, FlightTable, save
from sim.flight.targets import Target, World

DISTANCES = np.array(
    [3, 4.5, 6, 8, 10, 12.5, 15, 18, 21, 25, 29, 33, 37, 41, 45, 49, 53, 57, 61, 65, 70.0]
)
WINDS = np.array([-10, -6, -3, 0, 3, 6, 10.0])

Index = NDArray[np.intp]

_HALVINGS = 4


def build(
    world: World | None = None,
    distances: Array = DISTANCES,
    winds_along: Array = WINDS,
    winds_across: Array = WINDS,
    report: Callable[[float, int], None] | None = None,
) -> FlightTable:
    """Solve and fit every node, from short distances to long ones.

    Where a throw is out of reach at some distance its longest reach is found by halving, and the
    nodes beyond carry the flight of the longest reach.

    Parameters
    ----------
    distances, winds_along, winds_across : the nodes, rising.
    report : called after each distance with it and with how many throws still get there.

    Raises
    ------
    ValueError : if a throw does not even get over the first distance.
    """
    world = World() if world is None else world
    grid = (np.arange(len(THROWS)), np.arange(len(SHAPES)), winds_along, winds_across)
    throw, shape, along, across = (g.ravel() for g in np.meshgrid(*grid, indexing="ij"))
    lanes = Target(
        throw=throw.astype(np.intp),
        shape=shape.astype(np.intp),
        distance=np.full(throw.shape, float(distances[0])),
        wind_along=along.astype(float),
        wind_across=across.astype(float),
    )
    cells = np.zeros((len(throw), len(distances), COLUMNS))
    reach = np.full(len(throw), distances[0])
    trail = _Trail(len(throw))
    for k, distance in enumerate(distances):
        live = np.flatnonzero(reach == distances[max(k - 1, 0)])
        arrived = live[trail.go_on(lanes, live, distance, world)]
        lost = np.setdiff1d(live, arrived)
        if k == 0 and len(lost):
            raise ValueError(f"{len(lost)} throws do not get over {distance:g} m")
        beyond = np.full(len(lost), distance)
        for _ in range(_HALVINGS):
            middle = 0.5 * (trail.distance[lost] + beyond)
            beyond = np.where(trail.go_on(lanes, lost, middle, world), beyond, middle)
        # Those who got over every half gap were lost by too long a step.
        hopeful = lost[beyond == distance]
        again = hopeful[trail.go_on(lanes, hopeful, distance, world)]
        reach[live] = trail.distance[live]
        ended = np.setdiff1d(lost, again)
        cells[live, k] = fitted(lanes.take(live).to(reach[live]), trail.angles[:, live], world)
        cells[ended, k + 1 :] = cells[ended, k][:, None]
        if report is not None:
            report(float(distance), int((reach == distance).sum()))
    if not np.isfinite(cells).all():
        raise RuntimeError("a flight was cut off before it came to the ground")
    whole = tuple(len(g) for g in grid)
    return FlightTable(
        distances=distances,
        winds_along=winds_along,
        winds_across=winds_across,
        cells=cells.reshape(*whole, len(distances), COLUMNS),
        reach=reach.reshape(whole),
        release_height=world.throws.release_height,
        catch_height=world.throws.catch_height,
    )


class _Trail:
    """The last two releases found on the way out, for each of N throws."""

    def __init__(self, count: int) -> None:
        self.angles, self.before = np.zeros((3, count)), np.zeros((3, count))
        self.distance, self.previous = np.zeros(count), np.zeros(count)

    def go_on(
        self, lanes: Target, index: Index, distance: Array | float, world: World
    ) -> NDArray[np.bool_]:
        """Try to get some throws (indices) over a distance; (len(index),) bool, who did."""
        if not len(index):
            return np.zeros(0, bool)
        distance = np.broadcast_to(np.asarray(distance, float), index.shape)
        target, guess = lanes.take(index).to(distance), None
        if self.distance[index].any():
            gap = np.maximum(self.distance[index] - self.previous[index], 1e-9)
            ratio = (distance - self.distance[index]) / gap
            change = self.angles[:, index] - self.before[:, index]
            guess = self.angles[:, index] + np.where(self.previous[index] > 0, ratio, 0.0) * change
        found = solve(target, world, guess)
        there = index[found.solved]
        self.before[:, there], self.previous[there] = self.angles[:, there], self.distance[there]
        self.angles[:, there] = found.angles[:, found.solved]
        self.distance[there] = distance[found.solved]
        return found.solved


def main() -> None:
    """Build the table and store it in the package."""
    began = time.perf_counter()

    def report(distance: float, count: int) -> None:
        spent = time.perf_counter() - began
        print(f"{distance:5.1f} m: {count:4d} throws get there, {spent:5.0f} s", flush=True)

    path = Path(__file__).with_name(FILE)
    save(build(report=report), path)
    print(f"{path.name}: {path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
