"""Switches: when two attackers cross, their defenders swap them instead of chasing through."""

from __future__ import annotations

import numpy as np

from policies.frame import length
from sim.view import View

CROSSING = 3.0  # m between the attackers
NEARER = 0.7  # m by which the other attacker must be nearer to be worth calling


def after_switch(view: View, man: np.ndarray) -> np.ndarray:
    """The attacker to cover from now on, (R,).

    Whoever sees the crossing first calls the switch and takes the attacker who comes nearer; the
    teammate who has lost the attacker to the caller takes the one whom nobody covers. Both judge by
    what they see, each a little late, so for a moment somebody can be open.
    """
    taken = np.where(_lost(view, man), _free(view, man), man)
    own = view.seen(man).pos
    best = np.full(len(view), np.inf)
    for guard in view.defenders[view.defenders != view.slot]:
        other = view.watched[:, guard]
        real = (other >= 0) & (other != man) & (other != view.holder) & (man != view.holder)
        target = view.seen(np.maximum(other, 0)).pos
        mate = view.seen(int(guard)).pos
        near = length(target - own) < CROSSING
        mine, theirs = length(target - view.pos), length(target - mate)
        gain = length(own - view.pos) - mine
        swap = real & near & (gain > NEARER) & (mine < theirs - NEARER) & (taken == man)
        better = swap & (mine < best)
        taken = np.where(better, other, taken)
        best = np.where(better, mine, best)
    return taken


def _lost(view: View, man: np.ndarray) -> np.ndarray:
    """Whether a teammate has taken over this defender's attacker, (R,) bool."""
    target = view.seen(man).pos
    mine = length(target - view.pos)
    lost = np.zeros(len(view), dtype=bool)
    for guard in view.defenders[view.defenders != view.slot]:
        theirs = length(target - view.seen(int(guard)).pos)
        lost |= (view.watched[:, guard] == man) & (theirs < mine)
    return lost


def _free(view: View, man: np.ndarray) -> np.ndarray:
    """The nearest attacker whom nobody attends to, (R,); the present one if all are covered."""
    attackers = view.attackers
    covered = (view.watched[:, view.defenders, None] == attackers).any(axis=1)
    gap = length(view.seen(attackers[None, :]).pos - view.pos[:, None])
    gap = np.where(covered, np.inf, gap)
    nearest = np.argmin(gap, axis=1)
    return np.where(np.isfinite(gap[np.arange(len(view)), nearest]), nearest, man)
