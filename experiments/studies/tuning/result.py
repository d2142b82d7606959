"""The result of a search: the best settings, and the plateau of all that are equally good."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pandas as pd

from experiments.situations.grid import Range
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate
from experiments.statistics.look_shares import LookShare
from experiments.statistics.subset_selection import Judge
from experiments.statistics.weights import Weights
from experiments.studies.result import Result
from experiments.words.looks import hardly_thrown
from experiments.words.measured import (
    headline,
    margin_told,
    number,
    score_line,
    span,
    told,
    told_difference,
    unit_of,
    words_of,
)
from experiments.words.text_table import TextTable
from experiments.words.wording import count, join

MOST_TOLD = 12  # of those as good that are printed
UNKNOWN = Estimate(math.nan, math.nan, math.nan, 0)


@dataclasses.dataclass(frozen=True)
class Tried:
    """Settings that were tried.

    Attributes
    ----------
    values : of the settings, in their order.
    n : their rehearsals.
    found : the measure with the luck of the search. That of the best is biased upward, since it
        was chosen for it.
    behind : the measure less that of the best, paired, with the interval it was judged by.
    best, as_good : whether they are the best; whether they were not found worse than it by more
        than the margin.
    unsure : whether their interval also allows that they are worse by more than the margin.
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
class Tuned(Result):
    """What a search found.

    Attributes
    ----------
    ranges : of the settings.
    judge : by which measure, and how sure.
    tried : everything that was tried.
    left_out : combinations that the situation does not allow, and why.
    fresh : the measure of the best with fresh luck, which was not used to choose it.
    fresh_in_use : that of the settings in use; None if they are no numbers or are the best.
    fresh_gain : the first less the second, paired.
    fresh_looks : which looks the best threw then.
    """

    charts = ("tuning",)
    ranges: tuple[Range, ...]
    judge: Judge
    tried: tuple[Tried, ...]
    left_out: tuple[str, ...]
    fresh: Estimate
    fresh_in_use: Estimate | None
    fresh_gain: Estimate | None
    fresh_looks: tuple[LookShare, ...]

    @property
    def best(self) -> Tried:
        """The settings with the best estimate."""
        return next(entry for entry in self.tried if entry.best)

    @property
    def tuned(self) -> Situation:
        """The situation with the best settings."""
        return self.situation.with_settings(self._changes(self.best))

    @property
    def plateau(self) -> tuple[Tried, ...]:
        """All that was tried and is not clearly worse than the best."""
        return tuple(entry for entry in self.tried if entry.as_good)

    @property
    def plateau_ranges(self) -> dict[str, tuple[float, float]]:
        """The least and the greatest value of each setting on the plateau.

        Of several settings not every combination within these ranges need be as good.
        """
        columns = zip(*(entry.values for entry in self.plateau), strict=True)
        return {r.path: (min(c), max(c)) for r, c in zip(self.ranges, columns, strict=True)}

    def with_fresh_luck(self, entry: Tried) -> Estimate | None:
        """The measure of some settings with fresh luck; None if they were not rehearsed with it."""
        if entry.best:
            return self.fresh
        return self.fresh_in_use if entry.in_use else None

    @property
    def at_an_end(self) -> tuple[str, ...]:
        """The settings whose best value is an end of the range, and could lie beyond it."""
        return tuple(
            r.path
            for r, value in zip(self.ranges, self.best.values, strict=True)
            if r.low < r.high
            and (
                (value <= r.low and (r.setting.low is None or r.low > r.setting.low))
                or (value >= r.high and (r.setting.high is None or r.high < r.setting.high))
            )
        )

    def _changes(self, entry: Tried) -> dict[str, float]:
        return {r.path: value for r, value in zip(self.ranges, entry.values, strict=True)}

    def table(self) -> pd.DataFrame:
        """One row for each that was tried, the best-looking first."""
        sign = -float(self.judge.measure.more)
        ordered = sorted(self.tried, key=lambda e: (not e.as_good, sign * e.behind.estimate))
        rows = [
            {
                **self._changes(entry),
                "n": entry.n,
                "measure": self.judge.measure.name,
                **entry.found.columns(),
                **entry.behind.columns("behind_estimate", "behind_"),
                "as_good": entry.as_good,
                "best": entry.best,
                "in_use": entry.in_use,
                "unsure": entry.unsure,
                **fresh.columns("fresh_estimate", "fresh_"),
            }
            for entry in ordered
            for fresh in [self.with_fresh_luck(entry) or UNKNOWN]
        ]
        return pd.DataFrame(rows)

    def tables(self) -> dict[str, pd.DataFrame]:
        """All that was tried."""
        return {"tried": self.table()}

    def answer(self) -> dict[str, Any]:
        fresh = {"best": self.fresh, "in_use": self.fresh_in_use, "gain": self.fresh_gain}
        return {
            "plan": self.situation.plan,
            "defence": self.situation.defence,
            "measure": self.judge.measure.name,
            "weights": self.judge.weights or Weights(),
            "settings": [
                {"path": r.path, "low": r.low, "high": r.high, "in_use": r.setting.value}
                for r in self.ranges
            ],
            "best": self._changes(self.best),
            "plateau": self.plateau_ranges,
            "fresh_luck": fresh,
            "looks": {found.look: found for found in self.fresh_looks},
            "level": self.judge.level,
            "margin": self.judge.margin,
            "tried": [
                {
                    "values": entry.values,
                    "rehearsals": entry.n,
                    "found": entry.found,
                    "behind": entry.behind,
                    "as_good": entry.as_good,
                    "in_use": entry.in_use,
                    "unsure": entry.unsure,
                }
                for entry in self.tried
            ],
            "widen": self.at_an_end,
            "left_out": self.left_out,
        }

    def findings(self) -> list[str]:
        """The best settings, those as good, and what the best are worth with other luck."""
        s, measure, gain = self.situation, self.judge.measure, self.fresh_gain
        units = {r.path: unit_of(r.setting) for r in self.ranges}
        best = [span((v,), units[path]) for path, v in self._changes(self.best).items()]
        named = join([f"{path} {text}" for path, text in zip(units, best, strict=True)])
        spans = join([f"{path} {span(e, units[path])}" for path, e in self.plateau_ranges.items()])
        unsure = [entry.n for entry in self.plateau if entry.unsure]
        lines = [
            hardly_thrown(s, s.plan, self.fresh_looks),
            f"Best of the {len(self.tried)} tried: {named}.",
            f"Equally good to within {margin_told(self.judge.margin, measure)}, as far as these "
            f"rehearsals show: {len(self.plateau)} of them, with {spans}.",
        ]
        if unsure:
            lines.append(
                f"For {len(unsure)} of those this is not certain: with {count(min(unsure))} "
                "rehearsals they may still be worse than the best by more than that."
            )
        lines += [
            f"The best {path} is at the end of its range: widen the range."
            for path in self.at_an_end
        ]
        lines.append(
            f"With fresh luck, not used for the choice, {words_of(measure, s)} of the best is "
            f"{told(self.fresh, measure)}."
        )
        if self.best.in_use:
            lines.append("The settings in use are the best that was tried.")
        elif gain is not None:
            doubt = "" if gain.sign != 0 else ", which may be due to luck"
            lines.append(
                f"Against the settings in use that is {told_difference(gain, measure)}{doubt}."
            )
        if len(self.ranges) > 1:
            lines.append("Not every combination within those ranges is necessarily as good.")
        return [line for line in lines if line]

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The settings that are as good as the best, the best-looking first."""
        s, judge = self.situation, self.judge
        ordered = sorted(self.plateau, key=lambda e: -judge.measure.more * e.found.estimate)
        rows = [
            (
                *map(number, entry.values),
                told(fresh, judge.measure, units) if (fresh := self.with_fresh_luck(entry)) else "",
                told(entry.found, judge.measure, units),
                told_difference(entry.behind, judge.measure, units),
                "uncertain" if entry.unsure else "best" if entry.best else "as good",
                count(entry.n),
            )
            for entry in ordered[:MOST_TOLD]
        ]
        heads = [r.name for r in self.ranges]
        if len(set(heads)) < len(heads):
            heads = [r.path for r in self.ranges]
        heads += [f"{words_of(judge.measure, s)}, fresh luck", "in the search", "less the best"]
        more = len(ordered) - MOST_TOLD
        return [
            headline(s),
            f"seed {self.seed}; the same luck for everything tried",
            *([score_line(judge.weights or Weights())] if judge.measure.name == "score" else []),
            "",
            TextTable((*heads, "", "rehearsals"), rows, left=0),
            *([f"... and {more} more that are equally good"] if more > 0 else []),
            *self.findings(),
            *(f"left out: {left_out}" for left_out in self.left_out),
        ]
