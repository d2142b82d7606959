"""Rehearse the situations of a study with the same random draws (common random numbers)."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

from experiments.errors import StallwiseError
from experiments.running import precision
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import Rehearsed
from experiments.running.runner import run
from experiments.running.tasks import Task
from experiments.situations.situation import Situation


@dataclasses.dataclass(frozen=True)
class Size:
    """How many rehearsals each situation of a study gets; one of the two is None.

    Attributes
    ----------
    n : this many.
    within : as many as it takes for intervals of this half-width.
    """

    n: int | None = None
    within: float | None = None

    def __post_init__(self) -> None:
        if (self.n is None) == (self.within is None):
            raise StallwiseError(
                f"found n = {self.n} and within = {self.within}; allowed: one of the two"
            )
        if self.n is not None and self.n < 1:
            raise StallwiseError(f"n: found {self.n}; allowed: at least 1")
        if self.within is not None and not 0.0 < self.within < math.inf:
            raise StallwiseError(f"within: found {self.within}; allowed: a number above 0")

    @classmethod
    def asked(cls, n: int | None, within: float | None, default: int) -> Size:
        """The size that was asked for: `default` rehearsals where neither is given."""
        return cls(default if n is None and within is None else n, within)


def rehearse_many(
    situations: Mapping[str, Situation],
    size: Size,
    seed: int,
    *,
    measure: precision.Measure = precision.completion,
    together: bool = False,
    level: float = 0.95,
    engine: Engine = ENGINE,
) -> Rehearsed:
    """Rehearse every situation; rehearsals of the same number have the same random draws.

    Parameters
    ----------
    situations : by key.
    size : how many rehearsals each.
    seed : the luck.
    measure, together, level : as for `precision.run_to_precision`, used with `size.within`.
    engine : how to run them.

    Raises
    ------
    RunError, StudyFolderError, RunInterrupted : as `running.run`.
    """
    tasks = tasks_of(situations, size.n or 1, seed)
    if size.within is None:
        return Rehearsed(run(tasks, engine), level)
    how: dict[str, Any] = {"measure": measure, "together": together, "level": level}
    return precision.run_to_precision(tasks, size.within, engine, **how)


def tasks_of(situations: Mapping[str, Situation], n: int, seed: int) -> list[Task]:
    """A task for each situation."""
    return [Task(key, s.to_dict(), n, seed) for key, s in situations.items()]
