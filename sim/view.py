"""What one player may know when deciding: the past of the others, the present of oneself."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from sim.luck import Luck
from sim.perception import History
from sim.scene import Scene
from sim.world import FLYING, World


class Seen(NamedTuple):
    """Where somebody seems to be now: `pos` and `vel`, (R, 2) or (R, k, 2), m and m/s."""

    pos: np.ndarray
    vel: np.ndarray


class View:
    """A frozen look at R rehearsals through the eyes of the player in `slot`.

    Attributes
    ----------
    slot, scene : which player, and the start of the play (names, field, abilities).
    now : seconds since the start of the rehearsal.
    pos, vel, spot : (R, 2) own place and velocity, and the place held when the disc was caught.
    has_disc : this player holds the disc in every rehearsal of the view.
    marking : this player marks the holder in every rehearsal of the view.
    holder : (R,) slot with the disc, or of the one who threw it while it flies.
    flying : (R,) bool; receiver : (R,) slot the disc flies to (-1: none).
    count : (R,) stall count; held_for : (R,) s since the disc was caught.
    open_side : (R,) +1 or -1 as this player knows it; completions : (R,) catches so far.
    mark : (R,) slot of the marker; last_thrower : (R,) slot of the latest thrower, -1 for none.
    watching : (R,) slot this player attends to.
    notes : what this player wrote down at the last decision.
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
        self.pos = _frozen(world.pos[rows, slot])
        self.vel = _frozen(world.vel[rows, slot])
        self.spot = _frozen(world.spot[rows, slot])
        self.holder = _frozen(world.holder[rows])
        self.flying = _frozen(world.phase[rows] == FLYING)
        self.receiver = _frozen(world.receiver[rows])
        self.count = _frozen(world.count(now, scene.pace)[rows])
        self.held_for = _frozen(now - world.held_since[rows])
        self.completions = _frozen(world.completions[rows])
        self.last_thrower = _frozen(world.thrower[rows])
        self.mark = _frozen(world.marker[rows])
        self.watching = _frozen(world.watch[rows, slot])
        self.notes: Mapping[str, np.ndarray] = MappingProxyType(
            {key: _frozen(value[rows]) for key, value in (notes or {}).items()}
        )
        if slot >= len(scene.attackers):
            self.open_side = _frozen(world.open_side[rows])
        else:
            fresh = now - world.open_since[rows] < world.lag[rows, slot]
            self.open_side = _frozen(
                np.where(fresh, world.open_was[rows], world.open_side[rows])
            )

    def __len__(self) -> int:
        return len(self._rows)

    def seen(self, who: int | np.ndarray) -> Seen:
        """Where `who` seems to be: an int, (R,) slots, or (1, k) or (R, k) slots."""
        rows = self._rows
        who = np.asarray(who)
        lag = self._world.lag[rows, self.slot]
        fooled = self._world.fooled_until[rows, self.slot] > self.now
        if who.ndim == 2:
            rows, lag, fooled = rows[:, None], lag[:, None], fooled[:, None]
        past = self._history.ago(rows, who, lag)
        pos, vel = past[..., :2], past[..., 2:]
        if fooled.any():
            watched = self._world.watch[rows, self.slot] == who
            # a misread runner is carried on the wrong way
            vel = np.where((fooled & watched)[..., None], -vel, vel)
        return Seen(_frozen(pos + vel * lag[..., None]), _frozen(vel))

    @property
    def disc(self) -> np.ndarray:
        """The place of the holder, or the spot the disc was thrown from, as seen, (R, 2)."""
        return self.seen(self.holder).pos

    @property
    def spots(self) -> np.ndarray:
        """Everybody's place when the disc was last caught, (R, P, 2): the shape as agreed."""
        return _frozen(self._world.spot[self._rows])

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
