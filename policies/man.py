"""Man defence: everybody covers one attacker, and the one whose attacker has the disc marks."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from policies.covers import Cover
from policies.frame import Frame
from policies.help import Help
from policies.marks import Mark
from policies.pursuit import follow
from policies.switching import after_switch
from sim.intent import Intent
from sim.settings import setting
from sim.view import View


@dataclass(frozen=True)
class Man:
    """Man: one cover for handlers, one for cutters, a mark, and help if wanted."""

    mark: Mark = field(default_factory=Mark)
    handlers: Cover = field(default_factory=Cover)
    cutters: Cover = field(default_factory=lambda: Cover(stance="siding", cushion=1.5))
    help: Help = field(default_factory=Help)
    switches: bool = setting(False, doc="swap attackers who cross instead of chasing through")

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
        place = self._place(handlers[covered], man, Frame(disc, side))
        return np.where((covered == holder)[:, None], disc + self.mark.off(side), place)

    def decide(self, view: View) -> Intent:
        """Mark the holder, or cover, or help."""
        if view.marking:
            return self.mark.stand(view)
        man = np.where(view.watching >= 0, view.watching, view.holder)
        if self.switches:
            man = after_switch(view, man)
        seen = view.seen(man)
        frame = Frame(view.disc, view.open_side)
        handler = np.array([p.role == "handler" for p in view.scene.attackers])[man]
        place = self._place(handler, seen.pos, frame)
        run = follow(view, place, seen.vel)
        helps = self.help.helps(view, man, frame)
        if helps.any():
            run = np.where(helps[:, None], self.help.run(view, place, frame), run)
        return Intent(run=run, watch=man)

    def _place(self, handler: np.ndarray, man: np.ndarray, frame: Frame) -> np.ndarray:
        places = (
            cover.place(man, frame.origin, frame.open_side)
            for cover in (self.handlers, self.cutters)
        )
        if handler.all():
            return next(places)
        near, far = places
        return np.where(handler[:, None], near, far)
