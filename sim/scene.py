"""The start of a play as the physical game needs it: who stands where, and who holds the disc."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from dataclasses import field as default
from typing import Any

import numpy as np

from sim.ability import Ability
from sim.elementary import cos, sin
from sim.field import Field
from sim.luck import MOST
from sim.settings import number_of
from sim.state import BODY, PLAYERS, RING

OFFENCE, DEFENCE = "offence", "defence"
UNTIL = ("throw", "reset", "possession")
MOST_WIND = 10.0  # m/s, as far as the table of flights goes


@dataclass(frozen=True)
class Wind:
    """A steady wind over the ground: `speed` m/s blowing toward `toward` rad from +y, + right."""

    speed: float = 0.0
    toward: float = 0.0

    @property
    def vector(self) -> tuple[float, float]:
        """Components (x, y), m/s."""
        return (self.speed * sin(self.toward), self.speed * cos(self.toward))


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
    tick : seconds of one step of the motion.
    decide_every : seconds between two decisions of everybody, a whole number of ticks.
    open_side : +1 or -1, the side that the force leaves open at the start.
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
    decide_every: float = 0.05
    open_side: int = 1

    def __post_init__(self) -> None:
        if not 0 <= self.holder < len(self.attackers):
            raise ValueError("nobody has the disc: name one attacker as the holder")
        if self.until not in UNTIL:
            raise ValueError(f"until is {self.until!r}; allowed are {', '.join(UNTIL)}")
        if abs(self.ticks_a_decision * self.tick - self.decide_every) > 1e-9:
            raise ValueError(
                f"decide_every is {self.decide_every} s; it must be a whole number of ticks of "
                f"{self.tick} s"
            )
        if self.wind.speed > MOST_WIND:
            raise ValueError(
                f"wind of {self.wind.speed:g} m/s; the flights are known up to {MOST_WIND:g} m/s"
            )
        if len(self.players) > PLAYERS:
            raise ValueError(f"{len(self.players)} players; at most {PLAYERS} in a play")
        if self.depth > RING:
            raise ValueError(
                f"tick is {self.tick} s: too fine to remember {RING} ticks of the slowest reaction"
            )
        if self.pace < 1.0:
            raise ValueError(f"pace is {self.pace} s; rule 9.1 asks for at least 1 s")

    @property
    def players(self) -> tuple[Start, ...]:
        """Everybody, in slot order."""
        return self.attackers + self.defenders

    def write_ground(self, ground: Any) -> None:
        """Write the field, the rules and the clock into a record `sim.state.GROUND`."""
        field = self.field
        ground.half_width, ground.goal_line = field.half_width, field.goal_line
        ground.low, ground.high = field.back_lines
        ground.last_number, ground.mark_radius = float(field.stall), field.stall_radius
        ground.pace, ground.time_cap, ground.spread = self.pace, self.time_cap, self.spread
        ground.wind_x, ground.wind_y = self.wind.vector
        ground.tick, ground.every, ground.depth = self.tick, self.ticks_a_decision, self.depth
        ground.until, ground.resets = UNTIL.index(self.until), self.resets
        ground.attackers, ground.players = len(self.attackers), len(self.players)
        ground.holder, ground.stall, ground.open_side = self.holder, self.stall, self.open_side

    def write_body(self, body: Any) -> None:
        """Write what does not change about everybody into records `sim.state.BODY`."""
        for slot, player in enumerate(self.players):
            row = body[slot]
            row.offence = int(slot < len(self.attackers))
            row.handler = int(player.role == "handler")
            row.guards, row.hand = player.guards, player.hand
            row.forehand_strong = int(player.ability.strong_side == "forehand")
            row.start_x, row.start_y = player.at
            for entry in dataclasses.fields(Ability):
                if entry.name in (BODY.names or ()):
                    value = number_of(entry, getattr(player.ability, entry.name))
                    setattr(row, entry.name, value)

    @property
    def ticks_a_decision(self) -> int:
        """How many ticks lie between two decisions of everybody."""
        return max(1, round(self.decide_every / self.tick))

    @property
    def depth(self) -> int:
        """How many ticks of the past are kept: the slowest reaction there can be, and three more."""
        slowest = max(
            max(p.ability.reaction * (1.0 + MOST * p.ability.reaction_spread), p.ability.tracking)
            for p in self.players
        )
        return int(np.ceil(slowest / self.tick)) + 3
