"""Compare plans of a situation: rehearse them with the same luck and take the differences."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from experiments.errors import StallwiseError, known_keywords, one_of_text
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many
from experiments.situations.asks import asked_first
from experiments.situations.situation import Situation
from experiments.statistics.comparison import (
    COMPARED,
    Comparison,
    compare_tables,
    completion_differences,
)
from experiments.statistics.look_shares import LookShare, look_shares
from experiments.statistics.measures import MEASURES, ByChance
from experiments.statistics.tables import Table, data_frame
from experiments.statistics.weights import Weights
from experiments.studies.rehearse import DEFAULT_N
from experiments.studies.result import DEFAULT_SEED, Result, by_chance, frame_of
from experiments.words.looks import HEADS, look_lines, traps
from experiments.words.measured import (
    chance_table,
    headline,
    score_line,
    told,
    told_difference,
    words_of,
)
from experiments.words.text_table import TextTable, stacked
from experiments.words.wording import count, percent


@dataclasses.dataclass(frozen=True)
class Compared(Result):
    """Plans beside each other on the same luck.

    Attributes
    ----------
    comparison : the estimates of every plan, and each other plan less the first.
    rows : the rehearsals of each plan.
    """

    charts = ("differences",)
    comparison: Comparison
    rows: Mapping[str, Table]

    @functools.cached_property
    def rehearsals(self) -> dict[str, pd.DataFrame]:
        """The table of each plan, one row a rehearsal."""
        return {plan: data_frame(table) for plan, table in self.rows.items()}

    @property
    def n(self) -> int:
        """Rehearsals of each plan."""
        return max(map(len, self.rows.values()))

    @property
    def looks(self) -> dict[str, tuple[LookShare, ...]]:
        """Which looks each plan threw first, how often, and what they completed."""
        return {plan: look_shares(table, self.level) for plan, table in self.rows.items()}

    @property
    def by_chance(self) -> ByChance | None:
        """Completion by the chance of the catch; None where play goes on after the first throw."""
        return by_chance(self.rows, self.level, self.situation)

    def table(self) -> pd.DataFrame:
        """One row a difference, with its interval."""
        return self.comparison.table()

    def tables(self) -> dict[str, pd.DataFrame]:
        """The differences; the estimates of each plan; the looks of each plan."""
        estimates = [
            {"plan": plan, "measure": measure, **found.as_dict()}
            for plan, measures in self.comparison.estimates.items()
            for measure, found in measures.items()
        ]
        looks = [
            {"plan": plan, **found._asdict()}
            for plan, shares in self.looks.items()
            for found in shares
        ]
        return {
            "differences": self.table(),
            "estimates": pd.DataFrame(estimates),
            "looks": frame_of(looks),
        }

    def answer(self) -> dict[str, Any]:
        c = self.comparison
        return {
            "defence": self.situation.defence,
            "rehearsals": self.n,
            "baseline": c.baseline,
            "weights": c.weights,
            "plans": c.estimates,
            "looks": {
                plan: {found.look: found for found in shares} for plan, shares in self.looks.items()
            },
            "by_chance": self.by_chance,
            "differences": [
                {
                    "plan": d.plan,
                    "measure": d.measure,
                    **d.difference.as_dict(),
                    "clear": d.clear,
                    "variance_ratio": d.variance_ratio,
                }
                for d in c.differences
            ],
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """Every plan, the others less the first, and which looks were thrown."""
        c, s = self.comparison, self.situation
        names = asked_first(COMPARED, s.asks)
        heads = ("plan", *(words_of(MEASURES[name], s) for name in names))
        plans = [
            (plan, *(stacked(told(measures[name], MEASURES[name], units)) for name in names))
            for plan, measures in c.estimates.items()
        ]
        less: dict[str, list[str]] = {}
        for d in sorted(c.differences, key=lambda d: names.index(d.measure)):
            text = told_difference(d.difference, MEASURES[d.measure], units)
            less.setdefault(d.plan, [d.plan]).append(stacked(text, " *" if d.clear else ""))
        looks = [
            (plan if k == 0 else "", *line)
            for plan, shares in self.looks.items()
            for k, line in enumerate(look_lines(shares))
        ]
        level = percent(c.differences[0].difference.level, 0)
        return [
            f"{headline(s, plan=False)}, seed {self.seed}",
            *(
                warning
                for plan, table in self.rows.items()
                for warning in traps(s.with_setting("plan", plan), table)
            ),
            f"{count(self.n)} rehearsals of each plan, all with the same luck",
            "",
            TextTable(heads, plans),
            f"Each plan less {c.baseline}; * where the difference is clear:",
            TextTable(heads, list(less.values())),
            *chance_table(self.by_chance),
            TextTable(("plan", *HEADS), looks, left=2),
            f"Each interval holds {level} of the time on its own. The stars are judged together, "
            f"all {len(c.differences)} of them (Holm).",
            score_line(c.weights),
            "gain, distance off the middle and trapped: of the completed passes",
        ]


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
    plans : names of two or more, the baseline first; all of the situation if None, the one in
        use first.
    n : rehearsals of each plan; 4000 unless `within` is given.
    seed : the luck, the same for every plan.
    within : rehearse until the differences in completion are known to plus or minus this much.
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
    done = rehearse_many(
        {plan: situation.with_setting("plan", plan) for plan in chosen},
        asked_n(n, within, DEFAULT_N),
        seed,
        within=within,
        measure=completion_differences,
        together=True,
        engine=engine,
    )
    found = compare_tables(done.tables, weights=weights, level=done.level)
    return Compared(found, done.tables, **done.account(situation, seed))


def names_among(names: Iterable[str], known: Iterable[str], what: str) -> list[str]:
    """The names, checked to be known and all different.

    Raises
    ------
    StallwiseError : a name is unknown (the text has the nearest) or given twice, or none is given.
    """
    chosen, known = list(names), list(known)
    for name in chosen:
        if name not in known:
            raise StallwiseError(f"{what}: found {name!r}; allowed: {one_of_text(name, known)}")
    if len(set(chosen)) < len(chosen) or not chosen:
        found = ", ".join(chosen) or "none"
        raise StallwiseError(f"{what}: found {found}; allowed: each once, at least one")
    return chosen
