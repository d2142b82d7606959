"""What every cut has: a run, a forecast of it, and the moment to throw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.frame import coast, length, unit
from sim import motion
from sim.settings import check_settings, setting

BEND = 0.25  # s in which a runner turns the velocity into a new direction, grip allowing
SHAPES = ("flat", "inside-out", "outside-in", "floated")


@dataclass(frozen=True)
class Runner:
    """A cutter as the cut sees one, in the frame of the disc.

    `pos`, `vel`, `spot`, `guard` : (R, 2) m, m/s; the guard is the defender who covers the runner.
    `since` : (R,) s since the cut should have begun (negative: not yet).
    `speed`, `tau`, `grip` : (R,) top speed, time constant of the sprint law, grip cap.
    """

    pos: np.ndarray
    vel: np.ndarray
    spot: np.ndarray
    guard: np.ndarray
    since: np.ndarray
    speed: np.ndarray
    tau: np.ndarray
    grip: np.ndarray


@dataclass(frozen=True)
class Cut:
    """Settings that every cut has."""

    shape: str = setting("flat", choices=SHAPES, doc="how the disc is thrown")
    pace: float = setting(1.0, low=0.3, high=1.0, unit="", doc="share of top speed")
    false_steps: int = setting(0, low=0, high=5, unit="", doc="steps the other way before the cut")
    release_offset: float = setting(
        0.0, low=-1.0, high=1.5, unit="s", doc="release later than the cue by this"
    )

    lasts: float = setting(
        4.0, low=0.5, high=20.0, unit="s", doc="a cut that got no disc is over after this"
    )

    def __post_init__(self) -> None:
        check_settings(self)

    STEP = 0.35  # s that one false step takes

    def heading(self, runner: Runner) -> np.ndarray:
        """The wanted velocity once the cut is under way, (R, 2), in the frame."""
        raise NotImplementedError

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """Where the runner is expected `time` s from now, (R, 2), in the frame."""
        heading = motion.limit(self.heading(runner), runner.speed)
        return coast(runner.pos, runner.vel, heading, runner.tau, time)

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Whether a wind-up started now leads to a throw on time, (R,) bool.

        `wind_up` (R,) s until release, `meeting` (R, 2) where the disc would be caught.
        """
        return runner.since + wind_up >= self.release_offset

    def run(self, runner: Runner) -> np.ndarray:
        """The wanted velocity, false steps first, (R, 2), in the frame."""
        go = self.heading(runner)
        moving = self.delay
        if not moving:
            return go
        step = np.floor(runner.since / self.STEP)
        sign = np.where(step % 2 == 0, -1.0, 1.0)
        stepping = (runner.since < moving)[:, None]
        return np.where(stepping, sign[:, None] * unit(go) * runner.speed[:, None], go)

    @property
    def delay(self) -> float:
        """Seconds of false steps before the real run: each but the last has a step back."""
        return max(2 * self.false_steps - 1, 0) * self.STEP


def sprint(runner: Runner, way: np.ndarray, pace: float = 1.0) -> np.ndarray:
    """The intent that runs flat out along unit vectors `way` (R, 2), bending sharply into it."""
    wanted = way * (runner.speed * pace)[:, None]
    return runner.vel + (wanted - runner.vel) * (runner.tau / BEND)[:, None]


def travelled(runner: Runner, way: np.ndarray, pace: float, time: np.ndarray) -> np.ndarray:
    """Metres covered in `time` s along `way` (R, 2) by the sprint law, (R,)."""
    speed = runner.speed * pace
    along = np.maximum(runner.vel[:, 0] * way[:, 0] + runner.vel[:, 1] * way[:, 1], 0.0)
    lag = runner.tau * (1.0 - np.exp(-time / runner.tau))
    return speed * time - (speed - along) * lag


def go_to(runner: Runner, target: np.ndarray, pace: float = 1.0) -> np.ndarray:
    """A wanted velocity that brings the runner to `target` (R, 2) and stops there."""
    return motion.arrive(
        runner.pos,
        runner.vel,
        target,
        runner.speed,
        runner.tau,
        runner.grip,
        speed=runner.speed * pace,
    )


def place_after(runner: Runner, target: np.ndarray, time: np.ndarray) -> np.ndarray:
    """Where a runner who stops at `target` is expected after `time` s, (R, 2)."""
    gap = target - runner.pos
    want = unit(gap) * runner.speed[:, None]
    free = coast(runner.pos, runner.vel, want, runner.tau, time)
    made = length(free - runner.pos)
    share = np.clip(made / np.maximum(length(gap), 1e-9), 0.0, 1.0)
    return runner.pos + gap * share[:, None]
