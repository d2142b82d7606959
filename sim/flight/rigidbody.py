"""Rigid-body flight of a spinning disc, integrated by scipy's solve_ivp.

The equations and their sources are in `sim.flight.dynamics`.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from sim.flight.coefficients import Coefficients
from sim.flight.disc import Disc
from sim.flight.dynamics import full, steady
from sim.flight.release import Array, Release


@dataclasses.dataclass(frozen=True)
class Flight:
    """N flights sampled at common times.

    Attributes
    ----------
    times : (T,) seconds, evenly spaced from release.
    states : (T, 12 or 10, N) as in `sim.flight.dynamics`; a flight goes on below the ground.
    """

    times: Array
    states: Array

    def at(self, t: Array) -> Array:
        """Positions (3, N) at times t (N,), by cubics through positions and velocities."""
        step = self.times[1] - self.times[0]
        low, s = self._place(t)
        each = np.arange(self.states.shape[2])
        before, after = self.states[low, :6, each].T, self.states[low + 1, :6, each].T
        h00, h10 = (1 + 2 * s) * (1 - s) ** 2, s * (1 - s) ** 2
        h01, h11 = s * s * (3 - 2 * s), s * s * (s - 1)
        return h00 * before[:3] + h10 * step * before[3:] + h01 * after[:3] + h11 * step * after[3:]

    def _place(self, t: Array) -> tuple[NDArray[np.intp], Array]:
        """Sample before each time and the share of the way to the next one."""
        place = np.asarray(t, float) / (self.times[1] - self.times[0])
        place = np.clip(np.nan_to_num(place), 0.0, len(self.times) - 1.0)
        low = np.minimum(place.astype(np.intp), len(self.times) - 2)
        return low, place - low

    def first(self, axis: int, level: Any, after: Any = 0.0, falling: bool = False) -> Array:
        """Time (N,) at which a coordinate first crosses a level after a time; NaN if never."""
        after = np.broadcast_to(np.asarray(after, float), self.states.shape[2:])
        gap = self.states[:, axis, :] - level
        sign = -1.0 if falling else 1.0
        crossed = (sign * gap[:-1] < 0) & (sign * gap[1:] >= 0)
        crossed &= self.times[1:, None] > after
        found = crossed.any(axis=0)
        row = np.argmax(crossed, axis=0)
        low, high = np.maximum(self.times[row], after), self.times[row + 1]
        for _ in range(40):
            middle = 0.5 * (low + high)
            past = sign * (self.at(middle)[axis] - level) >= 0
            low, high = np.where(past, low, middle), np.where(past, middle, high)
        return np.where(found, 0.5 * (low + high), np.nan)

    def mean(self, row: int, until: Array) -> Array:
        """Mean (N,) of one number of the state from release until a time (N,)."""
        step, values = self.times[1] - self.times[0], self.states[:, row, :]
        summed = np.zeros_like(values)
        np.cumsum(0.5 * step * (values[1:] + values[:-1]), axis=0, out=summed[1:])
        low, share = self._place(until)
        each = np.arange(values.shape[1])
        return ((1 - share) * summed[low, each] + share * summed[low + 1, each]) / until

    def landing(self) -> Array:
        """Time (N,) at which each disc touches the ground."""
        return self.first(2, 0.0, falling=True)

    def catching(self, height: float = 1.2) -> Array:
        """Time (N,) at which each disc comes down through the catching height."""
        return self.first(2, height, falling=True)


def fly(
    release: Release,
    disc: Disc,
    coefficients: Coefficients,
    *,
    wind_across: Any = 0.0,
    wind_along: Any = 0.0,
    far: Any = np.inf,
    floor: float = 0.0,
    wobble: bool = True,
    longest: float = 15.0,
    step: float = 0.02,
    tolerance: float = 1e-6,
) -> Flight:
    """Fly N discs from their release until all of them are on the ground.

    Parameters
    ----------
    wind_across, wind_along : m/s, (N,) or a number, positive toward right and away.
    far, floor : a flight matters until it is this far along (m, (N,) or a number) or below this
        height (m); the integration ends when no flight matters any more.
    wobble : False leaves out the nutation, which is some ten times faster and good enough to
        search with: a few centimetres off where the disc is caught.
    longest : seconds after which the flights are cut off.
    step : seconds between samples; the integrator chooses its own steps.
    tolerance : relative tolerance of the integrator, absolute in metres and m/s.

    Raises
    ------
    RuntimeError : if the integrator gives up.
    """
    start = release.state(disc)
    wind_across, wind_along = np.asarray(wind_across, float), np.asarray(wind_along, float)
    count = np.broadcast_shapes(start.shape[1:], wind_across.shape, wind_along.shape)[0]
    start = np.broadcast_to(start, (12, count)).copy()
    equations = full
    if not wobble:
        spin = np.broadcast_to(np.asarray(release.spin, float), (count,))
        start, equations = np.concatenate([start[:9], spin[None]]), steady
    size, wind = len(start), (wind_across, wind_along)

    def rate(_: float, flat: Array) -> Array:
        return equations(flat.reshape(size, count), wind, disc, coefficients).ravel()

    def all_done(_: float, flat: Array) -> float:
        # A margin, so that the last crossing lies inside the samples.
        along, height = flat[count : 2 * count], flat[2 * count : 3 * count]
        return float(np.minimum(height - floor + 0.5, far + 1.0 - along).max())

    all_done.terminal = True  # type: ignore[attr-defined]
    # The angular momentum is of the order of 0.1, everything else of 1 and more.
    absolute = np.repeat([tolerance] * 9 + [0.1 * tolerance] * (size - 9), count)
    times = np.arange(round(longest / step) + 1) * step
    solved = solve_ivp(
        rate, (0.0, times[-1]), start.ravel(), "RK45", times,
        events=all_done, rtol=tolerance, atol=absolute,
    )  # fmt: skip
    if not solved.success:
        raise RuntimeError(f"the flight could not be integrated: {solved.message}")
    return Flight(times=solved.t, states=solved.y.T.reshape(len(solved.t), size, count))
