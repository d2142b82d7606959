"""Help: a defender leaves the attacker who threatens least and stands where the reset would go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.frame import Frame, length
from policies.pursuit import follow
from sim.settings import check_settings, setting
from sim.view import View


@dataclass(frozen=True)
class Help:
    """Help: who poaches, how far off the own attacker, and from which count."""

    off: str = setting(
        "nobody",
        choices=("nobody", "weak-handler", "downfield"),
        doc="whom the helper leaves: the handler furthest from the disc's break side, "
        "or the cutter nearest to the lane",
    )
    lane_wide: float = setting(4.0, low=-10.0, high=15.0, unit="m", doc="to the open side")
    lane_depth: float = setting(8.0, low=0.0, high=25.0, unit="m", doc="downfield of the disc")
    sag: float = setting(
        0.8, low=0.0, high=1.0, unit="", doc="how far from the own attacker toward the lane"
    )
    start: float = setting(0.0, low=0.0, high=10.0, unit="count", doc="from this count on")

    def __post_init__(self) -> None:
        check_settings(self)

    def helps(self, view: View, man: np.ndarray, frame: Frame) -> np.ndarray:
        """Where this defender, who covers `man` (R,), is the one who helps, (R,) bool."""
        if self.off == "nobody":
            return np.zeros(len(view), dtype=bool)
        scene = view.scene
        role = "handler" if self.off == "weak-handler" else "cutter"
        pool = np.array([slot for slot, p in enumerate(scene.attackers) if p.role == role])
        if not pool.size:
            return np.zeros(len(view), dtype=bool)
        spots = view.spots_of(pool[None, :])
        if self.off == "weak-handler":
            side = frame.open_side[:, None]
            worth = (spots[..., 0] - frame.origin[:, None, 0]) * side
        else:
            worth = -length(spots - self.lane(frame)[:, None])
        worth = np.where(pool[None, :] == view.holder[:, None], -np.inf, worth)
        chosen = pool[np.argmax(worth, axis=1)]
        helping: np.ndarray = (chosen == man) & (view.count >= self.start) & ~view.flying
        return helping

    def lane(self, frame: Frame) -> np.ndarray:
        """The middle of the lane that is helped in, (R, 2)."""
        place = np.broadcast_to(np.array([self.lane_wide, self.lane_depth]), frame.origin.shape)
        return frame.out(place)

    def run(self, view: View, place: np.ndarray, frame: Frame) -> np.ndarray:
        """The run of the helper, whose cover would be at `place` (R, 2)."""
        return follow(view, place + (self.lane(frame) - place) * self.sag, np.zeros_like(place))
