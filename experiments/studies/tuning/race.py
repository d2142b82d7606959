"""Race candidates on the same luck: the clearly worse drop out, the others are rehearsed further."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence

from experiments.running.common_luck import tasks_of
from experiments.running.engine import ENGINE, Engine
from experiments.running.frames import Rehearsals
from experiments.running.runner import Runner
from experiments.running.tasks import Run
from experiments.situations.situation import Situation
from experiments.statistics.subset_selection import Judge
from experiments.statistics.tables import Table

# Looks on the way to a number of rehearsals: at a quarter, at half, at the end.
PARTS = (0.25, 0.5, 1.0)
# Looks of a race to a precision; each doubles the rehearsals.
FIRST, DOUBLINGS = 500, 5


@dataclasses.dataclass(frozen=True)
class Raced:
    """The end of a race.

    Attributes
    ----------
    tables : of every candidate, as far as it was rehearsed.
    given_up : the number of rehearsals at which a candidate was found clearly worse.
    run : how many rehearsals were made, and the time it took.
    """

    tables: dict[str, Rehearsals]
    given_up: dict[str, int]
    run: Run


def looks_at(n: int | None) -> tuple[int, ...]:
    """The numbers of rehearsals at which a race looks: up to n, or until it is precise."""
    if n is None:
        return tuple(FIRST * 2**k for k in range(DOUBLINGS + 1))
    return tuple(sorted({max(1, math.ceil(part * n)) for part in PARTS}))


def race(
    situations: Mapping[str, Situation],
    looks: Sequence[int],
    judge: Judge,
    seed: int,
    *,
    against: Mapping[str, Table] | None = None,
    enough: Callable[[Table], bool] | None = None,
    engine: Engine = ENGINE,
) -> Raced:
    """Rehearse candidates, giving up those that are clearly worse at a look.

    Parameters
    ----------
    situations : the candidates by key.
    looks : numbers of rehearsals, rising, at which to judge.
    judge : says who is clearly worse; its numbers of candidates and looks must be those of the
        whole study.
    seed : the luck, the same for all.
    against : tables of others they must keep up with, rehearsed with this seed to the last look.
    enough : ends the race at a look where it is true of the table of the best.
    engine : how to run it.

    Raises
    ------
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    rivals: dict[str, Table] = dict(against or {})
    keys = list(situations)
    sizes = dict.fromkeys(keys, looks[0])
    given_up: dict[str, int] = {}
    with Runner(tasks_of(situations, looks[0], seed), engine) as runner:
        for look in looks:
            alive = [key for key in keys if key not in given_up]
            if not alive:
                break
            sizes |= dict.fromkeys(alive, look)
            runner.extend(list(sizes.values()))
            running = {key: runner.table(keys.index(key), look) for key in alive}
            everyone = {**rivals, **running}
            best = judge.best(everyone)
            behind = judge.behind({**running, best: everyone[best]}, best)
            given_up |= {key: look for key in alive if judge.worse(behind[key])}
            if enough is not None and enough(everyone[best]):
                break
        done = runner.result(list(sizes.values()))
    return Raced(done.tables, given_up, done)
