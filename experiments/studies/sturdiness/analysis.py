"""Sensitivity of a comparison: screen the assumptions, then follow those with the largest effects."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from experiments.errors import StallwiseError, known_keywords
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many
from experiments.running.tasks import Run
from experiments.situations.asks import ASKS
from experiments.situations.grid import Range, check_number, key_of
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import Measure, column, difference, measure_named
from experiments.statistics.tables import Table
from experiments.statistics.weights import Weights
from experiments.studies.compare import names_among
from experiments.studies.result import DEFAULT_SEED
from experiments.studies.sturdiness.assumptions import SPREAD, assumptions
from experiments.studies.sturdiness.result import Sturdiness, Turn
from experiments.studies.sturdiness.screening import paths, screen

DEFAULT_N = 2000
# The screening and the search for turns get this part of the rehearsals of the advice.
SCREENED, TURNED = 4, 2
PATHS, TURNS, VALUES = 4, 4, 5

Pair = tuple[Table, Table]


@known_keywords
def sturdiness(
    situation: Situation,
    plans: tuple[str, str],
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    over: Mapping[str, tuple[float, float] | None] | None = None,
    spread: float = SPREAD,
    count: int = PATHS,
    measure: str | None = None,
    weights: Weights | None = None,
    level: float = 0.95,
    engine: Engine = ENGINE,
) -> Sturdiness:
    """Ask which assumptions could reverse the finding that one plan is better than another.

    The two plans are compared with everything as in use; at points on paths through the ranges of
    the assumptions (Morris's screening); and along each of the four assumptions with the largest
    effects, with the others as in use.

    Parameters
    ----------
    situation, plans : whose plans, and which two.
    n : rehearsals of each plan with everything as in use, 2000 unless `within` is given; a
        quarter of that at the points of the screening, and half in the search for turns.
    seed : the luck, the same at all points, and of the paths.
    within : rehearse until the difference is known to plus or minus this much.
    over, spread : the assumptions; see `experiments.studies.sturdiness.assumptions.assumptions`.
    count : how many paths; each has one point more than there are assumptions.
    measure, weights : what is compared: completed, goal, gain_m or score; by default what the situation
        asks about. The gain counts 0 where the disc was lost.
    level : of the interval of the difference in use; and of all statements about other
        assumptions together: which matter, in which sets and at which values a plan is better.
    engine : how to run it, made by `experiments.running.engine.engine`. The screening and
        the search for turns have a folder each inside that of the study.

    Raises
    ------
    SituationError : an assumption is no numeric setting, or an end of its range is not allowed.
    StallwiseError : a plan or the measure is unknown, the plans are not two, the measure is not
        one of all rehearsals, or there are fewer than two paths.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    pair = names_among(plans, situation.plans, "plans")
    if len(pair) != 2:
        raise StallwiseError(f"plans: found {', '.join(pair)}; allowed: two")
    chosen = measure_named(measure or ASKS[situation.asks])
    if chosen.name == "gain_m":
        chosen = dataclasses.replace(chosen, words="gain, 0 where lost", of="all")
    if chosen.of != "all" or chosen.more != 1:
        raise StallwiseError(f"measure: found {measure!r}; allowed: completed, goal, gain_m, score")
    if count < 2:
        raise StallwiseError(f"paths: found {count}; allowed: at least 2")
    ranges = assumptions(situation, over, spread)
    sought = paths(ranges, count, seed)
    check_number(list(sought))
    n = asked_n(n, within, DEFAULT_N)
    two = {plan: situation.with_setting("plan", plan) for plan in pair}
    rehearsed = _Rehearsed(two, chosen, weights or Weights(), seed, engine, (pair[0], pair[1]))
    advice = rehearsed.in_use(n, within, level)
    # Statements about effects, sets and turns hold together with the level (Bonferroni).
    part = 1.0 - (1.0 - level) / 3.0
    sets = [dict(zip((r.path for r in ranges), map(float, row), strict=True)) for row in sought]
    played = rehearsed.at(sets, max(2, advice.n // SCREENED), "screening")
    ahead, more_done = (np.stack([*map(by, played)]) for by in (rehearsed.ahead, rehearsed.done))
    effects = screen(ranges, sought, ahead, more_done, seed, part)
    strict = 1.0 - (1.0 - part) / len(sought)
    followed = [effect.range for effect in effects if effect.size > 0.0][:TURNS]
    return Sturdiness(
        *rehearsed.ordered,
        chosen,
        rehearsed.weights,
        advice,
        effects,
        sought,
        tuple(rehearsed.difference(tables, strict) for tables in played),
        rehearsed.turns(followed, max(2, advice.n // TURNED), part),
        ranges,
        situation=situation,
        seed=seed,
        runs=tuple(rehearsed.runs),
        reached=rehearsed.reached,
        level=level,
    )


@dataclasses.dataclass
class _Rehearsed:
    """The two plans rehearsed at any point, the one that looks better first."""

    situations: Mapping[str, Situation]
    measure: Measure
    weights: Weights
    seed: int
    engine: Engine
    ordered: tuple[str, str]
    reached: bool = True
    runs: list[Run] = dataclasses.field(default_factory=list)

    def in_use(self, n: int | None, within: float | None, level: float) -> Estimate:
        """The better plan less the other with everything as in use; sets which is better."""

        def measured(tables: Mapping[str, Table], at: float) -> dict[str, Estimate]:
            return {"difference": self.difference(self._pair(tables), at)}

        done = rehearse_many(
            self.situations,
            n,
            self.seed,
            within=within,
            measure=measured,
            together=True,
            level=level,
            engine=self.engine,
        )
        self.runs.append(done.run)
        self.reached = done.reached
        if measured(done.tables, done.level)["difference"].estimate < 0.0:
            self.ordered = self.ordered[1], self.ordered[0]
        return measured(done.tables, done.level)["difference"]

    def at(self, points: list[dict[str, float]], n: int, part: str) -> list[Pair]:
        """The tables of the better plan and the other at each point."""
        different = {key_of(point): point for point in points}
        made = {
            f"{plan}: {key}": situation.with_settings(point)
            for key, point in different.items()
            for plan, situation in self.situations.items()
        }
        done = rehearse_many(made, n, self.seed, engine=self.engine.part(part))
        self.runs.append(done.run)
        return [self._pair(done.tables, f": {key_of(point)}") for point in points]

    def _pair(self, tables: Mapping[str, Table], point: str = "") -> Pair:
        better, other = (tables[f"{plan}{point}"] for plan in self.ordered)
        return better, other

    def ahead(self, tables: Pair) -> npt.NDArray[np.float64]:
        """(n,) by how much the better plan is ahead in each rehearsal."""
        mine, theirs = (column(table, self.measure, self.weights)[0] for table in tables)
        return mine.astype(float) - theirs.astype(float)

    def done(self, tables: Pair) -> npt.NDArray[np.float64]:
        """(n,) 1 where only the better plan was completed (or scored), -1 where only the other."""
        event = "goal" if self.measure.name == "goal" else "completed"
        mine, theirs = (table[event].to_numpy(float) for table in tables)
        return mine - theirs

    def difference(self, tables: Pair, level: float) -> Estimate:
        """By how much the better plan is ahead on average."""
        return difference(*tables, self.measure, self.weights, level)

    def turns(self, ranges: list[Range], n: int, level: float) -> tuple[Turn, ...]:
        """The difference along each of some assumptions, the others as in use."""
        if not ranges:
            return ()
        spots = [(r, value) for r in ranges for value in r.spaced(VALUES)]
        played = self.at([{r.path: v} for r, v in spots], n, "turns")
        strict = 1.0 - (1.0 - level) / len(spots)
        found = [self.difference(tables, strict) for tables in played]
        along = dict(zip(spots, found, strict=True))
        return tuple(Turn(r, {v: along[r, v] for v in r.spaced(VALUES)}) for r in ranges)
