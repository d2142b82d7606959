"""The two-way handler: reads which way the defender's hips are turned and takes the other side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.cuts.base import Cut, Runner
from policies.cuts.resets import Dump
from policies.cuts.strike import Strike
from policies.frame import length, unit
from sim.settings import setting


@dataclass(frozen=True)
class TwoWay(Cut):
    """Two-way: strike if the defender stands behind or leans back, dump if it fronts the strike."""

    lasts: float = setting(20.0, low=0.5, high=20.0, unit="s")
    angle: float = setting(45.0, low=10.0, high=85.0, unit="deg", source="common practice")
    depth: float = setting(9.0, low=1.0, high=40.0, unit="m", source="common practice")
    back: float = setting(3.5, low=-5.0, high=15.0, unit="m", source="common practice")
    wide: float = setting(4.0, low=0.0, high=25.0, unit="m")

    @property
    def _ways(self) -> tuple[Strike, Dump]:
        common = {
            "shape": self.shape,
            "pace": self.pace,
            "false_steps": self.false_steps,
            "release_offset": self.release_offset,
        }
        strike = Strike(angle=self.angle, depth=self.depth, **common)  # type: ignore[arg-type]
        dump = Dump(wide=self.wide, back=self.back, **common)  # type: ignore[arg-type]
        return strike, dump

    def strikes(self, runner: Runner) -> np.ndarray:
        """Whether the way to the strike is the open one, (R,) bool.

        Once on the move the runner goes on the way already taken.
        """
        line = np.array([np.sin(np.deg2rad(self.angle)), np.cos(np.deg2rad(self.angle))])
        target = self._ways[1].target(runner)
        lean = runner.guard - runner.pos
        fronted = lean[:, 0] * line[0] + lean[:, 1] * line[1] > 0.4
        back = unit(target - runner.pos)
        toward_strike = runner.vel[:, 0] * line[0] + runner.vel[:, 1] * line[1]
        toward_dump = runner.vel[:, 0] * back[:, 0] + runner.vel[:, 1] * back[:, 1]
        still = length(runner.vel) < 1.0
        return np.where(still, ~fronted, toward_strike > toward_dump)

    def _choose(self, runner: Runner, strike: np.ndarray, dump: np.ndarray) -> np.ndarray:
        takes = self.strikes(runner)
        return np.where(takes.reshape(-1, *(1,) * (strike.ndim - 1)), strike, dump)

    def heading(self, runner: Runner) -> np.ndarray:
        """The heading of the way taken."""
        strike, dump = self._ways
        return self._choose(runner, strike.heading(runner), dump.heading(runner))

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """The forecast of the way taken."""
        strike, dump = self._ways
        return self._choose(runner, strike.ahead(runner, time), dump.ahead(runner, time))

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """The cue of the way taken."""
        strike, dump = self._ways
        return self._choose(
            runner, strike.cue(runner, wind_up, meeting), dump.cue(runner, wind_up, meeting)
        )
