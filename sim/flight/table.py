"""The table of flights: playing a throw is a lookup.

A node holds one solved throw over a distance d as polynomials of the share u of the time to the
catch and then of the share w of the time left to the ground:

    along = d (u + u (1-u) A(u)),    aside = d u (1-u) B(u),
    height = release + (catch - release) u + u (1-u) C(u)                     for 0 <= u <= 1,
    along = d + w D(w),    aside = w E(w),    height = catch (1-w) + w (1-w) F(w)  for 0 <= w <= 1.

Coefficients and times are interpolated linearly in both winds and the distance. The forms are
right at the release, the catch and the ground whatever the coefficients, so that a looked-up
flight always comes to its aim, at catching height, when it says.

Near the longest reach flights change quickly with distance, and the reach changes with the wind.
So each wind node is asked not for the flight over d but over d + (its reach - the reach here) x^2,
x being d as a share of the reach here: short throws are compared at one distance, the longest
ones at one share of the reach.

Nothing here adds up over an axis: the same row gives the same bits in any batch.
"""

from __future__ import annotations

import dataclasses
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.flight.shapes import SHAPES, THROWS

Array = NDArray[np.float64]
Index = NDArray[np.intp]

BEFORE, AFTER = 5, 4  # coefficients of each polynomial before and after the catch
COLUMNS = 2 + 3 * BEFORE + 3 * AFTER

LEAST = 0.1  # metres; a throw to nowhere would have no time to be in the air

FILE = "flights.npz"

_PIECE = 512


@dataclasses.dataclass(frozen=True)
class FlightPaths:
    """R looked-up flights of right-handers, in metres and seconds.

    Attributes
    ----------
    distance : (R,) where the flight comes to catching height; less than what was asked for if
        that was out of reach.
    reachable : (R,) bool; whether the distance asked for is in reach.
    duration : (R,) seconds until the disc is at `distance` at catching height.
    ground_time : (R,) seconds until it touches the ground, if nobody touches it.
    release_height, catch_height : metres.
    """

    distance: Array
    reachable: NDArray[np.bool_]
    duration: Array
    ground_time: Array
    release_height: float
    catch_height: float
    _curves: Array

    def at(self, t: Any) -> tuple[Array, Array, Array]:
        """Where each disc is at its time t (R,): along, aside (+ right), height, each (R,).

        Times before the release and after the landing count as those.
        """
        t = np.asarray(t, float)
        u = np.clip(t / self.duration, 0.0, 1.0)
        w = np.clip((t - self.duration) / (self.ground_time - self.duration), 0.0, 1.0)
        c, bow, bow_after = self._curves, u * (1 - u), w * (1 - w)
        first, second = 3 * BEFORE, 3 * BEFORE + AFTER
        along = self.distance * (u + bow * _polynomial(c[:BEFORE], u))
        along += w * _polynomial(c[first:second], w)
        aside = self.distance * bow * _polynomial(c[BEFORE : 2 * BEFORE], u)
        aside += w * _polynomial(c[second : second + AFTER], w)
        rise = self.catch_height - self.release_height
        height = self.release_height + rise * u - self.catch_height * w
        height += bow * _polynomial(c[2 * BEFORE : first], u)
        height += bow_after * _polynomial(c[second + AFTER :], w)
        return along, aside, height

    def take(self, index: Any) -> FlightPaths:
        """Return the flights of some rehearsals."""
        return FlightPaths(
            self.distance[index], self.reachable[index], self.duration[index],
            self.ground_time[index], self.release_height, self.catch_height,
            self._curves[:, index],
        )  # fmt: skip


def _polynomial(coefficients: Array, x: Array) -> Array:
    value = coefficients[-1]
    for c in coefficients[-2::-1]:
        value = value * x + c
    return value


@dataclasses.dataclass(frozen=True)
class FlightTable:
    """Solved flights over throw, shape, wind along, wind across and distance.

    Attributes
    ----------
    distances, winds_along, winds_across : the nodes, rising.
    cells : (throws, shapes, along, across, distances, COLUMNS); seconds per metre to the catch,
        seconds from there to the ground, then the coefficients of A to F.
    reach : (throws, shapes, along, across) longest distance (m) a throw gets to.
    release_height, catch_height : metres.
    """

    distances: Array
    winds_along: Array
    winds_across: Array
    cells: Array
    reach: Array
    release_height: float
    catch_height: float

    def look_up(
        self, throw: Any, shape: Any, distance: Any, wind_along: Any = 0.0, wind_across: Any = 0.0
    ) -> FlightPaths:
        """Flights of R throws of right-handers.

        Parameters
        ----------
        throw, shape : codes, places in THROWS and SHAPES.
        distance : m, to where the throw is aimed at catching height.
        wind_along, wind_across : m/s, positive blowing away from the thrower and to the right.

        Raises
        ------
        ValueError : if there is no throw or shape of a code.

        Notes
        -----
        A left-hander's flight is the mirror image: give `wind_across` and take `aside` with the
        other sign. Winds beyond the table count as its ends. A distance out of reach gives the
        flight to the longest distance in reach and `reachable` False; one below LEAST gives that.
        """
        throw, shape, distance, wind_along, wind_across = np.broadcast_arrays(
            np.atleast_1d(throw), shape, np.asarray(distance, float), wind_along, wind_across
        )
        corners = self._corners(throw, shape, wind_along, wind_across)
        reach = self._reach(corners)
        flown = np.clip(distance, LEAST, reach)
        share = flown / reach
        reaches, terms = self.reach.reshape(-1), []
        for block, weight in corners:
            asked = flown + (reaches[block] - reach) * (share * share)
            low, part = _place(self.distances, asked)
            near = block * len(self.distances) + low
            terms += [(near, weight * (1 - part)), (near + 1, weight * part)]
        columns = _blended(self.cells.reshape(-1, self.cells.shape[-1]), terms)
        duration = columns[0] * flown
        return FlightPaths(
            distance=flown,
            reachable=distance <= reach,
            duration=duration,
            ground_time=duration + columns[1],
            release_height=self.release_height,
            catch_height=self.catch_height,
            _curves=columns[2:],
        )

    def longest(
        self, throw: Any, shape: Any, wind_along: Any = 0.0, wind_across: Any = 0.0
    ) -> Array:
        """Longest distance (R,) in metres that throws of a shape get to in a wind."""
        arrays = np.broadcast_arrays(np.atleast_1d(throw), shape, wind_along, wind_across)
        return self._reach(self._corners(*arrays))

    def _corners(self, throw: Any, shape: Any, along: Any, across: Any) -> list[tuple[Any, Any]]:
        """The four wind nodes around each row: flat index of the block, weight."""
        for code, names in ((throw, THROWS), (shape, SHAPES)):
            if code.size and not 0 <= code.min() <= code.max() < len(names):
                raise ValueError(f"the code must be 0 to {len(names) - 1}, of {', '.join(names)}")
        i, a = _place(self.winds_along, along)
        j, b = _place(self.winds_across, across)
        n, m = len(self.winds_along), len(self.winds_across)
        block = ((throw * len(SHAPES) + shape) * n + i) * m + j
        return [
            (block, (1 - a) * (1 - b)),
            (block + 1, (1 - a) * b),
            (block + m, a * (1 - b)),
            (block + m + 1, a * b),
        ]

    def _reach(self, corners: list[tuple[Any, Any]]) -> Array:
        reach, total = self.reach.reshape(-1), 0.0
        for block, weight in corners:
            total = total + weight * reach[block]
        return np.asarray(total)


def _blended(cells: Array, terms: list[tuple[Index, Array]]) -> Array:
    """Sum of weighted rows of cells, turned to (columns, R)."""
    count = len(terms[0][0])
    result = np.empty((cells.shape[1], count))
    # In pieces that stay in a processor's cache: several times faster, and the same bits.
    for start in range(0, count, _PIECE):
        piece = slice(start, start + _PIECE)
        total = np.zeros((len(terms[0][0][piece]), cells.shape[1]))
        row = np.empty_like(total)
        for index, weight in terms:
            np.take(cells, index[piece], axis=0, out=row, mode="clip")
            row *= weight[piece, None]
            total += row
        result[:, piece] = total.T
    return result


def _place(nodes: Array, value: Any) -> tuple[Index, Array]:
    """Index of the node below each value and the share of the way to the next one."""
    held = np.clip(np.asarray(value, float), nodes[0], nodes[-1])
    low = np.clip(np.searchsorted(nodes, held, side="right") - 1, 0, len(nodes) - 2)
    return low, (held - nodes[low]) / (nodes[low + 1] - nodes[low])


def save(table: FlightTable, path: Path) -> None:
    """Write a table; single precision is finer than the fit by far."""
    np.savez_compressed(
        path,
        throws=np.array(THROWS),
        shapes=np.array(SHAPES),
        distances=table.distances,
        winds_along=table.winds_along,
        winds_across=table.winds_across,
        cells=table.cells.astype(np.float32),
        reach=table.reach,
        release_height=np.array(table.release_height),
        catch_height=np.array(table.catch_height),
    )


@lru_cache(maxsize=1)
def load_table() -> FlightTable:
    """Return the table stored in the package."""
    with resources.files("sim.flight").joinpath(FILE).open("rb") as stream, np.load(stream) as kept:
        if list(kept["throws"]) != list(THROWS) or list(kept["shapes"]) != list(SHAPES):
            raise ValueError("the stored table of flights is of another version; rebuild it")
        names = ("distances", "winds_along", "winds_across", "cells", "reach")
        arrays = [kept[name].astype(float) for name in names]
        heights = [float(kept[name]) for name in ("release_height", "catch_height")]
    return FlightTable(*arrays, *heights)
