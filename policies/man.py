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
