"""What a search for the best settings found: the best, and the plateau of all that are as good."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pandas as pd

from experiments.running.tasks import Run
from experiments.situations.grid import Range
from experiments.situations.situation import Situation
from experiments.statistics.comparison import Weights
from experiments.statistics.estimates import Estimate
from experiments.statistics.look_shares import LookShare
from experiments.statistics.subset_selection import Judge

UNKNOWN = Estimate(math.nan, math.nan, math.nan, 0)


@dataclasses.dataclass(frozen=True)
class Tried:
    """Settings that were tried.

    Attributes
    ----------
    values : of the settings, in their order.
    n : their rehearsals.
    found : the measure with the luck of the search, with an interval of its own. That of the best
        is flattered, since it was chosen for it.
    behind : the measure less that of the best, paired, with the interval it was judged by.
    best, as_good : whether they are the best; whether they were not found worse than it by more
        than the margin.
    unsure : whether they may be worse by more than that all the same, for all that can be told.
    in_use : whether they are those of the situation.
    """

    values: tuple[float, ...]
    n: int
    found: Estimate
    behind: Estimate
    best: bool
    as_good: bool
    unsure: bool
    in_use: bool


@dataclasses.dataclass(frozen=True)
class Tuned:
    """What a search found.

    Attributes
    ----------
    situation, seed : what was tuned, with which luck.
    ranges : of the settings.
    judge : by which measure, and how sure.
    tried : everything that was tried.
    left_out : settings that do not go together, and why.
    fresh : the measure of the best with other luck, which had no say in choosing it.
    fresh_in_use : that of the settings in use; None if they are no numbers or are the best.
    fresh_gain : the first less the second, paired.
    fresh_looks : which looks the best threw then.
    runs : what it took.
    reached : whether the precision that was asked for was reached; True when none was.
    """

    situation: Situation
    seed: int
    ranges: tuple[Range, ...]
    judge: Judge
    tried: tuple[Tried, ...]
    left_out: tuple[str, ...]
    fresh: Estimate
    fresh_in_use: Estimate | None
    fresh_gain: Estimate | None
    fresh_looks: tuple[LookShare, ...]
    runs: tuple[Run, ...]
    reached: bool = True

    @property
    def best(self) -> Tried:
        """The settings that look best."""
        return next(entry for entry in self.tried if entry.best)

    @property
    def tuned(self) -> Situation:
        """The situation with the best settings."""
        return self.situation.with_settings(self._changes(self.best))

    @property
    def plateau(self) -> tuple[Tried, ...]:
        """All that was tried and cannot be told from the best."""
        return tuple(entry for entry in self.tried if entry.as_good)

    @property
    def plateau_ranges(self) -> dict[str, tuple[float, float]]:
        """The least and the greatest value of each setting on the plateau.

        Of several settings not every combination within these ranges need be as good.
        """
        columns = zip(*(entry.values for entry in self.plateau), strict=True)
        return {r.path: (min(c), max(c)) for r, c in zip(self.ranges, columns, strict=True)}

    def with_fresh_luck(self, entry: Tried) -> Estimate | None:
        """The measure of some settings with the luck that had no say; None if it was not asked."""
        if entry.best:
            return self.fresh
        return self.fresh_in_use if entry.in_use else None

    @property
    def at_an_end(self) -> tuple[str, ...]:
        """The settings of which the best value is an end of the range, and could lie beyond it."""
        return tuple(
            r.path
            for r, value in zip(self.ranges, self.best.values, strict=True)
            if r.low < r.high
            and (
                (value <= r.low and (r.setting.low is None or r.low > r.setting.low))
                or (value >= r.high and (r.setting.high is None or r.high < r.setting.high))
            )
        )

    @property
    def per_second(self) -> float:
        """Rehearsals a second."""
        seconds = sum(run.seconds for run in self.runs)
        return sum(run.rehearsed for run in self.runs) / seconds if seconds else 0.0

    def _changes(self, entry: Tried) -> dict[str, float]:
        return {r.path: value for r, value in zip(self.ranges, entry.values, strict=True)}

    def table(self) -> pd.DataFrame:
        """One row for each that was tried, the best-looking first."""
        sign = -float(self.judge.measure.more)
        ordered = sorted(self.tried, key=lambda e: (not e.as_good, sign * e.behind.estimate))
        return pd.DataFrame(
            [
                {
                    **self._changes(entry),
                    "n": entry.n,
                    "measure": self.judge.measure.name,
                    **_ends("", entry.found),
                    **_ends("behind_", entry.behind),
                    "as_good": entry.as_good,
                    "best": entry.best,
                    "in_use": entry.in_use,
                    "unsure": entry.unsure,
                    **_ends("fresh_", self.with_fresh_luck(entry) or UNKNOWN),
                }
                for entry in ordered
            ]
        )

    def as_dict(self) -> dict[str, Any]:
        """What `stallwise tune --json` prints."""
        weights = self.judge.weights or Weights()
        fresh = {
            "best": self.fresh.as_dict(),
            "in_use": None if self.fresh_in_use is None else self.fresh_in_use.as_dict(),
            "gain": None if self.fresh_gain is None else self.fresh_gain.as_dict(),
        }
        return {
            "situation": self.situation.name,
            "plan": self.situation.plan,
            "defence": self.situation.defence,
            "seed": self.seed,
            "measure": self.judge.measure.name,
            "weights": dataclasses.asdict(weights),
            "settings": [
                {"path": r.path, "low": r.low, "high": r.high, "in_use": r.setting.value}
                for r in self.ranges
            ],
            "best": self._changes(self.best),
            "plateau": {path: list(ends) for path, ends in self.plateau_ranges.items()},
            "fresh_luck": fresh,
            "looks": {found.look: found.as_dict() for found in self.fresh_looks},
            "level": self.judge.level,
            "margin": self.judge.margin,
            "tried": [
                {
                    "values": list(entry.values),
                    "rehearsals": entry.n,
                    "found": entry.found.as_dict(),
                    "behind": entry.behind.as_dict(),
                    "as_good": entry.as_good,
                    "in_use": entry.in_use,
                    "unsure": entry.unsure,
                }
                for entry in self.tried
            ],
            "widen": list(self.at_an_end),
            "reached": self.reached,
            "left_out": list(self.left_out),
        }


def _ends(prefix: str, found: Estimate) -> dict[str, float]:
    parts = ("estimate", "low", "high")
    return {f"{prefix}{part}": getattr(found, part) for part in parts}
