"""A situation before and after settings are changed, on the same luck: the paired difference."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

import pandas as pd

from experiments.errors import StallwiseError, known_keywords
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many
from experiments.situations.asks import ASKS
from experiments.situations.setting_paths import spread_out
from experiments.situations.situation import Situation
from experiments.statistics.comparison import Comparison, compare_tables, completion_differences
from experiments.statistics.measures import MEASURES, ByChance
from experiments.statistics.weights import Weights
from experiments.studies.rehearse import Study
from experiments.studies.result import DEFAULT_SEED, Result, by_chance
from experiments.words.looks import looks_in_short, traps
from experiments.words.measured import (
    chance_table,
    headline,
    in_a_sentence,
    told,
    told_difference,
    words_of,
)
from experiments.words.text_table import TextTable
from experiments.words.wording import count

DEFAULT_N = 1000
BEFORE, AFTER = "before", "after"


@dataclasses.dataclass(frozen=True)
class WhatIf(Result):
    """A situation as it is and with some settings changed, on the same luck.

    Attributes
    ----------
    changes : what each setting was and is now, by path; a setting that follows another, such as the
        ability of a player from the level of the team, is not listed.
    before, after : the two studies.
    comparison : the estimates of both, and after less before in every measure.
    """

    charts = ("whatif",)
    changes: dict[str, tuple[Any, Any]]
    before: Study
    after: Study
    comparison: Comparison

    @property
    def by_chance(self) -> ByChance | None:
        """Completion by the chance of the catch; None where play goes on after the first throw."""
        both = {BEFORE: self.before, AFTER: self.after}
        tables = {key: study.rows for key, study in both.items()}
        return by_chance(tables, self.level, *(study.situation for study in both.values()))

    def tables(self) -> dict[str, pd.DataFrame]:
        """The differences."""
        return {"differences": self.comparison.table()}

    def answer(self) -> dict[str, Any]:
        return {
            "rehearsals": self.before.n,
            "changes": {
                path: {"before": old, "after": new} for path, (old, new) in self.changes.items()
            },
            BEFORE: self.before,
            AFTER: self.after,
            "by_chance": self.by_chance,
            "differences": {
                d.measure: {**d.difference.as_dict(), "clear": d.clear}
                for d in self.comparison.differences
            },
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The answer in a sentence, every measure before and after, the looks thrown."""
        s, c = self.situation, self.comparison
        rows = [
            (
                words_of(MEASURES[d.measure], s),
                *(
                    told(c.estimates[which][d.measure], MEASURES[d.measure], units)
                    for which in (BEFORE, AFTER)
                ),
                told_difference(d.difference, MEASURES[d.measure], units) + " *" * d.clear,
            )
            for d in sorted(c.differences, key=lambda d: d.measure != ASKS[s.asks])
        ]
        warnings = {
            when: traps(study.situation, study.rows)
            for when, study in (("Before", self.before), ("After", self.after))
        }
        return [
            f"{headline(s)}, seed {self.seed}",
            ", ".join(f"{path} {old} -> {new}" for path, (old, new) in self.changes.items()),
            in_a_sentence(c, s, units),
            *(f"{when}: {warning}" for when, found in warnings.items() for warning in found),
            f"{count(self.before.n)} rehearsals of each, with the same luck",
            "",
            TextTable(("", BEFORE, AFTER, "difference; * clear among all"), rows),
            *chance_table(self.by_chance),
            f"thrown before: {looks_in_short(self.before.looks)}",
            f"thrown after:  {looks_in_short(self.after.looks)}",
            "",
        ]


@known_keywords
def what_if(
    situation: Situation,
    changes: Mapping[str, Any],
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    weights: Weights | None = None,
    engine: Engine = ENGINE,
) -> WhatIf:
    """Rehearse a situation as it is and with settings changed, and take the difference.

    Parameters
    ----------
    changes : settings by path, such as ``{"force": "backhand", "defences.man.handlers.cushion": 0.6}``;
        a place is two numbers, ``{"attackers.left.at": [-8, 31]}``.
    n : rehearsals of each; 1000 unless `within` is given, so that the answer comes at once.
    within : rehearse until the difference in completion is known to plus or minus this much.

    Raises
    ------
    StallwiseError : nothing is changed.
    SituationError : there is no such setting, or it does not take the value.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    after = situation.with_settings(changes)
    settings = [situation.setting(path) for path in spread_out(changes)]
    now = [(old, after.setting(old.path).value) for old in settings]
    changed = {old.path: (old.value, value) for old, value in now if old.value != value}
    if not changed:
        raise StallwiseError("what if: nothing is changed; allowed: at least one other value")
    done = rehearse_many(
        {BEFORE: situation, AFTER: after},
        asked_n(n, within, DEFAULT_N),
        seed,
        within=within,
        measure=completion_differences,
        together=True,
        engine=engine,
    )
    before, then = (
        Study(done.tables[key], **done.account(which, seed))
        for key, which in ((BEFORE, situation), (AFTER, after))
    )
    found = compare_tables(done.tables, weights=weights, level=done.level)
    return WhatIf(changed, before, then, found, **done.account(situation, seed))
