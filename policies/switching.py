"""Switches: when two attackers cross, their defenders swap them instead of chasing through."""

from __future__ import annotations

import numpy as np

from policies.frame import length
from sim.view import View

CROSSING = 3.0  # m between the attackers
NEARER = 0.7  # m by which the other attacker must be nearer to be worth calling


def after_switch(view: View, man: np.ndarray) -> np.ndarray:
    """The attacker to cover from now on, (R,).

    Both defenders judge by what they see, each a little late: they may disagree for a moment, and
    then somebody is open.
    """
    guards = view.defenders
    own = view.seen(man).pos
    taken = man
    best = np.full(len(view), np.inf)
    for guard in guards:
        if guard == view.slot:
            continue
        other = view.watched[:, guard]
        real = (other >= 0) & (other != man) & (other != view.holder) & (man != view.holder)
        target = view.seen(np.maximum(other, 0)).pos
        mate = view.seen(int(guard)).pos
        near = length(target - own) < CROSSING
        mine, theirs = length(target - view.pos), length(target - mate)
        gain = length(own - view.pos) - mine
        swap = real & near & (gain > NEARER) & (mine < theirs - NEARER)
        better = swap & (mine < best)
        taken = np.where(better, other, taken)
        best = np.where(better, mine, best)
    return taken
