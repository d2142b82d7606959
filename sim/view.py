"""What one player may know when deciding: the past of the others, the present of oneself."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from sim.luck import Luck
from sim.perception import History, Moment
from sim.scene import Scene
from sim.world import FLYING, World


class Seen(NamedTuple):
    """Where somebody seems to be now: `pos` and `vel`, (R, 2) or (R, k, 2), m and m/s."""

    pos: np.ndarray
    vel: np.ndarray


class View:
    """A frozen look at R rehearsals through the eyes of the player in `slot`.

    Everything is looked up when asked for, and the arrays cannot be written to.

    Attributes
    ----------
    slot, scene : which player, and the start of the play (names, field, abilities).
    now : seconds since the start of the rehearsal.
    has_disc : this player holds the disc in every rehearsal of the view.
    marking : this player marks the holder in every rehearsal of the view.
    """

    def __init__(
        self,
        scene: Scene,
        world: World,
        history: History,
        slot: int,
        rows: np.ndarray,
        now: float,
        *,
        has_disc: bool = False,
        marking: bool = False,
        notes: Mapping[str, np.ndarray] | None = None,
    ) -> None:
        self.scene, self.slot, self.now = scene, slot, now
        self.has_disc, self.marking = has_disc, marking
        self._world, self._history, self._rows = world, history, rows
        self._notes = notes or {}

    def take(self, index: np.ndarray) -> View:
        """The same look at some of the rehearsals, those at `index`."""
        return View(
            self.scene,
            self._world,
            self._history,
            self.slot,
            self._rows[index],
            self.now,
            has_disc=self.has_disc,
            marking=self.marking,
            notes=self._notes,
        )

    @cached_property
    def _all(self) -> bool:
        """Whether these are all rehearsals in order: a plain copy is quicker than picking out."""
        rows = self._rows
        return len(rows) == len(self._world) and bool((rows == np.arange(len(rows))).all())

    def _own(self, values: np.ndarray) -> np.ndarray:
        """The rows of this view out of an array of the world, not to be written to."""
        return _frozen(values.copy() if self._all else values[self._rows])

    def _mine(self, values: np.ndarray) -> np.ndarray:
        """The same out of the column of this player."""
        column = values[:, self.slot]
        return _frozen(column.copy() if self._all else column[self._rows])

    @cached_property
    def pos(self) -> np.ndarray:
        """Own place, (R, 2) m."""
        return self._mine(self._world.pos)

    @cached_property
    def vel(self) -> np.ndarray:
        """Own velocity, (R, 2) m/s."""
        return self._mine(self._world.vel)

    @cached_property
    def spots(self) -> np.ndarray:
        """Everybody's place when the disc was last caught, (R, P, 2): the shape as agreed."""
        return self._own(self._world.spot)

    def spots_of(self, who: np.ndarray) -> np.ndarray:
        """Places of players `who`, (R,) or (1, k) slots, when the disc was last caught, m."""
        rows = self._rows if who.ndim == 1 else self._rows[:, None]
        return _frozen(self._world.spot[rows, who])

    @cached_property
    def spot(self) -> np.ndarray:
        """Own place when the disc was last caught, (R, 2) m."""
        return self._mine(self._world.spot)

    @cached_property
    def holder(self) -> np.ndarray:
        """Slot with the disc, or of the one who threw it while it flies, (R,)."""
        return self._own(self._world.holder)

    @cached_property
    def flying(self) -> np.ndarray:
        """Whether the disc is in the air, (R,) bool."""
        return self._own(self._world.phase == FLYING)

    @cached_property
    def receiver(self) -> np.ndarray:
        """Slot the disc flies to, -1 for none, (R,)."""
        return self._own(self._world.receiver)

    @cached_property
    def look(self) -> np.ndarray:
        """The look of the plan that is being thrown, -1 for none, (R,)."""
        return self._own(self._world.look)

    @cached_property
    def count(self) -> np.ndarray:
        """The stall count, (R,): its whole part is the number last said, 0 with no count."""
        return self._own(self._world.count(self.now, self.scene.pace))

    @cached_property
    def held_for(self) -> np.ndarray:
        """Seconds since the disc was caught, (R,)."""
        return _frozen(self.now - self._world.held_since[self._rows])

    @cached_property
    def completions(self) -> np.ndarray:
        """Catches by the offence so far, (R,)."""
        return self._own(self._world.completions)

    @cached_property
    def last_thrower(self) -> np.ndarray:
        """Slot of the latest thrower, -1 for none, (R,)."""
        return self._own(self._world.thrower)

    @cached_property
    def mark(self) -> np.ndarray:
        """Slot of the marker, -1 for none, (R,)."""
        return self._own(self._world.marker)

    @cached_property
    def watching(self) -> np.ndarray:
        """Slot this player attends to, -1 for nobody, (R,)."""
        return self._mine(self._world.watch)

    @cached_property
    def watched(self) -> np.ndarray:
        """Slot that each player attends to, (R, P): the calls of one's own team, heard by it."""
        return self._own(self._world.watch)

    @cached_property
    def open_side(self) -> np.ndarray:
        """The side the mark leaves open, (R,) +1 or -1; the offence learns of a flip late."""
        world, rows = self._world, self._rows
        if self.slot >= len(self.scene.attackers):
            return self._own(world.open_side)
        fresh = self.now - world.open_since[rows] < world.lag[rows, self.slot]
        return _frozen(np.where(fresh, world.open_was[rows], world.open_side[rows]))

    @property
    def notes(self) -> Mapping[str, np.ndarray]:
        """What this player wrote down at the last decision, arrays (R, ...)."""
        return MappingProxyType({key: self._own(value) for key, value in self._notes.items()})

    def __len__(self) -> int:
        return len(self._rows)

    def seen(self, who: int | np.ndarray) -> Seen:
        """Where `who` seems to be: an int, (R,) slots, or (1, k) or (R, k) slots."""
        who = np.asarray(who)
        rows, lag, fooled, then = self._rows, self._lag, self._fooled, self._then
        if who.ndim == 2:
            rows, lag, fooled, then = rows[:, None], lag[:, None], fooled[:, None], then.for_several
        past = self._history.at(then, who)
        pos, vel = past[..., :2], past[..., 2:]
        if self._any_fooled:
            watched = self._world.watch[rows, self.slot] == who
            # a misread runner is carried on the wrong way
            vel = np.where((fooled & watched)[..., None], -vel, vel)
        return Seen(_frozen(pos + vel * lag[..., None]), _frozen(vel))

    @cached_property
    def _lag(self) -> np.ndarray:
        return self._mine(self._world.lag)

    @cached_property
    def _fooled(self) -> np.ndarray:
        return _frozen(self._mine(self._world.fooled_until) > self.now)

    @cached_property
    def _any_fooled(self) -> bool:
        return bool(self._fooled.any())

    @cached_property
    def _then(self) -> Moment:
        return self._history.moment(self._rows, self._lag)

    @cached_property
    def disc(self) -> np.ndarray:
        """The place of the holder, or the spot the disc was thrown from, as seen, (R, 2)."""
        return self.seen(self.holder).pos

    def timing(self, who: int | np.ndarray) -> np.ndarray:
        """How early (-) or late (+) `who` goes on the count, (R,) standard normal."""
        return _frozen(self._world.timing[self._rows, who])

    @property
    def luck(self) -> Luck:
        """The draws of these rehearsals, addressed and never used up."""
        return self._world.luck.take(self._rows)

    @property
    def attackers(self) -> np.ndarray:
        """Slots of the offence, (A,)."""
        return np.arange(len(self.scene.attackers))

    @property
    def defenders(self) -> np.ndarray:
        """Slots of the defence, (D,)."""
        return np.arange(len(self.scene.attackers), len(self.scene.players))


def _frozen(values: np.ndarray) -> np.ndarray:
    held = values.view()
    held.flags.writeable = False
    return held
