"""How a defender keeps with a place that moves."""

from __future__ import annotations

import numpy as np

from policies.frame import length
from sim.view import View

CLOSE_UP = 3.0  # 1/s: a gap of one metre is closed at three metres a second
SETTLE = 0.20  # s in which the velocity is brought to the wanted one


def follow(view: View, place: np.ndarray, moving: np.ndarray) -> np.ndarray:
    """The wanted velocity that keeps this player at a moving `place`, (R, 2).

    Parameters
    ----------
    place, moving : (R, 2) the place to be at and its velocity, as seen, m and m/s.
    """
    ability = view.scene.players[view.slot].ability
    wanted = moving + CLOSE_UP * (place - view.pos)
    fast = ability.top_speed / np.maximum(length(wanted), ability.top_speed)
    wanted = wanted * fast[:, None]
    return view.vel + (wanted - view.vel) * (ability.sprint_time / SETTLE)
