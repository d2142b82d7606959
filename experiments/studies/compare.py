"""Compare plans of a situation: rehearse them with the same luck and take the differences."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Sequence
from typing import Any

import pandas as pd

from experiments.errors import StallwiseError, known_keywords, one_of_text
from experiments.running.common_luck import Rehearsed, Size, rehearse_many
from experiments.running.engine import ENGINE, Engine
from experiments.situations.situation import Situation
from experiments.statistics.comparison import (
    Comparison,
    Weights,
    compare_tables,
    completion_differences,
)
from experiments.statistics.look_shares import LookShare, look_shares
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED


@dataclasses.dataclass(frozen=True)
class Compared:
    """Plans beside each other on the same luck.

    Attributes
    ----------
    situation, seed : what was rehearsed, with which luck.
    comparison : the estimates of every plan, and each other plan less the first.
    rehearsed : the tables by plan, and what it took.
    """

    situation: Situation
    seed: int
    comparison: Comparison
    rehearsed: Rehearsed

    @property
    def n(self) -> int:
        """Rehearsals of each plan."""
        return self.rehearsed.n

    def table(self) -> pd.DataFrame:
        """One row a difference, with its interval."""
        return self.comparison.table()

    def estimates(self) -> pd.DataFrame:
        """One row a plan and measure, with its interval."""
        return pd.DataFrame(
            [
                {"plan": plan, "measure": measure, **found.as_dict()}
                for plan, measures in self.comparison.estimates.items()
                for measure, found in measures.items()
            ]
        )

    @property
    def looks(self) -> dict[str, tuple[LookShare, ...]]:
        """Which looks each plan threw first, how often, and what they completed."""
        level = self.rehearsed.level
        return {plan: look_shares(table, level) for plan, table in self.rehearsed.tables.items()}

    def looks_table(self) -> pd.DataFrame:
        """One row a plan and look."""
        return pd.DataFrame(
            [
                {
                    "plan": plan,
                    "look": found.look,
                    **{f"thrown_{k}": v for k, v in found.thrown.as_dict().items()},
                    **{f"completed_{k}": v for k, v in found.completed.as_dict().items()},
                }
                for plan, shares in self.looks.items()
                for found in shares
            ]
        )

    def as_dict(self) -> dict[str, Any]:
        """What `stallwise compare --json` prints."""
        c = self.comparison
        return {
            "situation": self.situation.name,
            "defence": self.situation.defence,
            "rehearsals": self.n,
            "seed": self.seed,
            "reached": self.rehearsed.reached,
            "baseline": c.baseline,
            "weights": dataclasses.asdict(c.weights),
            "plans": {
                plan: {measure: found.as_dict() for measure, found in measures.items()}
                for plan, measures in c.estimates.items()
            },
            "looks": {
                plan: {found.look: found.as_dict() for found in shares}
                for plan, shares in self.looks.items()
            },
            "differences": [
                {
                    "plan": d.plan,
                    "measure": d.measure,
                    **d.difference.as_dict(),
                    "clear": d.clear,
                    "variance_ratio": d.variance_ratio if math.isfinite(d.variance_ratio) else None,
                }
                for d in c.differences
            ],
        }


@known_keywords
def compare(
    situation: Situation,
    plans: Sequence[str] | None = None,
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    weights: Weights | None = None,
    engine: Engine = ENGINE,
) -> Compared:
    """Rehearse plans with the same luck and compare them with the first.

    Parameters
    ----------
    situation : whose plans.
    plans : names of two or more, the baseline first; all of the situation if None, the one in
        use first.
    n : rehearsals of each plan; 4000 unless `within` is given.
    seed : the luck, the same for every plan.
    within : rehearse until the differences in completion are known to this much either way.
    weights : of the score.
    engine : how to run it, made by `experiments.running.engine.engine`.

    Raises
    ------
    StallwiseError : a plan is unknown or named twice, or there are fewer than two.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    if plans is None:
        plans = [situation.plan, *(name for name in situation.plans if name != situation.plan)]
    chosen = names_among(plans, situation.plans, "plans")
    if len(chosen) < 2:
        raise StallwiseError(
            f"plans: found only {chosen[0]!r}; allowed: two or more of {', '.join(situation.plans)}"
        )
    size = Size(DEFAULT_N if n is None and within is None else n, within)
    done = rehearse_many(
        {plan: situation.with_setting("plan", plan) for plan in chosen},
        size,
        seed,
        measure=completion_differences,
        together=True,
        engine=engine,
    )
    found = compare_tables(done.tables, weights=weights, level=done.level)
    return Compared(situation, seed, found, done)


def names_among(names: Iterable[str], known: Iterable[str], what: str) -> list[str]:
    """The names, checked to be known and all different.

    Raises
    ------
    StallwiseError : one is not known, with the nearest that is; or one is there twice; or none is.
    """
    chosen, known = list(names), list(known)
    for name in chosen:
        if name not in known:
            raise StallwiseError(f"{what}: found {name!r}; allowed: {one_of_text(name, known)}")
    if len(set(chosen)) < len(chosen) or not chosen:
        found = ", ".join(chosen) or "none"
        raise StallwiseError(f"{what}: found {found}; allowed: each once, at least one")
    return chosen
