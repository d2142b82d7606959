"""Situations changed in one thing, rehearsed once with the same luck, and compared in pairs.

A fact of the trade is taken as shown when a one-sided paired comparison says so at a false-alarm
rate of 0.001 (z = 3.1): a difference that is not there would pass once in a thousand. Pairs are
rehearsals of the same number and seed, which meet the same luck.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd

from experiments import Situation, load
from experiments.running.batch import rehearse_rows
from experiments.statistics.estimates import Estimate
from experiments.statistics.paired import paired_difference

SEED = 7
N = 500
FALSE_ALARM = 0.001
LEVEL = 1.0 - 2.0 * FALSE_ALARM  # of a two-sided interval with that much beyond either end


def situation(name: str, settings: dict[str, Any] | None = None, **top: Any) -> Situation:
    """A shipped situation with settings changed: by path, or by name for those at the top."""
    changed = load(name)
    for path, value in {**top, **(settings or {})}.items():
        changed = changed.with_setting(path, value)
    return changed


def with_looks(start: Situation, *looks: dict[str, Any], **plan: Any) -> Situation:
    """The same start, with these looks instead of the ones of the plan that is played."""
    tables = start.to_dict()
    tables["plans"] = {"tried": {"policy": "looks", **plan, "looks": list(looks)}}
    tables["plan"] = "tried"
    return Situation.from_dict(tables)


def one_look(start: Situation, **changes: Any) -> Situation:
    """The same start with the first look of its plan alone, changed in these settings.

    With nothing to fall back on, what happens is due to that look; and nobody throws it before
    its moment because the count runs out: the time for that is at the end of this window.
    """
    look = start.to_dict()["plans"][start.plan]["looks"][0]
    return with_looks(start, {**look, "to": 9.5, **changes}, free=False)


def moved(start: Situation, role: str, across: float = 1.0, down: float = 0.0) -> Situation:
    """The players of a role with x times `across` and `down` m further downfield."""
    tables = start.to_dict()
    for player in tables["attackers"]:
        if player["role"] == role:
            player["at"] = [player["at"][0] * across, player["at"][1] + down]
    return Situation.from_dict(tables)


def rows(start: Situation, n: int = N) -> pd.DataFrame:
    """Rehearsals 0 to n - 1 of a situation; the same question is rehearsed only once."""
    return _rows(start.to_toml(), n)


@lru_cache(maxsize=128)
def _rows(text: str, n: int) -> pd.DataFrame:
    return rehearse_rows(Situation.from_dict(tomllib.loads(text)), np.arange(n), SEED)


def difference(first: pd.DataFrame, second: pd.DataFrame, column: str) -> Estimate:
    """How much more of a column the first has, with an interval of `LEVEL`."""
    return paired_difference(first[column], second[column], LEVEL)
