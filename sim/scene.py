"""The start of a play as the physical game needs it: who stands where, and who holds the disc."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field as default

import numpy as np

from sim.ability import Ability
from sim.field import Field

OFFENCE, DEFENCE = "offence", "defence"
UNTIL = ("throw", "reset", "possession")


@dataclass(frozen=True)
class Wind:
    """A steady wind over the ground: `speed` m/s blowing toward `toward` rad from +y, + right."""

    speed: float = 0.0
    toward: float = 0.0

    @property
    def vector(self) -> tuple[float, float]:
        """Components (x, y), m/s."""
        return (float(self.speed * np.sin(self.toward)), float(self.speed * np.cos(self.toward)))


@dataclass(frozen=True)
class Start:
    """One player at the start. `guards` is the slot of the attacker a defender covers, or -1."""

    name: str
    role: str
    at: tuple[float, float]
    ability: Ability = default(default_factory=Ability)
    hand: int = 1
    guards: int = -1


@dataclass(frozen=True)
class Scene:
    """A whole start: attackers first, then defenders; `holder` is the slot with the disc.

    Attributes
    ----------
    stall : the number of the count last said when play starts (0: no count yet).
    pace : seconds from the start of one number to the start of the next, at least 1 by rule 9.1.
    until : "throw", "reset" or "possession": when a rehearsal is over.
    resets : with "reset", how many times a pass has to restart the count.
    time_cap : seconds after which a rehearsal is cut off and counted as such.
    spread : m, standard deviation of where attackers stand at the start (judgement).
    tick : seconds of one step.
    """

    field: Field
    attackers: tuple[Start, ...]
    defenders: tuple[Start, ...]
    holder: int
    stall: float = 0.0
    pace: float = 1.0
    until: str = "throw"
    resets: int = 1
    time_cap: float = 20.0
    spread: float = 0.4
    wind: Wind = default(default_factory=Wind)
    tick: float = 0.05

    def __post_init__(self) -> None:
        if not 0 <= self.holder < len(self.attackers):
            raise ValueError("nobody has the disc: name one attacker as the holder")
        if self.until not in UNTIL:
            raise ValueError(f"until is {self.until!r}; allowed are {', '.join(UNTIL)}")
        if self.pace < 1.0:
            raise ValueError(f"pace is {self.pace} s; rule 9.1 asks for at least 1 s")

    @property
    def players(self) -> tuple[Start, ...]:
        """Everybody, in slot order."""
        return self.attackers + self.defenders

    def each(self, name: str) -> np.ndarray:
        """One ability of everybody, shape (P,)."""
        return np.array([getattr(p.ability, name) for p in self.players], dtype=float)

    @property
    def hands(self) -> np.ndarray:
        """+1 right-handed, -1 left-handed, shape (P,)."""
        return np.array([p.hand for p in self.players], dtype=float)

    @property
    def guards(self) -> np.ndarray:
        """The slot each player covers, -1 for nobody, shape (P,)."""
        return np.array([p.guards for p in self.players], dtype=np.int64)


def slot_of(players: Sequence[Start], name: str) -> int:
    """The slot of the player called `name`; ValueError when there is none."""
    for slot, player in enumerate(players):
        if player.name == name:
            return slot
    raise ValueError(f"no player is called {name!r}")
