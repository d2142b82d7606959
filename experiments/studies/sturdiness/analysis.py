"""Sensitivity of a comparison: screen the assumptions, then follow those with the largest effects."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from experiments.errors import StallwiseError, known_keywords
from experiments.running.common_luck import Size, rehearse_many
from experiments.running.engine import ENGINE, Engine
from experiments.running.tasks import Run
from experiments.situations.asks import ASKS
from experiments.situations.grid import Range, check_number, key_of
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import Measure, column, difference, measure_named
from experiments.statistics.tables import Table
from experiments.statistics.weights import Weights
from experiments.studies.compare import names_among
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.studies.sturdiness.assumptions import SPREAD, assumptions
from experiments.studies.sturdiness.result import Sturdiness
from experiments.studies.sturdiness.reversal import Turn
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
    size = Size.asked(n, within, DEFAULT_N)
    two = {plan: situation.with_setting("plan", plan) for plan in pair}
    asked = _Asked(two, chosen, weights or Weights(), seed, engine)
    advice = asked.in_use(size, level)
    # Statements about effects, sets and turns hold together with the level (Bonferroni).
    part = 1.0 - (1.0 - level) / 3.0
    sets = [_point(ranges, row) for row in sought]
    played = asked.played(sets, max(2, advice.n // SCREENED), "screening")
    outcomes = np.stack([asked.ahead_by(tables) for tables in played])
    changes = np.stack([asked.more_done(tables) for tables in played])
    effects = screen(ranges, sought, outcomes, changes, seed, part)
    strict = 1.0 - (1.0 - part) / len(sought)
    followed = [effect.range for effect in effects if effect.size > 0.0][:TURNS]
    return Sturdiness(
        *asked.ordered,
        chosen,
        asked.weights,
        advice,
        effects,
        sought,
        tuple(asked.ahead_on_average(tables, strict) for tables in played),
        asked.turns(followed, max(2, advice.n // TURNED), part),
        ranges,
        situation=situation,
        seed=seed,
        runs=tuple(asked.runs),
        reached=asked.reached,
        level=level,
    )


def _point(ranges: tuple[Range, ...], row: npt.NDArray[np.float64]) -> dict[str, float]:
    return {r.path: float(value) for r, value in zip(ranges, row, strict=True)}


@dataclasses.dataclass
class _Asked:
    """Rehearses the two plans at any point; `ahead` says which of them is better."""

    situations: Mapping[str, Situation]
    measure: Measure
    weights: Weights
    seed: int
    engine: Engine
    ahead: int = 1
    reached: bool = True
    runs: list[Run] = dataclasses.field(default_factory=list)

    @property
    def ordered(self) -> tuple[str, str]:
        """The plan that looks better, and the other."""
        one, other = self.situations
        return (one, other) if self.ahead > 0 else (other, one)

    def in_use(self, size: Size, level: float) -> Estimate:
        """The better plan less the other with everything as in use; sets `ahead`."""

        def measured(tables: Mapping[str, Table], at: float) -> dict[str, Estimate]:
            one, other = (tables[plan] for plan in self.situations)
            return {"difference": difference(one, other, self.measure, self.weights, at)}

        done = rehearse_many(
            self.situations,
            size,
            self.seed,
            measure=measured,
            together=True,
            level=level,
            engine=self.engine,
        )
        self.runs.append(done.run)
        self.reached = done.reached
        if measured(done.tables, done.level)["difference"].estimate < 0.0:
            self.ahead = -1
        better, other = (done.tables[plan] for plan in self.ordered)
        return difference(better, other, self.measure, self.weights, done.level)

    def played(self, points: list[dict[str, float]], n: int, part: str) -> list[Pair]:
        """The tables of the better plan and the other at each point."""
        different = {key_of(point): point for point in points}
        done = rehearse_many(
            {
                f"{plan}: {key}": situation.with_settings(point)
                for key, point in different.items()
                for plan, situation in self.situations.items()
            },
            Size(n),
            self.seed,
            engine=self.engine.part(part),
        )
        self.runs.append(done.run)
        one, other = self.ordered
        tables = done.tables
        keys = map(key_of, points)
        return [(tables[f"{one}: {key}"], tables[f"{other}: {key}"]) for key in keys]

    def ahead_by(self, tables: Pair) -> npt.NDArray[np.float64]:
        """(n,) by how much the better plan is ahead in each rehearsal."""
        mine, theirs = (column(table, self.measure, self.weights)[0] for table in tables)
        return mine.astype(float) - theirs.astype(float)

    def more_done(self, tables: Pair) -> npt.NDArray[np.float64]:
        """(n,) 1 where only the better plan was completed (or scored), -1 where only the other."""
        event = "goal" if self.measure.name == "goal" else "completed"
        mine, theirs = (table[event].to_numpy(float) for table in tables)
        return mine - theirs

    def ahead_on_average(self, tables: Pair, level: float) -> Estimate:
        """By how much the better plan is ahead."""
        return difference(*tables, self.measure, self.weights, level)

    def turns(self, ranges: list[Range], n: int, level: float) -> tuple[Turn, ...]:
        """The difference along each of some assumptions, the others as in use."""
        if not ranges:
            return ()
        spots = [(r, value) for r in ranges for value in r.spaced(VALUES)]
        played = self.played([{r.path: v} for r, v in spots], n, "turns")
        strict = 1.0 - (1.0 - level) / len(spots)
        found = {
            (r.path, v): self.ahead_on_average(tables, strict)
            for (r, v), tables in zip(spots, played, strict=True)
        }
        return tuple(Turn(r, {v: found[r.path, v] for v in r.spaced(VALUES)}) for r in ranges)
