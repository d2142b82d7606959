"""The players: Mesa agents, each one slot of the line-up in every rehearsal at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import mesa
import numpy as np

from sim.intent import Intent, Policy
from sim.view import View
from sim.world import FLYING, HELD, WIND_UP

if TYPE_CHECKING:
    from sim.possession import Possession


class Player(mesa.Agent):
    """One player slot. `step` looks, asks the policy, and sets what the player wants to do."""

    model: Possession

    def __init__(self, model: Possession, slot: int, policy: Policy) -> None:
        super().__init__(model)
        self.slot, self.policy = slot, policy
        self.notes: dict[str, np.ndarray] = {}

    def step(self) -> None:
        """Decide for every rehearsal that is still being played."""
        mine = self.in_charge()
        self._decide(np.flatnonzero(mine), in_charge=True)
        self._decide(np.flatnonzero(~mine & ~self.busy()), in_charge=False)

    def busy(self) -> np.ndarray:
        """Where there is nothing left to decide, (R,) bool."""
        return np.zeros(len(self.model.world), dtype=bool)

    def in_charge(self) -> np.ndarray:
        """Where this player has the disc, or marks it, (R,) bool."""
        raise NotImplementedError

    def keep(self, index: np.ndarray) -> None:
        """Forget every rehearsal but those at `index`."""
        self.notes = {key: value[index] for key, value in self.notes.items()}

    def _view(self, rows: np.ndarray, in_charge: bool) -> View:
        raise NotImplementedError

    def _decide(self, rows: np.ndarray, in_charge: bool) -> None:
        if rows.size:
            intent = self.policy.decide(self._view(rows, in_charge))
            self.model.take(self.slot, rows, intent)
            self._write_down(rows, intent)

    def _write_down(self, rows: np.ndarray, intent: Intent) -> None:
        for key, value in intent.notes.items():
            value = np.asarray(value)
            if key not in self.notes:
                whole = (len(self.model.world), *value.shape[1:])
                self.notes[key] = np.zeros(whole, dtype=value.dtype)
            self.notes[key][rows] = value


class Attacker(Player):
    """A player of the offence, in charge while holding the disc."""

    def in_charge(self) -> np.ndarray:
        """Where this player holds the disc and may decide, (R,) bool."""
        world = self.model.world
        return (world.holder == self.slot) & (world.phase == HELD)

    def busy(self) -> np.ndarray:
        """Where this player is winding up for a throw, (R,) bool."""
        world = self.model.world
        return (world.holder == self.slot) & (world.phase == WIND_UP)

    def _view(self, rows: np.ndarray, in_charge: bool) -> View:
        m = self.model
        return View(
            m.scene,
            m.world,
            m.history,
            self.slot,
            rows,
            m.now,
            has_disc=in_charge,
            notes=self.notes,
        )


class Handler(Attacker):
    """An attacker who starts near the disc and resets it."""


class Cutter(Attacker):
    """An attacker who starts downfield."""


class Defender(Player):
    """A defender, in charge while attending to the player with the disc: the mark."""

    def in_charge(self) -> np.ndarray:
        """Where this player marks the holder, (R,) bool."""
        world = self.model.world
        return (world.marker == self.slot) & (world.phase != FLYING)

    def _view(self, rows: np.ndarray, in_charge: bool) -> View:
        m = self.model
        return View(
            m.scene, m.world, m.history, self.slot, rows, m.now, marking=in_charge, notes=self.notes
        )


KINDS: dict[str, type[Player]] = {"handler": Handler, "cutter": Cutter, "defender": Defender}
