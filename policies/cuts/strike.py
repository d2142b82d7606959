"""The strike: from the break side, across the thrower's front, caught on the open side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.cuts.base import Cut, Runner, sprint, travelled
from sim.settings import setting


@dataclass(frozen=True)
class Strike(Cut):
    """Strike across the front: a diagonal from the break side, thrown as it crosses the front."""

    angle: float = setting(
        45.0,
        low=10.0,
        high=85.0,
        unit="deg",
        source="common practice",
        doc="0 is straight downfield",
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
        """The diagonal, and flat once the depth is near."""
        down = np.maximum(runner.vel[:, 1], 0.0)
        room = down * down / (2.0 * runner.grip)  # what the bend itself takes
        flat = (runner.pos[:, 1] + room >= self.depth)[:, None]
        way = np.where(flat, np.array([self._side(), 0.0]), self._diagonal())
        return sprint(runner, way, self.pace)

    def _diagonal(self) -> np.ndarray:
        angle = np.deg2rad(self.angle)
        return np.array([self._side() * np.sin(angle), np.cos(angle)])

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """Along the diagonal to the depth; then along the flat, the bend having cost speed."""
        way = np.broadcast_to(self._diagonal(), runner.pos.shape)
        left = np.maximum(self.depth - runner.pos[:, 1], 0.0) / way[:, 1]
        first = np.minimum(travelled(runner, way, self.pace, time), left)
        speed = runner.vel[:, 0] * way[:, 0] + runner.vel[:, 1] * way[:, 1]
        turn = np.minimum(left / np.maximum(speed, 2.0), time)  # when the flat begins
        flat = np.broadcast_to(np.array([self._side(), 0.0]), runner.pos.shape)
        rest = np.where(
            first < left, 0.0, travelled(runner, flat, self.pace, np.maximum(time - turn, 0.0))
        )
        x = runner.pos[:, 0] + first * way[:, 0] + rest * self._side()
        return np.stack([x, runner.pos[:, 1] + first * way[:, 1]], axis=-1)

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Released as the runner crosses the thrower's front, and not short of the depth."""
        side = self._side()
        crossing = side * (runner.pos[:, 0] + runner.vel[:, 0] * (wind_up - self.release_offset))
        running = (runner.since > self.delay) & (side * runner.vel[:, 0] > 0.5)
        deep = meeting[:, 1] >= self.depth - 2.0
        return running & (crossing >= 0.0) & deep
