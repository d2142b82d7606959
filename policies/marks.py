"""The mark: where it stands, which side it leaves open, and when it flips."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.frame import length
from policies.pursuit import follow
from sim.intent import Intent
from sim.settings import check_settings, setting
from sim.view import View

SWING = np.deg2rad(50.0)  # the most a mark goes round the thrower in a straight line
FORCES = ("forehand", "backhand", "middle", "sideline", "straight-up")


def open_side(force: str, hand: np.ndarray, x: np.ndarray) -> np.ndarray:
    """The side a force leaves open for a thrower, (R,) +1 or -1.

    `hand` (R,) +1 right-handed, -1 left-handed; `x` (R,) m, where the thrower stands across.
    On the middle line "middle", "sideline" and "straight-up" fall back on the forehand side.
    """
    if force == "forehand":
        return hand
    if force == "backhand":
        return -hand
    middle = np.where(np.abs(x) < 1e-9, hand, -np.sign(x))
    return np.where(np.abs(x) < 1e-9, hand, np.sign(x)) if force == "sideline" else middle


@dataclass(frozen=True)
class Mark:
    """Mark: stands off the thrower on one side and takes that side away."""

    force: str = setting("forehand", choices=FORCES)
    distance: float = setting(
        1.1,
        low=0.6,
        high=3.0,
        unit="m",
        source="a disc (0.27 m) from torso to torso at least, rule 18.1.1, and two half bodies",
        doc="from chest to chest",
    )
    angle: float = setting(
        40.0, low=0.0, high=90.0, unit="deg", doc="round to the break side from straight in front"
    )
    flip_at: float | None = setting(
        None, low=0.0, high=10.0, unit="count", doc="flip the force at this count"
    )
    flip_for: str = setting("", doc="flip the force when this attacker has the disc")

    def __post_init__(self) -> None:
        check_settings(self)

    def side(self, view: View) -> np.ndarray:
        """The side left open now, (R,)."""
        hands = view.scene.hands
        x = view.seen(view.holder).pos[:, 0]
        if self.force in ("middle", "sideline", "straight-up"):
            x = view.spots_of(view.holder)[:, 0]
        side = open_side(self.force, hands[view.holder], x)
        if self.flip_at is not None:
            side = np.where(view.count >= self.flip_at, -side, side)
        if self.flip_for:
            names = [p.name for p in view.scene.attackers]
            side = np.where(view.holder == names.index(self.flip_for), -side, side)
        return side.astype(np.int64)

    def stand(self, view: View) -> Intent:
        """Where the mark moves, and the side it leaves open."""
        side = self.side(view)
        thrower = view.seen(view.holder)
        place = thrower.pos + self._round(view.pos - thrower.pos, self.off(side))
        return Intent(run=follow(view, place, thrower.vel), open_side=side)

    def _round(self, now: np.ndarray, off: np.ndarray) -> np.ndarray:
        """Where to go next, round the thrower and not through the disc space, (R, 2).

        `now` and `off` (R, 2) are where the mark is and should be, seen from the thrower's chest.
        """
        turn = np.arctan2(
            off[:, 0] * now[:, 1] - off[:, 1] * now[:, 0],
            off[:, 0] * now[:, 0] + off[:, 1] * now[:, 1],
        )
        bearing = np.arctan2(now[:, 0], now[:, 1]) + np.clip(turn, -SWING, SWING)
        size = length(off)
        way = np.stack([size * np.sin(bearing), size * np.cos(bearing)], axis=-1)
        return np.where((np.abs(turn) > SWING)[:, None], way, off)

    def off(self, side: np.ndarray) -> np.ndarray:
        """Where the mark stands off the thrower's chest, (R, 2), leaving `side` (R,) open."""
        angle = 0.0 if self.force == "straight-up" else np.deg2rad(self.angle)
        along = np.full(len(side), np.cos(angle) * self.distance)
        return np.stack([-side * np.sin(angle) * self.distance, along], axis=-1)
