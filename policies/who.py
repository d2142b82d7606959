"""Who a look means: a player's name, or a role as seen from the disc."""

from __future__ import annotations

import numpy as np

from sim.view import View

ROLE_WORDS = (
    "break-handler",
    "open-handler",
    "nearest-handler",
    "last-thrower",
    "first-cutter",
    "second-cutter",
    "third-cutter",
)
_TURN = {"first-cutter": 0, "second-cutter": 1, "third-cutter": 2}


def resolve(view: View, who: str) -> np.ndarray:
    """The slot meant by `who` in each rehearsal, (R,); -1 where there is no such player.

    Role words are read from the places taken when the disc was last caught: the nearest handler on
    the break side or the open side of the disc, the nearest handler, the one who threw last. The
    cutters take turns: the next one goes first after each catch.
    """
    for slot, player in enumerate(view.scene.attackers):
        if player.name == who:
            return np.full(len(view), slot)
    if who == "last-thrower":
        return np.where(view.completions > 0, view.last_thrower, -1)
    if who not in ROLE_WORDS:
        raise ValueError(f"who is {who!r}; name an attacker or use {', '.join(ROLE_WORDS)}")
    if who in _TURN:
        return _in_turn(view, _TURN[who])
    handlers = np.array(
        [slot for slot, p in enumerate(view.scene.attackers) if p.role == "handler"]
    )
    away = view.spots_of(handlers[None, :]) - view.spots_of(view.holder)[:, None]
    side = away[..., 0] * view.open_side[:, None]
    distance = away[..., 0] * away[..., 0] + away[..., 1] * away[..., 1]
    fits = handlers[None, :] != view.holder[:, None]
    if who == "break-handler":
        fits = fits & (side < 0.0)
    elif who == "open-handler":
        fits = fits & (side > 0.0)
    distance = np.where(fits, distance, np.inf)
    nearest = np.argmin(distance, axis=1)
    found = np.isfinite(distance[np.arange(len(view)), nearest])
    return np.where(found, handlers[nearest], -1)


def _in_turn(view: View, place: int) -> np.ndarray:
    """The cutter whose turn it is, passing over the one who has the disc, (R,)."""
    cutters = np.array([slot for slot, p in enumerate(view.scene.attackers) if p.role == "cutter"])
    if not cutters.size:
        return np.full(len(view), -1)
    # from the one who starts furthest back, so that the last in the stack goes first
    depth = np.array([view.scene.attackers[slot].at[1] for slot in cutters])
    cutters = cutters[np.argsort(-depth, kind="stable")]
    turn = view.completions % len(cutters)
    chosen = cutters[(turn + place) % len(cutters)]
    free = cutters[(turn + place + 1) % len(cutters)]
    return np.where(chosen == view.holder, free, chosen)
