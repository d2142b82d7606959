"""Man defence: everybody covers one attacker, and the one whose attacker has the disc marks."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from policies.covers import Cover
from policies.marks import Mark
from sim.intent import Intent
from sim.view import View


@dataclass(frozen=True)
class Man:
    """Man: one cover for handlers, one for cutters, and a mark."""

    mark: Mark = field(default_factory=Mark)
    handlers: Cover = field(default_factory=Cover)
    cutters: Cover = field(default_factory=lambda: Cover(stance="siding", cushion=1.5))

    def starts(
        self,
        attackers: np.ndarray,
        handlers: np.ndarray,
        guards: np.ndarray,
        holder: int,
        open_side: int,
    ) -> np.ndarray:
        """Where the defenders stand when play starts, (D, 2).

        Parameters
        ----------
        attackers : (A, 2) m. handlers : (A,) bool, who is a handler.
        guards : (D,) slot each defender covers, -1 for nobody (they start by the disc).
        holder, open_side : the slot with the disc, and the side the force leaves open.
        """
        covered = np.where(guards >= 0, guards, holder)
        man = attackers[covered]
        disc = np.broadcast_to(attackers[holder], man.shape)
        side = np.full(len(man), float(open_side))
        near, far = (cover.place(man, disc, side) for cover in (self.handlers, self.cutters))
        place = np.where(handlers[covered][:, None], near, far)
        return np.where((covered == holder)[:, None], disc + self.mark.off(side), place)

    def decide(self, view: View) -> Intent:
        """Mark the holder, or cover."""
        if view.marking:
            return self.mark.stand(view)
        man = view.watching
        scene = view.scene
        roles = np.array([p.role == "handler" for p in scene.attackers])
        if roles[man].all():
            return self.handlers.cover(view, man)
        if not roles[man].any():
            return self.cutters.cover(view, man)
        near, far = self.handlers.cover(view, man), self.cutters.cover(view, man)
        return Intent(run=np.where(roles[man][:, None], near.run, far.run))
