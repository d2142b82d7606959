"""Rehearse situations a number of times, or to a wanted precision.

All meet the same random draws (common random numbers), so that they can be compared.

A run that looks at its interval several times and stops when it is narrow has more chances to be
wrong than one whose size was fixed. Here the looks are few and their sizes fixed beforehand; the
interval of a rate is Clopper-Pearson's, which is conservative; and each look uses a level
that spends only `SPENT` of the error allowed. How often the final interval holds the true rate can
be computed exactly for any rate (`tests/experiments/running/test_precision.py` does): it is never
less than the level. Of averages and paired differences it is simulated (`test_coverage.py` beside it).
Stopping depends on the situation, the width and the seed, and on nothing else.

Allowing for the looks by a slightly higher level, found by exact computation, is the method of
Frey 2010, The American Statistician 64(3):242-249.
"""

from __future__ import annotations

import bisect
import dataclasses
import functools
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from experiments.errors import StallwiseError
from experiments.running.engine import ENGINE, Engine
from experiments.running.frames import Rehearsals
from experiments.running.runner import Runner, run
from experiments.running.tasks import Run, Task
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, share
from experiments.statistics.tables import Table

# Share of the allowed error that an interval at a look may use.
SPENT = 0.9
# No earlier look, so that rare events have had a chance to occur.
FIRST = 400
# Each look has a tenth more rehearsals than the one before, in round numbers.
GROWTH = 1.1
STEP = 50
# A run stops here, and says so.
MOST = 1_000_000

# What is to be precise: named estimates at the given level, from the tables by task.
Measure = Callable[[Mapping[str, Table], float], Mapping[str, Estimate]]


@dataclasses.dataclass(frozen=True)
class Rehearsed:
    """The rehearsals of many situations.

    Attributes
    ----------
    run : with the tables, by key; row i is rehearsal i.
    level : to compute intervals with, so that they hold the level that was asked for: a little above
        it where the run stopped by looking at them.
    reached : whether the wanted precision was reached; True when none was asked for.
    estimates : what was to be precise, at the level that was asked for.
    """

    run: Run
    level: float
    reached: bool = True
    estimates: Mapping[str, Estimate] = dataclasses.field(default_factory=dict)

    @property
    def tables(self) -> dict[str, Rehearsals]:
        """The rehearsals of each situation, by key."""
        return self.run.tables

    def account(self, situation: Situation, seed: int) -> dict[str, Any]:
        """What every result of a study has: `situation`, `seed`, `runs`, `reached` and `level`."""
        asked = {"situation": situation, "seed": seed}
        return {**asked, "runs": (self.run,), "reached": self.reached, "level": self.level}


def working_level(level: float) -> float:
    """The level of an interval at a look, for intervals that hold `level` once stopped."""
    return 1.0 - SPENT * (1.0 - level)


@functools.cache
def look_sizes(within: float) -> tuple[int, ...]:
    """The numbers of rehearsals at which a run to this half-width may look.

    The first is large enough that an event never seen is known to be rarer than the half-width.
    """
    sizes = [max(FIRST, math.ceil(6.0 / within / STEP) * STEP)]
    while sizes[-1] < MOST:
        size = sizes[-1]
        sizes.append(max(size + STEP, math.ceil(size * GROWTH / STEP) * STEP))
    return tuple(sizes)


def next_look(size: int, half_width: float, within: float) -> int:
    """The look to take after one that was too wide.

    It is the first at which the interval should be narrow enough, judged by its width now. Looks
    on the way there would cost error, and time: a few rehearsals take as long as many.
    """
    sizes = look_sizes(within)
    following = bisect.bisect_right(sizes, size)
    needed = size * (half_width / within) ** 2 if math.isfinite(half_width) else size
    chosen = max(following, bisect.bisect_left(sizes, needed))
    return sizes[min(chosen, len(sizes) - 1)]


def completion(tables: Mapping[str, Table], level: float) -> dict[str, Estimate]:
    """The completion of each task: the default measure of precision."""
    return {key: share(table["completed"].to_numpy(), level) for key, table in tables.items()}


def asked_n(n: int | None, within: float | None, default: int) -> int | None:
    """How many rehearsals were asked for: `default` if nothing was, None if it was a half-width.

    Raises
    ------
    StallwiseError : one of the two is not positive, or both are given.
    """
    if n is not None and within is not None:
        raise StallwiseError(f"found n = {n} and within = {within}; allowed: one of the two")
    if n is not None and n < 1:
        raise StallwiseError(f"n: found {n}; allowed: at least 1")
    if within is not None and not 0.0 < within < math.inf:
        raise StallwiseError(f"within: found {within}; allowed: a number above 0")
    return default if n is None and within is None else n


def rehearse_many(
    situations: Mapping[str, Situation],
    n: int | None,
    seed: int,
    *,
    within: float | None = None,
    measure: Measure = completion,
    together: bool = False,
    level: float = 0.95,
    engine: Engine = ENGINE,
) -> Rehearsed:
    """Rehearse every situation; rehearsals of the same number have the same random draws.

    Parameters
    ----------
    situations : by key.
    n, within : how many rehearsals each, or to which half-width; see `asked_n`.
    measure, together, level : as for `run_to_precision`, used with `within`.

    Raises
    ------
    RunError, StudyFolderError, RunInterrupted : as `Runner.extend`.
    """
    tasks = tasks_of(situations, n or 1, seed)
    if within is None:
        return Rehearsed(run(tasks, engine), level)
    return run_to_precision(tasks, within, engine, measure=measure, together=together, level=level)


def tasks_of(situations: Mapping[str, Situation], n: int, seed: int) -> list[Task]:
    """A task for each situation."""
    return [Task(key, s.to_dict(), n, seed) for key, s in situations.items()]


def run_to_precision(
    tasks: Sequence[Task],
    within: float,
    engine: Engine = ENGINE,
    *,
    measure: Measure = completion,
    together: bool = False,
    level: float = 0.95,
    most: int = MOST,
) -> Rehearsed:
    """Rehearse until every estimate has a half-width of at most `within`.

    Parameters
    ----------
    tasks : what to rehearse; their `n` is not used.
    within : the wanted half-width, in the unit of what is measured.
    measure : what is to be precise. Its estimates are named by the keys of the tasks, unless
        the tasks go `together`.
    together : give every task the same rehearsals, and stop when all estimates are precise;
        needed to compare tasks. Otherwise each task stops by its own estimate.
    level : what the intervals are to hold, each on its own, when the run has stopped.
    most : give up at this many rehearsals of a task.

    Raises
    ------
    ValueError : if `within` is not positive.
    RunError, StudyFolderError, RunInterrupted : as `Runner.extend`.
    """
    if not (within > 0.0 and math.isfinite(within)):
        raise ValueError(f"within is {within}; it must be a positive number")
    used = working_level(level)
    first = min(look_sizes(within)[0], most)
    sizes = [first] * len(tasks)
    settings = {"within": within, "level": level, **engine.settings}
    with Runner(tasks, dataclasses.replace(engine, settings=settings)) as runner:
        while True:
            done = runner.extend(sizes)
            found = measure(done.tables, used)
            widths = {key: _width(estimate) for key, estimate in found.items()}
            if together:
                widths = dict.fromkeys(done.tables, max(widths.values()))
            wanted = [
                size if width <= within else min(next_look(size, width, within), most)
                for size, width in zip(sizes, (widths[task.key] for task in tasks), strict=True)
            ]
            if wanted == sizes:
                break
            sizes = wanted
    estimates = {key: dataclasses.replace(e, level=level) for key, e in found.items()}
    reached = all(width <= within for width in widths.values())
    return Rehearsed(done, used, reached, estimates)


def _width(estimate: Estimate) -> float:
    """Half-width; infinite without data."""
    return math.inf if math.isnan(estimate.half_width) else estimate.half_width
