"""Cuts of the players downfield: back toward the disc, and deep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.cuts.base import SHAPES, Cut, Runner, sprint, travelled
from policies.frame import unit
from sim.settings import setting


@dataclass(frozen=True)
class Under(Cut):
    """Under: a cutter comes back toward the disc into the open side."""

    wide: float = setting(7.0, low=-15.0, high=20.0, unit="m", doc="to the open side of the disc")
    depth: float = setting(
        7.0, low=0.0, high=30.0, unit="m", doc="downfield of the disc, where the run would end"
    )

    def _way(self, runner: Runner) -> np.ndarray:
        target = np.broadcast_to(np.array([self.wide, self.depth]), runner.pos.shape)
        way = unit(target - runner.pos)
        # past the point the runner goes on the way already taken
        close = (runner.pos[:, 1] < self.depth + 1.0)[:, None]
        return np.where(close, unit(runner.vel + np.array([0.0, -1e-6])), way)

    def heading(self, runner: Runner) -> np.ndarray:
        """Straight at the point, at full speed."""
        return sprint(runner, self._way(runner), self.pace)

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """Along that line."""
        way = self._way(runner)
        return runner.pos + way * travelled(runner, way, self.pace, time)[:, None]

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Released once the cutter is coming at speed and not yet past the point."""
        way = self._way(runner)
        speed = runner.vel[:, 0] * way[:, 0] + runner.vel[:, 1] * way[:, 1]
        coming = speed > 0.45 * runner.speed
        late = runner.since + wind_up >= self.delay + 0.5 + self.release_offset
        return coming & late & (meeting[:, 1] > 1.0)


@dataclass(frozen=True)
class Deep(Cut):
    """Deep: away from the disc, for a long throw bent round the defender to the runner."""

    shape: str = setting("outside-in", choices=SHAPES, source="common practice")
    wide: float = setting(
        5.0, low=-15.0, high=20.0, unit="m", doc="to the open side of the disc, far away"
    )
    depth: float = setting(
        35.0, low=10.0, high=70.0, unit="m", doc="furthest that the thrower would throw it"
    )

    def _way(self, runner: Runner) -> np.ndarray:
        target = np.broadcast_to(np.array([self.wide, self.depth + 10.0]), runner.pos.shape)
        way = unit(target - runner.pos)
        # past the point the runner goes on the way already taken
        past = (runner.pos[:, 1] > self.depth + 9.0)[:, None]
        return np.where(past, unit(runner.vel + np.array([0.0, 1e-6])), way)

    def heading(self, runner: Runner) -> np.ndarray:
        """Straight away, at full speed."""
        return sprint(runner, self._way(runner), self.pace)

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """Along that line."""
        way = self._way(runner)
        return runner.pos + way * travelled(runner, way, self.pace, time)[:, None]

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Released once the runner is at speed and can still be reached."""
        away = runner.vel[:, 1] > 0.6 * runner.speed
        return away & (meeting[:, 1] <= self.depth) & (runner.since >= self.delay + 0.6)
