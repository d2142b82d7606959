"""What a pass is worth: the weights of the score."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from sim.settings import check_settings, setting

if TYPE_CHECKING:
    from experiments.statistics.tables import Table


@dataclasses.dataclass(frozen=True)
class Weights:
    """What a pass is worth. One that is not completed is worth 0, whatever it gained.

    The unit is the worth of a plain completed pass: no ground gained, caught on the long axis,
    not trapped.
    """

    completed: float = setting(1.0, low=0.0, high=100.0, unit="a completed pass")
    goal: float = setting(0.0, low=0.0, high=100.0, unit="a goal, beside that")
    gain: float = setting(0.01, low=-10.0, high=10.0, unit="a metre gained")
    off_centre: float = setting(-0.005, low=-10.0, high=10.0, unit="a metre off the long axis")
    trapped: float = setting(-0.1, low=-100.0, high=100.0, unit="a completed pass that is trapped")

    def __post_init__(self) -> None:
        check_settings(self)

    def __str__(self) -> str:
        units = {f.name: f.metadata["unit"] for f in dataclasses.fields(self)}
        told = (
            f"{getattr(self, name):+g} for {unit}"
            for name, unit in units.items()
            if name != "goal" or self.goal
        )
        return ", ".join(told)


def score(table: Table, weights: Weights) -> npt.NDArray[np.float64]:
    """(R,) what each rehearsal is worth by the weights; 0 for passes that were not completed."""
    completed = table["completed"].to_numpy(bool)
    worth = (
        weights.completed
        + weights.goal * table["goal"].to_numpy(float)
        + weights.gain * table["gain_m"].to_numpy(float)
        + weights.off_centre * table["off_centre_m"].to_numpy(float)
        + weights.trapped * table["trapped"].to_numpy(float)
    )
    return np.where(completed, worth, 0.0)
