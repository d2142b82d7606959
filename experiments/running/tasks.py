"""What is to be rehearsed, and the result."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from pydantic import Field

from experiments.running.frames import Rehearsals

# Plays the numbered rehearsals of a situation: one row each, in order, independent of what else is
# played. Worker processes need to import it by name.
Rows = Callable[[Mapping[str, Any], npt.NDArray[np.int64], int], pd.DataFrame]


@dataclasses.dataclass(frozen=True)
class Task:
    """One situation to rehearse.

    Attributes
    ----------
    key : its name in the study, such as that of a plan or the value that is varied.
    situation : what is rehearsed, in values that JSON has.
    n : how many rehearsals, numbered from 0.
    seed : the luck; tasks with the same seed meet the same luck, rehearsal by rehearsal.
    """

    key: str
    situation: Mapping[str, Any]
    n: Annotated[int, Field(ge=1, lt=10**9)]
    seed: Annotated[int, Field(ge=0, lt=2**64)]

    def __post_init__(self) -> None:
        if self.n < 1:
            raise ValueError(f"{self.key}: n is {self.n}; it must be at least 1")


@dataclasses.dataclass(frozen=True)
class Run:
    """The rehearsals of a study.

    Attributes
    ----------
    tables : by key of the task; row i is rehearsal i.
    rehearsed : how many rehearsals this run made.
    found : how many more it found in the folder.
    seconds : how long it took.
    out : the folder they are kept in, if any.
    """

    tables: dict[str, Rehearsals]
    rehearsed: int
    found: int
    seconds: float
    out: Path | None

    @property
    def per_second(self) -> float:
        """Rehearsals made a second; 0 if none had to be made."""
        return self.rehearsed / self.seconds if self.rehearsed else 0.0


def rehearse_dict(
    situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int
) -> pd.DataFrame:
    """Rehearse a situation given as the tables of its file: the default of runs."""
    from experiments.running.batch import rehearse_rows
    from experiments.situations.situation import Situation

    return rehearse_rows(Situation.from_dict(situation), ids, seed)
