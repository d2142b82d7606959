"""What if some settings were other: before and after on the same luck, and the paired difference."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from experiments.errors import StallwiseError, known_keywords
from experiments.running.common_luck import Size, rehearse_many
from experiments.running.engine import ENGINE, Engine
from experiments.situations.setting_paths import spread_out
from experiments.situations.situation import Situation
from experiments.statistics.comparison import (
    Comparison,
    Weights,
    compare_tables,
    completion_differences,
)
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED, Study

BEFORE, AFTER = "before", "after"


@dataclasses.dataclass(frozen=True)
class WhatIf:
    """One situation as it is and with some settings changed, on the same luck.

    Attributes
    ----------
    changes : what each setting was and is now, by path; a setting that follows another, such as the
        ability of a player from the level of the team, is not listed.
    before, after : the two studies.
    comparison : the estimates of both, and after less before in every measure.
    seconds : that it took.
    """

    changes: dict[str, tuple[Any, Any]]
    before: Study
    after: Study
    comparison: Comparison
    seconds: float

    def as_dict(self) -> dict[str, Any]:
        """What `stallwise whatif --json` prints."""
        return {
            "situation": self.before.situation.name or self.before.situation.title,
            "rehearsals": self.before.n,
            "seed": self.before.seed,
            "changes": {
                path: {"before": old, "after": new} for path, (old, new) in self.changes.items()
            },
            BEFORE: self.before.as_dict(),
            AFTER: self.after.as_dict(),
            "differences": {
                d.measure: {**d.difference.as_dict(), "clear": d.clear}
                for d in self.comparison.differences
            },
        }


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
    n : rehearsals of each; 4000 unless `within` is given.
    within : rehearse until the difference in completion is known to this much either way.
    weights : of the score.

    Raises
    ------
    StallwiseError : nothing is changed.
    SituationError : there is no such setting, or it does not take the value.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    after = situation.with_settings(changes)
    told = {
        situation.setting(path).path: (situation.setting(path).value, after.setting(path).value)
        for path in spread_out(changes)
    }
    told = {path: pair for path, pair in told.items() if pair[0] != pair[1]}
    if not told:
        raise StallwiseError("what if: nothing is changed; allowed: at least one other value")
    size = Size(DEFAULT_N if n is None and within is None else n, within)
    done = rehearse_many(
        {BEFORE: situation, AFTER: after},
        size,
        seed,
        measure=completion_differences,
        together=True,
        engine=engine,
    )
    studies = [
        Study(which, done.n, seed, done.tables[key], level=done.level, reached=done.reached)
        for key, which in ((BEFORE, situation), (AFTER, after))
    ]
    found = compare_tables(done.tables, weights=weights, level=done.level)
    return WhatIf(told, studies[0], studies[1], found, done.run.seconds)
