"""What is written down of each rehearsal: one row, and the whole path when asked for."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as default
from typing import Any

import numpy as np

from sim.field import Field
from sim.scene import Scene
from sim.world import World

OUTCOMES = (
    "completed",
    "goal",
    "blocked by the mark",
    "blocked",
    "dropped",
    "missed",
    "out of bounds",
    "stalled",
    "time cap",
)
KEPT = OUTCOMES[:2]  # the offence still has the disc, or has scored
TRAPPED_WITHIN = 5.0  # m from a sideline

_NUMBERS = (
    "stall_at_release",
    "release_s",
    "estimate",
    "distance_m",
    "flight_s",
    "separation_m",
    "start_x_m",
    "start_y_m",
    "end_x_m",
    "end_y_m",
    "trapped_s",
    "duration_s",
    "aim_x_m",
    "aim_y_m",
)
_SLOTS = ("thrower", "receiver", "stopper", "look")


class Record:
    """Rows of results, filled while rehearsals are thrown and ended.

    The columns about a throw are of the last one; `stall_at_release`, `release_s`, `look`,
    `estimate`, `distance_m`, `separation_m` and the aim are of the first.
    """

    def __init__(self, scene: Scene, rehearsals: np.ndarray) -> None:
        n = len(rehearsals)
        self.scene = scene
        self.rehearsals = np.asarray(rehearsals, dtype=np.int64)
        self.numbers = {name: np.full(n, np.nan) for name in _NUMBERS}
        self.slots = {name: np.full(n, -1, dtype=np.int64) for name in _SLOTS}
        self.outcome = np.full(n, -1, dtype=np.int64)
        self.throws = np.zeros(n, dtype=np.int64)
        start = scene.attackers[scene.holder].at
        self.numbers["start_x_m"][:] = start[0]
        self.numbers["start_y_m"][:] = start[1]

    def throw(self, world: World, rows: np.ndarray, now: float) -> None:
        """Write down throws released just now in the rehearsals `rows` of the world."""
        at = world.row[rows]
        self.slots["thrower"][at] = world.thrower[rows]
        self.slots["receiver"][at] = world.receiver[rows]
        self.throws[at] = world.throws[rows]
        first = world.throws[rows] == 1
        at, rows = at[first], rows[first]
        if not rows.size:
            return
        who, to = world.thrower[rows], world.receiver[rows]
        aim, start = world.aim[rows], world.pos[rows, who]
        first_defender = len(self.scene.attackers)
        away = world.pos[rows][:, first_defender:] - world.pos[rows, to][:, None]
        near2 = away[..., 0] * away[..., 0] + away[..., 1] * away[..., 1]
        near2 = near2.min(axis=1, initial=np.inf)
        dx, dy = aim[:, 0] - start[:, 0], aim[:, 1] - start[:, 1]
        values = {
            "stall_at_release": world.count(now, self.scene.pace)[rows],
            "release_s": np.full(len(rows), now),
            "estimate": world.estimate[rows],
            "distance_m": np.sqrt(dx * dx + dy * dy),
            "separation_m": np.where(np.isfinite(near2), np.sqrt(near2), np.nan),
            "aim_x_m": aim[:, 0],
            "aim_y_m": aim[:, 1],
        }
        for name, value in values.items():
            self.numbers[name][at] = value
        self.slots["look"][at] = world.look[rows]

    def end(
        self,
        world: World,
        rows: np.ndarray,
        outcome: str,
        place: np.ndarray,
        now: np.ndarray | float,
        stopper: np.ndarray | None = None,
    ) -> None:
        """Write down how the rehearsals `rows` ended, with the disc at `place` (r, 2)."""
        at = world.row[rows]
        self.outcome[at] = OUTCOMES.index(outcome)
        self.numbers["end_x_m"][at] = place[:, 0]
        self.numbers["end_y_m"][at] = place[:, 1]
        self.numbers["duration_s"][at] = now
        self.numbers["trapped_s"][at] = world.trapped_for[rows]
        if stopper is not None:
            self.slots["stopper"][at] = stopper

    def flight(self, world: World, rows: np.ndarray, seconds: np.ndarray) -> None:
        """Write down how long the first throw of the rehearsals `rows` was in the air."""
        first = world.throws[rows] == 1
        self.numbers["flight_s"][world.row[rows[first]]] = seconds[first]

    def columns(self, looks: tuple[str, ...] = ()) -> dict[str, np.ndarray]:
        """The table as named columns, one entry a rehearsal."""
        names = np.array([p.name for p in self.scene.players] + [""], dtype=object)
        outcome = np.array(OUTCOMES, dtype=object)[self.outcome]
        completed = np.isin(self.outcome, [OUTCOMES.index(word) for word in KEPT])
        numbers = self.numbers
        gain = np.where(completed, numbers["end_y_m"] - numbers["start_y_m"], np.nan)
        off_centre = np.abs(numbers["end_x_m"])
        edge = self.scene.field.half_width - TRAPPED_WITHIN
        goal = self.outcome == OUTCOMES.index("goal")
        look = np.array([*looks, ""], dtype=object)[np.minimum(self.slots["look"], len(looks))]
        return {
            "rehearsal": self.rehearsals,
            "outcome": outcome,
            "completed": completed,
            "goal": goal,
            "throws": self.throws,
            "look": look,
            "thrower": names[self.slots["thrower"]],
            "receiver": names[self.slots["receiver"]],
            "stopper": names[self.slots["stopper"]],
            **{name: values for name, values in numbers.items()},
            "gain_m": gain,
            "off_centre_m": np.where(completed, off_centre, np.nan),
            "trapped": completed & ~goal & (off_centre > edge),
        }


@dataclass(frozen=True)
class Tape:
    """The whole path of one rehearsal, T instants.

    Attributes
    ----------
    times : (T,) s. positions, velocities : (T, P, 2). disc : (T, 3) m.
    holder : (T,) slot, -1 while the disc flies. count : (T,) stall count, 0 with none.
    mark : (T,) slot of the marker or -1. mark_reach : (T, 2) bearings (rad) it stops.
    names, teams, roles : of the P players. outcome, row : the rehearsal's result.
    """

    times: np.ndarray
    positions: np.ndarray
    velocities: np.ndarray
    disc: np.ndarray
    holder: np.ndarray
    count: np.ndarray
    mark: np.ndarray
    mark_reach: np.ndarray
    names: tuple[str, ...]
    teams: tuple[str, ...]
    roles: tuple[str, ...]
    field: Field
    outcome: str
    row: dict[str, Any] = default(default_factory=dict)
