"""Build the table of flights: python -m sim.flight.build"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from sim.flight.rigidbody import Array, fly
from sim.flight.shapes import SHAPES, THROWS
from sim.flight.solver import FLAT, Solution, Target, World, release_of, solve
from sim.flight.table import AFTER, BEFORE, COLUMNS, FILE, FlightTable

DISTANCES = np.array([3, 4.5, 6, 8, 10, 13, 16, 20, 25, 30, 36, 43, 50, 57, 63, 70.0])
WINDS = np.array([-10, -5, 0, 5, 10.0])

_SAMPLES = 33
_WIDTH = 800


def cells_of(target: Target, solution: Array, world: World) -> Array:
    """Polynomials (N, COLUMNS) of solved throws (4, N), fitted to their integrated flights."""
    parts = []
    for start in range(0, solution.shape[1], _WIDTH):
        piece = target.take(np.arange(start, min(start + _WIDTH, solution.shape[1])))
        flight = fly(
            release_of(piece, solution[:, start : start + _WIDTH], world),
            world.disc, world.coefficients,
            wind_across=piece.wind_across, wind_along=piece.wind_along,
            longest=15.0, tolerance=1e-5,
        )  # fmt: skip
        parts.append(_fit(flight, piece.distance, world))
    return np.concatenate(parts)


def _fit(flight, distance: Array, world: World) -> Array:
    low, high = world.throws.release_height, world.throws.catch_height
    duration, landing = flight.first(1, distance), flight.landing()
    s = 0.5 - 0.5 * np.cos(np.pi * np.arange(1, _SAMPLES) / _SAMPLES)
    before = np.array([flight.at(duration * u) for u in s])
    after = np.array([flight.at(duration + (landing - duration) * w) for w in s])
    powers, later = s[:, None] ** np.arange(BEFORE), s[:, None] ** np.arange(AFTER)
    bow, rise = s * (1 - s), low + (high - low) * s
    columns = [
        duration / distance,
        (landing - duration) / distance,
        *_least(bow[:, None] * powers, before[:, 1] / distance - s[:, None]),
        *_least(bow[:, None] * powers, before[:, 0] / distance),
        *_least(bow[:, None] * powers, before[:, 2] - rise[:, None]),
        *_least(s[:, None] * later, after[:, 1] / distance - 1.0),
        *_least(s[:, None] * later, after[:, 0] / distance),
        *_least(bow[:, None] * later, after[:, 2] - high * (1 - s)[:, None]),
    ]
    return np.array(columns).T


def _least(form: Array, values: Array) -> Array:
    return np.linalg.lstsq(form, values, rcond=None)[0]


def build(
    world: World | None = None,
    distances: Array = DISTANCES,
    winds_along: Array = WINDS,
    winds_across: Array = WINDS,
    report=None,
) -> FlightTable:
    """Solve and fit every node, from short distances to long ones.

    A wind in which a shape is out of reach at some distance is given up there: the longest reach
    is found by halving, and the nodes beyond carry the flight of the longest reach, scaled.
    """
    world = World() if world is None else world
    grid = np.meshgrid(np.arange(len(THROWS)), winds_along, winds_across, indexing="ij")
    throw, along, across = (g.ravel() for g in grid)
    shapes, lanes, count = len(SHAPES), len(throw), len(distances)
    cells = np.zeros((shapes, lanes, count, COLUMNS))
    releases = np.full((shapes, lanes, count, 4), np.nan)
    reach = np.full((shapes, lanes), np.nan)
    for k, distance in enumerate(distances):
        target = Target(throw, np.full(lanes, distance), along, across)
        flat: Solution | None = None
        for shape in range(shapes):
            live = np.flatnonzero(np.isnan(reach[shape]))
            found = _step(
                target.take(live), shape, releases[shape, live], k, distances, world, flat, live
            )
            if shape == FLAT:
                flat = _spread(found, live, lanes)
            good = live[found.solved]
            releases[shape, good, k] = found.stacked().T[found.solved]
            if len(good):
                cells[shape, good, k] = cells_of(
                    target.take(good), releases[shape, good, k].T, world
                )
            lost = live[~found.solved]
            reach[shape, lost] = distances[k - 1] if k else np.nan
            if len(lost):
                cells[shape, lost, k:] = cells[shape, lost, k - 1][:, None]
        if report is not None:
            report(distance, np.isnan(reach).sum())
    reach = np.where(np.isnan(reach), distances[-1], reach)

    def shaped(a: Array) -> Array:
        a = a.reshape(shapes, len(THROWS), len(winds_along), len(winds_across), *a.shape[2:])
        return np.swapaxes(a, 0, 1)

    return FlightTable(
        distances, winds_along, winds_across, shaped(cells), shaped(reach), shaped(releases),
        world.throws.release_height, world.throws.catch_height,
    )  # fmt: skip


def _step(target, shape, before, k, distances, world, flat, live) -> Solution:
    guess = None
    if k == 1:
        guess = before[:, 0].T
    elif k > 1:
        ratio = (distances[k] - distances[k - 1]) / (distances[k - 1] - distances[k - 2])
        guess = (before[:, k - 1] + ratio * (before[:, k - 1] - before[:, k - 2])).T
    if shape in (1, 2) and flat is not None:
        flat = Solution(*flat.stacked()[:, live], flat.solved[live])
    return solve(target, shape, world, guess, flat)


def _spread(found: Solution, live, lanes: int) -> Solution:
    full = np.zeros((4, lanes))
    solved = np.zeros(lanes, bool)
    full[:, live], solved[live] = found.stacked(), found.solved
    return Solution(*full, solved)


def save(table: FlightTable, path: Path) -> None:
    """Write a table; single precision is a hundred times finer than the fit."""
    np.savez_compressed(
        path, throws=THROWS, shapes=SHAPES, distances=table.distances,
        winds_along=table.winds_along, winds_across=table.winds_across,
        cells=table.cells.astype(np.float32), reach=table.reach.astype(np.float32),
        releases=table.releases.astype(np.float32),
        release_height=table.release_height, catch_height=table.catch_height,
    )  # fmt: skip


def main() -> None:
    """Build the table and store it in the package."""
    began = time.perf_counter()
    table = build(
        report=lambda d, n: print(
            f"{d:5.1f} m  {n:4d} lanes  {time.perf_counter() - began:6.1f} s", flush=True
        )
    )
    path = Path(__file__).with_name(FILE)
    save(table, path)
    print(f"{path.name}: {path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
