"""Tune a plan: search settings on the same luck for the best, and for all that are equally good.

A coarse design spreads over the ranges and is raced; a finer one is raced inside what is left.
Both designs are of Halton's points (1960, Numer. Math. 2:84-90), shifted by the seed (Cranley &
Patterson 1976, SIAM J. Numer. Anal. 13:904-914); a single setting gets even steps. The winner of a
search looks better than it is, so its estimate comes from rehearsals with fresh luck.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import field

import numpy as np

from experiments.errors import SituationError, StallwiseError, known_keywords
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many, tasks_of
from experiments.running.runner import Runner
from experiments.running.tasks import Run
from experiments.situations.asks import ASKS
from experiments.situations.grid import Range, key_of, range_of
from experiments.situations.situation import Situation
from experiments.statistics.look_shares import look_shares
from experiments.statistics.measures import difference, measure_named, measured
from experiments.statistics.subset_selection import Judge
from experiments.statistics.tables import Table
from experiments.statistics.weights import Weights
from experiments.studies.result import DEFAULT_SEED
from experiments.studies.tuning.result import Tried, Tuned

DEFAULT_N = 2000
MOST_SETTINGS = 4
# A second round is made if some range has shrunk to this share of itself.
SHRUNK = 0.8
# Looks of a race to a number of rehearsals: at a quarter, at half, at the end.
PARTS = (0.25, 0.5, 1.0)
# Looks of a race to a precision; each doubles the rehearsals.
FIRST, DOUBLINGS = 500, 5


@known_keywords
def tune(
    situation: Situation,
    ranges: Mapping[str, tuple[float, float]],
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    points: int | None = None,
    measure: str | None = None,
    weights: Weights | None = None,
    level: float = 0.95,
    margin: float | None = None,
    engine: Engine = ENGINE,
) -> Tuned:
    """Search for the best values of one to four settings, and for all that are equally good.

    Parameters
    ----------
    situation : whose plan to tune; everything else stays as it is.
    ranges : lowest and highest value by path of a setting.
    n : rehearsals of all that are not clearly worse than the best; 2000 unless `within` is given.
    seed : the luck, the same for everything tried, and of the design.
    within : rehearse until the measure of the best is known to plus or minus this much, but no
        more than 16,000 times.
    points : how many to try at first, apart from the settings in use; 8 and 8 more a setting if
        None. A second round tries half as many again.
    measure, weights : what is best, a name of `experiments.statistics.measures.MEASURES`; by
        default what the situation asks about.
    level : the chance at least that the truly best of those tried is on the plateau.
    margin : settings worse than the best by no more than this are on the plateau too; that of the
        measure if None.
    engine : how to run it, made by `experiments.running.engine.engine`. Each round has a
        folder inside that of the study.

    Raises
    ------
    SituationError : there is no such numeric setting, or an end of its range is not allowed.
    StallwiseError : no settings or too many, too few points, or none that can be played.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    if not 1 <= len(ranges) <= MOST_SETTINGS:
        raise StallwiseError(f"found {len(ranges)} settings; allowed: 1 to {MOST_SETTINGS}")
    chosen = tuple(range_of(situation, path, *ends) for path, ends in ranges.items())
    if len({r.path for r in chosen}) < len(chosen):
        raise StallwiseError(f"found {chosen[0].path} twice; allowed: different settings")
    count = points_for(len(chosen)) if points is None else points
    if count < 2:
        raise StallwiseError(f"points: found {count}; allowed: at least 2")
    looks = looks_at(asked_n(n, within, DEFAULT_N))
    candidates = 1 + count + count // 2
    judged = measure_named(measure or ASKS[situation.asks])
    near = judged.margin if margin is None else margin
    judge = Judge(judged, weights or Weights(), candidates, near, len(looks) + 1, level)
    now = tuple(r.now for r in chosen if r.now is not None)
    in_use = now if len(now) == len(chosen) else None
    search = _Search(situation, chosen, in_use, judge, looks, seed, within, engine)
    search.round(1, [*([in_use] if in_use else []), *design(chosen, count, seed)])
    narrowed = search.narrowed(count)
    if narrowed is not None:
        search.round(2, design(narrowed, count // 2, seed + 1))
    return search.finished()


def points_for(settings: int) -> int:
    """How many points are tried at first for so many settings, unless it is told."""
    return 8 + 8 * settings


def looks_at(n: int | None) -> tuple[int, ...]:
    """The numbers of rehearsals at which a race looks: up to n, or until it is precise."""
    if n is None:
        return tuple(FIRST * 2**k for k in range(DOUBLINGS + 1))
    return tuple(sorted({max(1, math.ceil(part * n)) for part in PARTS}))


def design(ranges: Sequence[Range], count: int, seed: int) -> list[tuple[float, ...]]:
    """`count` points spread over the ranges, or fewer where whole numbers fall together."""
    if len(ranges) == 1:
        even = map(ranges[0].tidy, ranges[0].spaced(count))
        return [(value,) for value in dict.fromkeys(even)]
    # Statistics take a second to import, and only this needs them.
    from scipy.stats import qmc

    shift = np.random.Generator(np.random.Philox(seed)).random(len(ranges))
    shares = (qmc.Halton(len(ranges), scramble=False).random(count) + shift) % 1.0
    spots = [tuple(r.at(float(s)) for r, s in zip(ranges, row, strict=True)) for row in shares]
    return list(dict.fromkeys(spots))


@dataclasses.dataclass
class _Search:
    """The rounds of a search and their results so far, each by the key of its values.

    `in_use` are the values of the situation; None if one of them is not a number.
    """

    situation: Situation
    ranges: tuple[Range, ...]
    in_use: tuple[float, ...] | None
    judge: Judge
    looks: tuple[int, ...]
    seed: int
    within: float | None
    engine: Engine
    values: dict[str, tuple[float, ...]] = field(default_factory=dict)
    made: dict[str, Situation] = field(default_factory=dict)
    tables: dict[str, Table] = field(default_factory=dict)
    given_up: set[str] = field(default_factory=set)
    left_out: list[str] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)

    def round(self, number: int, spots: list[tuple[float, ...]]) -> None:
        """Race the spots against each other and against what is left of earlier rounds.

        The clearly worse drop out at each look, the others are rehearsed further.
        """
        new: dict[str, Situation] = {}
        for values in spots:
            point = {r.path: value for r, value in zip(self.ranges, values, strict=True)}
            if (key := key_of(point)) in self.values:
                continue
            try:
                new[key] = self.situation.with_settings(point)
                self.values[key] = values
            except SituationError as error:
                self.left_out.append(f"{key}: {'; '.join(map(str, error.problems))}")
        if not self.values:
            raise StallwiseError(f"no settings tried can be played: {self.left_out[0]}")
        if not new:
            return
        self.made |= new
        rivals = self._alive()
        sizes = dict.fromkeys(new, self.looks[0])
        tasks = tasks_of(new, self.looks[0], self.seed)
        with Runner(tasks, self.engine.part(f"round-{number}")) as runner:
            for look in self.looks:
                running = [key for key in new if key not in self.given_up]
                if not running:
                    break
                sizes |= dict.fromkeys(running, look)
                run = runner.extend(list(sizes.values()))
                tables = {key: run.tables[key] for key in running}
                everyone = {**rivals, **tables}
                best = self.judge.best(everyone)
                behind = self.judge.behind({**tables, best: everyone[best]}, best)
                self.given_up |= {key for key in running if self.judge.worse(behind[key])}
                if self._enough(everyone[best]):
                    break
        self.tables |= run.tables
        self.runs.append(run)

    def _enough(self, table: Table) -> bool:
        if self.within is None:
            return False
        return measured(table, self.judge.measure, self.judge.weights).half_width <= self.within

    def _alive(self) -> dict[str, Table]:
        return {key: t for key, t in self.tables.items() if key not in self.given_up}

    def narrowed(self, count: int) -> list[Range] | None:
        """The ranges of what is left and half a step more; None if that is nearly everything."""
        spots = [self.values[key] for key in self._alive()]
        ranges, shares = [], []
        for r, column in zip(self.ranges, zip(*spots, strict=True), strict=True):
            step = (r.high - r.low) / count ** (1.0 / len(self.ranges)) / 2.0
            low = min(max(min(column) - step, r.low), r.high)
            high = max(min(max(column) + step, r.high), r.low)
            if r.whole:
                low, high = float(round(low)), float(round(high))
            ranges.append(dataclasses.replace(r, low=low, high=high))
            shares.append((high - low) / (r.high - r.low) if r.high > r.low else 1.0)
        return ranges if min(shares) < SHRUNK else None

    def finished(self) -> Tuned:
        """Judge all that is left once more, and rehearse the best with fresh luck."""
        judge = self.judge
        alive = self._alive()
        best = judge.best(alive)
        behind = judge.behind(self.tables, best)
        tried = tuple(
            Tried(
                self.values[key],
                len(table),
                measured(table, judge.measure, judge.weights),
                behind[key],
                key == best,
                key in alive and not judge.worse(behind[key]),
                key in alive and judge.unsure(behind[key]),
                self.values[key] == self.in_use,
            )
            for key, table in self.tables.items()
        )
        # Rehearsed with fresh luck, for what is best looks better than it is.
        pair = {"best": self.made[best]}
        in_use = [k for k, values in self.values.items() if values == self.in_use and k != best]
        if in_use:
            pair["in use"] = self.made[in_use[0]]
        done = rehearse_many(pair, len(self.tables[best]), self.seed + 1, engine=self.engine)
        what, tables = (judge.measure, judge.weights), done.tables
        return Tuned(
            self.ranges,
            judge,
            tried,
            tuple(self.left_out),
            measured(tables["best"], *what),
            measured(tables["in use"], *what) if in_use else None,
            difference(tables["best"], tables["in use"], *what) if in_use else None,
            look_shares(tables["best"], done.level),
            situation=self.situation,
            seed=self.seed,
            runs=(*self.runs, done.run),
            reached=self.within is None or self._enough(self.tables[best]),
            level=judge.level,
        )
