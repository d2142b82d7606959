"""What every study answers, so that it is printed, kept and drawn without knowing which it is."""

from __future__ import annotations

import abc
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from experiments.running.tasks import Run
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import MEASURES, ByChance, difference, measured
from experiments.statistics.tables import Table
from experiments.words.text_table import TextTable, as_text, plain

DEFAULT_SEED = 7


@dataclass(frozen=True, kw_only=True)
class Result(abc.ABC):
    """What a study found. Print it to read it; `experiments.draw` draws it.

    Attributes
    ----------
    situation, seed : what was rehearsed, with which luck.
    runs : the runs it took.
    reached : whether the wanted precision was reached; True when none was asked for.
    level : to compute intervals with so that they hold 95 %; a little more where the rehearsals
        were stopped by looking at them (see `experiments.running.precision`).
    """

    situation: Situation
    seed: int
    runs: tuple[Run, ...] = ()
    reached: bool = True
    level: float = 0.95

    @abc.abstractmethod
    def tables(self) -> dict[str, pd.DataFrame]:
        """Tables by name, every estimate with its interval."""

    @abc.abstractmethod
    def answer(self) -> dict[str, Any]:
        """What was found by the keys of ``--json``, estimates as they are; `as_dict` says the rest."""

    def as_dict(self) -> dict[str, Any]:
        """What ``--json`` prints."""
        name = self.situation.name or self.situation.title
        every = {"situation": name, "seed": self.seed, "reached": self.reached}
        found: dict[str, Any] = plain({**every, **self.answer()})
        return found

    @abc.abstractmethod
    def told(self, units: str = "m") -> list[str | TextTable]:
        """What the command prints: lines and tables, lengths in metres or yards."""

    def findings(self) -> list[str]:
        """Conclusions in plain words, for the handout to print; most studies have none."""
        return []

    @property
    def charts(self) -> Sequence[str]:
        """The kinds of charts that a command keeps beside the tables; see `experiments.draw`."""
        return ()

    @property
    def made(self) -> int:
        """How many rehearsals were made; others were found in the folder."""
        return sum(run.rehearsed for run in self.runs)

    @property
    def per_second(self) -> float:
        """Rehearsals made a second; 0 if none had to be made."""
        return self.made / sum(run.seconds for run in self.runs) if self.made else 0.0

    def __str__(self) -> str:
        return as_text(self.told())


def by_chance(tables: Mapping[str, Table], level: float, *situations: Situation) -> ByChance | None:
    """Completion by the chance of the catch; None where play goes on after the first throw."""
    if any(situation.until != "throw" for situation in situations):
        return None
    chance, (first, *others) = MEASURES["catch_chance"], tables
    found = {key: measured(table, chance, level=level) for key, table in tables.items()}
    less = {key: difference(tables[key], tables[first], chance, level=level) for key in others}
    return ByChance(
        {key: one.clipped(0.0, 1.0) for key, one in found.items()},
        {key: one.clipped(-1.0, 1.0) for key, one in less.items()},
    )


def frame_of(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """A table of rows that hold estimates: `name`_estimate, `name`_low, `name`_high and `name`_n."""
    return pd.json_normalize(plain(rows), sep="_")


def table_of(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """A table of rows that hold estimates: `name`, `name`_low and `name`_high."""
    flat: list[dict[str, Any]] = [{} for _ in rows]
    for row, out in zip(rows, flat, strict=True):
        for name, cell in row.items():
            out |= cell.columns(name, f"{name}_") if isinstance(cell, Estimate) else {name: cell}
    return pd.DataFrame(flat)
