"""The strike: from the break side, across the thrower's front, caught on the open side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.cuts.base import Cut, Runner
from policies.frame import coast
from sim.settings import setting


@dataclass(frozen=True)
class Strike(Cut):
    """Strike across the front: a diagonal from the break side, thrown as it crosses the front."""

    angle: float = setting(
        45.0, low=10.0, high=85.0, unit="deg", source="common practice", doc="0 is straight downfield"
    )
    depth: float = setting(
        9.0,
        low=1.0,
        high=40.0,
        unit="m",
        source="common practice",
        doc="downfield of the disc; the run bends flat there",
    )
    toward: str = setting(
        "open", choices=("open", "break"), doc="the side it runs to; 'break' is the wrong way round"
    )

    def _side(self) -> float:
        return 1.0 if self.toward == "open" else -1.0

    def heading(self, runner: Runner) -> np.ndarray:
        """The diagonal, and flat once the depth is reached."""
        angle = np.deg2rad(self.angle)
        stop = 0.35 * np.maximum(runner.vel[:, 1], 0.0)  # a runner needs room to bend
        flat = runner.pos[:, 1] + stop >= self.depth
        across = np.where(flat, 1.0, np.sin(angle)) * self._side()
        down = np.where(flat, 0.0, np.cos(angle))
        return np.stack([across, down], axis=-1) * (runner.speed * self.pace)[:, None]

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """On the diagonal, what would be beyond the depth laid over sideways."""
        free = coast(runner.pos, runner.vel, self.heading(runner), runner.tau, time)
        top = np.maximum(runner.pos[:, 1], self.depth)
        beyond = np.maximum(free[:, 1] - top, 0.0)
        return np.stack([free[:, 0] + self._side() * 0.5 * beyond, free[:, 1] - beyond], axis=-1)

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Released as the runner crosses the thrower's front, and not short of the depth."""
        side = self._side()
        crossing = side * (runner.pos[:, 0] + runner.vel[:, 0] * (wind_up - self.release_offset))
        running = (runner.since > self.delay) & (side * runner.vel[:, 0] > 0.5)
        deep = meeting[:, 1] >= self.depth - 2.0
        return running & (crossing >= 0.0) & deep
