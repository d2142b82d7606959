"""The short resets: behind, across, up the line, around, and back to the giver."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.cuts.base import Cut, Runner, go_to, place_after, sprint, travelled
from policies.frame import unit
from sim.settings import setting


@dataclass(frozen=True)
class ToSpot(Cut):
    """A cut to a spot beside the disc, where the runner stops."""

    lasts: float = setting(20.0, low=0.5, high=20.0, unit="s")
    wide: float = setting(4.0, low=0.0, high=25.0, unit="m", doc="to the side of the disc")
    back: float = setting(3.5, low=-15.0, high=15.0, unit="m", doc="behind the disc")
    side: str = setting(
        "own", choices=("own", "open", "break"), doc="which side of the disc; own: where one stands"
    )

    def target(self, runner: Runner) -> np.ndarray:
        """The spot, (R, 2), in the frame."""
        own = np.where(runner.spot[:, 0] >= 0.0, 1.0, -1.0)
        sign = {"own": own, "open": np.ones_like(own), "break": -np.ones_like(own)}[self.side]
        return np.stack([sign * self.wide, np.full_like(own, -self.back)], axis=-1)

    def heading(self, runner: Runner) -> np.ndarray:
        """Straight to the spot."""
        return go_to(runner, self.target(runner), self.pace)

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """On the way to the spot, or on it."""
        return place_after(runner, self.target(runner), time)


@dataclass(frozen=True)
class Dump(ToSpot):
    """Dump: a few metres behind the disc and to the side; safe, gives up ground."""

    wide: float = setting(4.0, low=0.0, high=25.0, unit="m", source="common practice")
    back: float = setting(
        3.5, low=-5.0, high=15.0, unit="m", source="3-4 m behind, common practice"
    )


@dataclass(frozen=True)
class Swing(ToSpot):
    """Swing: across to the handler on the open side, who steps back for it."""

    wide: float = setting(10.0, low=2.0, high=25.0, unit="m", source="handlers 9-12 m apart")
    back: float = setting(2.0, low=-5.0, high=10.0, unit="m")
    side: str = setting("open", choices=("own", "open", "break"))


@dataclass(frozen=True)
class Around(ToSpot):
    """Around: into the break side behind the mark, for a throw around it."""

    wide: float = setting(7.0, low=1.0, high=25.0, unit="m")
    back: float = setting(1.0, low=-10.0, high=10.0, unit="m")
    side: str = setting("break", choices=("own", "open", "break"))


@dataclass(frozen=True)
class UpLine(Cut):
    """Up the line: from beside the disc straight downfield, along the sideline of that side."""

    depth: float = setting(8.0, low=1.0, high=40.0, unit="m", doc="downfield of the disc")
    wide: float = setting(3.5, low=0.0, high=15.0, unit="m", doc="to the side, at that depth")
    side: str = setting("own", choices=("own", "open", "break"))

    def _target(self, runner: Runner) -> np.ndarray:
        own = np.where(runner.spot[:, 0] >= 0.0, 1.0, -1.0)
        sign = {"own": own, "open": np.ones_like(own), "break": -np.ones_like(own)}[self.side]
        return np.stack([sign * self.wide, np.full_like(own, self.depth)], axis=-1)

    def heading(self, runner: Runner) -> np.ndarray:
        """To a point up the line, at full speed past it."""
        way = self._target(runner) - runner.pos
        short = way[:, 1] < 1.0
        way = np.where(short[:, None], np.array([0.0, 1.0]), way)
        size = np.sqrt(way[:, 0] * way[:, 0] + way[:, 1] * way[:, 1])
        return sprint(runner, way / size[:, None], self.pace)

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """On the line to that point, and past it."""
        way = unit(self._target(runner) - runner.pos)
        way = np.where(way[:, 1:] < 0.1, np.array([0.0, 1.0]), way)
        return runner.pos + way * travelled(runner, way, self.pace, time)[:, None]

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Released as the runner comes level with the disc."""
        level = runner.pos[:, 1] + runner.vel[:, 1] * (wind_up - self.release_offset)
        return (runner.since > self.delay) & (level >= 0.0) & (runner.vel[:, 1] > 0.5)


@dataclass(frozen=True)
class GiveAndGo(UpLine):
    """Give and go: the one who has just thrown runs past the new thrower for the disc back."""

    depth: float = setting(8.0, low=1.0, high=40.0, unit="m")


@dataclass(frozen=True)
class Stand(Cut):
    """Stand: the receiver stays on the spot and shows a hand."""

    lasts: float = setting(20.0, low=0.5, high=20.0, unit="s")

    def heading(self, runner: Runner) -> np.ndarray:
        """Back to the spot."""
        return go_to(runner, runner.spot)

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """Where the runner is."""
        return runner.pos + 0.0 * time[:, None]
