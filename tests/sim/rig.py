"""Plays laid out by hand for tests of the physical game: few players, no chance but what is asked.

A seeded test of a frequency either always passes or always fails; the false-alarm rate it names is
the chance that a right simulator would have failed when its seed was picked.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import stats
from sim.world import World

from sim.ability import Ability
from sim.field import named
from sim.flight import FlightTable
from sim.intent import BACKHAND, FLAT, Intent, Throw
from sim.possession import Possession
from sim.scene import Scene, Start
from sim.view import View

# One wrong alarm in a million right simulators.
ALARM = 1e-6

# Nothing about such a player is left to chance.
SURE = Ability(
    aim_error=0.0,
    loft_error=0.0,
    pace_error=0.0,
    hands=1.0,
    stretch_hands=1.0,
    reaction_spread=0.0,
    misread=0.0,
    misread_again=0.0,
)
FAR_AWAY = (-17.0, -17.0)


def sure(**changes: Any) -> Ability:
    """A player of whom nothing is left to chance, with some abilities changed."""
    return dataclasses.replace(SURE, **changes)


def player(
    name: str,
    at: tuple[float, float],
    ability: Ability = SURE,
    *,
    hand: int = 1,
    role: str = "handler",
    guards: int = -1,
) -> Start:
    """A player at a place; sure of everything unless told otherwise."""
    return Start(name, role, at, ability, hand, guards)


def lay_out(
    attackers: Sequence[Start], defenders: Sequence[Start] = (), *, holder: int = 0, **more: Any
) -> Scene:
    """A scene on a WFDF field, everybody exactly on the mark; a lone bystander for a defence."""
    if not defenders:
        defenders = [player("bystander", FAR_AWAY, role="defender")]
    more.setdefault("field", named("wfdf"))
    more.setdefault("spread", 0.0)
    return Scene(attackers=tuple(attackers), defenders=tuple(defenders), holder=holder, **more)


def world_of(scene: Scene, n: int = 1, seed: int = 1, open_side: int = 1) -> World:
    """The start of a scene, `n` times."""
    return World.begin(scene, np.arange(n), seed, open_side)


@dataclass(frozen=True)
class Script:
    """A policy written by hand.

    Attributes
    ----------
    aim : where the thrower throws it, m; None keeps it.
    thrower, to : slots of the only one who throws and of the receiver.
    kind, shape, over : of the throw.
    after : s from the start of the rehearsal before which nobody throws.
    runs : velocity wanted by the player in a slot, m/s; the others stand still.
    watches : the slot that each player attends to, for those named.
    """

    aim: tuple[float, float] | None = None
    thrower: int = 0
    to: int = 1
    kind: int = BACKHAND
    shape: int = FLAT
    over: bool = False
    after: float = 0.0
    runs: dict[int, Callable[[View], np.ndarray] | tuple[float, float]] = dataclasses.field(
        default_factory=dict
    )
    watches: dict[int, int] = dataclasses.field(default_factory=dict)

    def decide(self, view: View) -> Intent:
        n = len(view)
        run: Any = self.runs.get(view.slot, (0.0, 0.0))
        run = run(view) if callable(run) else np.broadcast_to(np.array(run, dtype=float), (n, 2))
        watch = self.watches.get(view.slot)
        throw = None
        if view.has_disc and view.slot == self.thrower and self.aim is not None:
            throw = Throw(
                go=np.full(n, view.now >= self.after - 1e-9),
                to=np.full(n, self.to),
                aim=np.tile(np.array(self.aim, dtype=float), (n, 1)),
                kind=np.full(n, self.kind),
                shape=np.full(n, self.shape),
                over=np.full(n, self.over),
                look=np.full(n, -1),
                estimate=np.full(n, 0.5),
            )
        return Intent(
            run=run.copy(), throw=throw, watch=None if watch is None else np.full(n, watch)
        )


def possession(
    scene: Scene,
    offence: Any,
    defence: Any | None = None,
    n: int = 1,
    *,
    seed: int = 1,
    first: int = 0,
    **more: Any,
) -> Possession:
    """`n` rehearsals of a scene, ready to run; the defence stands still unless told otherwise."""
    defence = Script() if defence is None else defence
    return Possession(scene, offence, defence, np.arange(first, first + n), seed, **more)


@dataclass(frozen=True)
class StraightPaths:
    """Flights along the aim at chest height, 10 m/s, down 1 s after the catching point."""

    distance: np.ndarray

    @property
    def duration(self) -> np.ndarray:
        return self.distance / 10.0

    @property
    def ground_time(self) -> np.ndarray:
        return self.duration + 1.0

    def at(self, t: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        late = np.maximum(t - self.duration, 0.0)
        return 10.0 * t, np.zeros(len(t)), 1.2 * (1.0 - late)


class StraightTable(FlightTable):
    """A table of flights simple enough to work out by hand, to see the errors of a throw alone."""

    def __init__(self) -> None:
        """Nothing is looked up."""

    def look_up(self, throw: Any, shape: Any, distance: Any, *wind: Any) -> Any:
        return StraightPaths(np.asarray(distance, dtype=float))

    def longest(self, throw: Any, shape: Any, *wind: Any) -> np.ndarray:
        return np.full(len(throw), 90.0)


def fits(successes: int, n: int, rate: float, alarm: float = ALARM) -> bool:
    """Whether a count is one that `rate` would give, but for false alarms at the rate `alarm`."""
    low = stats.binom.cdf(successes, n, rate)
    high = stats.binom.sf(successes - 1, n, rate)
    return bool(min(low, high) > alarm / 2.0)


def spread_fits(values: np.ndarray, sd: float, alarm: float = ALARM) -> bool:
    """Whether normal values have mean 0 and this standard deviation; two tests share `alarm`."""
    n = len(values)
    mean = abs(values.mean()) * np.sqrt(n) / sd
    square = ((values - values.mean()) ** 2).sum() / sd**2
    tails = stats.chi2.cdf(square, n - 1), stats.chi2.sf(square, n - 1)
    return bool(2 * stats.norm.sf(mean) > alarm / 2.0 and min(tails) > alarm / 4.0)
