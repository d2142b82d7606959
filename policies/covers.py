"""How a defender covers an attacker: how close, and on which side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from policies.frame import unit
from sim.settings import check_settings, setting

# weights of: toward the disc, toward the open side, toward the goal attacked
STANCES: dict[str, tuple[float, float, float]] = {
    "tight": (0.5, 0.5, 0.7),
    "fronting": (1.0, 0.0, 0.0),
    "siding": (0.0, 1.0, 0.3),
    "backing": (0.0, 0.0, 1.0),
}


@dataclass(frozen=True)
class Cover:
    """Cover: keeps a cushion to an attacker on a chosen side, seeing late."""

    stance: str = setting(
        "tight", choices=tuple(STANCES), doc="the side of the attacker taken away"
    )
    cushion: float = setting(
        1.2,
        low=0.3,
        high=8.0,
        unit="m",
        source="tight cover 0.5-1.5 m, sagging cover 3-5 m, common practice",
        doc="distance kept from the attacker",
    )

    def __post_init__(self) -> None:
        check_settings(self)

    def place(self, man: np.ndarray, disc: np.ndarray, open_side: np.ndarray) -> np.ndarray:
        """Where to be, for an attacker at `man` (R, 2) with the disc at `disc` (R, 2)."""
        to_disc, to_open, to_goal = STANCES[self.stance]
        lean = to_disc * unit(disc - man)
        lean = lean + np.stack([to_open * open_side, np.full(len(man), to_goal)], axis=-1)
        return man + self.cushion * unit(lean)
