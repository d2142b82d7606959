"""Where everybody belongs once the disc has moved: the starting shape, carried along with it."""

from __future__ import annotations

import numpy as np

from policies.frame import Frame
from sim.view import View

NEAR_DISC = 4.0  # m; a handler's lane this close to the disc is used from further behind
DROP = 5.0  # m behind the disc, then
EDGE = 1.5  # m kept from the sidelines and the back line


def own_place(view: View, frame: Frame) -> np.ndarray:
    """The place of this player in the shape around the disc, (R, 2) m.

    Before the first catch that is where the player stood. Afterwards the cutters keep their lanes
    and their distance downfield of the disc, and the handlers share out their lanes again from the
    break side to the open side, level with the disc as they were at the start.
    """
    moved = view.completions > 0
    if not moved.any():
        return view.spot
    start = np.array([player.at for player in view.scene.attackers])
    origin = start[view.scene.holder]
    if view.scene.attackers[view.slot].role == "handler":
        place = _handler_place(view, frame, start, origin)
    else:
        own = start[view.slot]
        disc = frame.origin[:, 1]
        place = np.stack([np.full(len(view), own[0]), disc + own[1] - origin[1]], axis=-1)
    return np.where(moved[:, None], _inside(view, place), view.spot)


def _handler_place(view: View, frame: Frame, start: np.ndarray, origin: np.ndarray) -> np.ndarray:
    handlers = np.array([s for s, p in enumerate(view.scene.attackers) if p.role == "handler"])
    side = view.open_side.astype(float)
    lanes = start[handlers, 0] * side[:, None]  # (R, h), break side to open side
    order = np.argsort(lanes, axis=1, kind="stable")
    now = view.spots_of(handlers[None, :])[..., 0] * side[:, None]
    mine = int(np.flatnonzero(handlers == view.slot)[0])
    own = now[:, mine : mine + 1]
    earlier = (now < own) | ((now == own) & (np.arange(len(handlers)) < mine))
    rank = earlier.sum(axis=1)
    lane = order[np.arange(len(view)), rank]
    x = start[handlers[lane], 0]
    back = start[handlers[lane], 1] - origin[1]
    close = np.abs(x - frame.origin[:, 0]) < NEAR_DISC
    y = frame.origin[:, 1] + np.where(close, np.minimum(back, 0.0) - DROP, back)
    return np.stack([x, y], axis=-1)


def _inside(view: View, place: np.ndarray) -> np.ndarray:
    field = view.scene.field
    low, high = field.back_lines
    x = np.clip(place[:, 0], -field.half_width + EDGE, field.half_width - EDGE)
    return np.stack([x, np.clip(place[:, 1], low + EDGE, high - EDGE)], axis=-1)
