"""How sensitive a comparison is: the effect of each assumption, and which would reverse it."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.situations.grid import Range
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import Measure
from experiments.statistics.weights import Weights
from experiments.studies.result import Result, table_of
from experiments.studies.sturdiness.screening import STEP, Effect
from experiments.words.measured import headline, listed, number, score_line, span, unit_of
from experiments.words.text_table import TextTable
from experiments.words.wording import join, minus, percent

HOLDS, OPEN, OVERTURNS = "holds", "may fail", "overturns"


@dataclasses.dataclass(frozen=True)
class Turn:
    """How far one plan is ahead of another as one parameter changes and the others stay in use.

    Attributes
    ----------
    range : of the parameter.
    differences : by value of the parameter, rising, each with its interval.
    """

    range: Range
    differences: Mapping[float, Estimate]

    @property
    def verdict(self) -> str:
        """Whether the plan is clearly behind at some value, is perhaps at some, or is never."""
        return OVERTURNS if self.turned else OPEN if self.unclear else HOLDS

    @property
    def turned(self) -> tuple[float, ...]:
        """Values at which the other plan is clearly better."""
        return tuple(v for v, found in self.differences.items() if found.sign == -1)

    @property
    def unclear(self) -> tuple[float, ...]:
        """Values at which neither is clearly better."""
        return tuple(v for v, found in self.differences.items() if found.sign == 0)

    @property
    def crossings(self) -> tuple[float, ...]:
        """Where the estimate changes sign, by straight lines between the values.

        Where it is exactly 0 in between, which common luck can make it, the middle of that stretch.
        """
        found = []
        uneven = [(v, e.estimate) for v, e in self.differences.items() if e.estimate != 0.0]
        level = [v for v, e in self.differences.items() if e.estimate == 0.0]
        for (left, a), (right, b) in itertools.pairwise(uneven):
            if (a > 0.0) == (b > 0.0):
                continue
            between = [v for v in level if left < v < right]
            if between:
                found.append((between[0] + between[-1]) / 2.0)
            else:
                found.append(left + (right - left) * a / (a - b))
        return tuple(found)


@dataclasses.dataclass(frozen=True)
class Sturdiness(Result):
    """How far a comparison of two plans depends on its assumptions.

    Attributes
    ----------
    better, other : the plan with the better estimate at the values in use, and the other.
    measure, weights : what is compared.
    advice : better less other at the values in use, paired.
    effects : of each assumption on that difference, the largest first.
    points : (K, parameters) the sets of assumptions that were tried, in the order of `ranges`.
    tried : the difference at each of them, each with an interval that allows for their number.
    turns : the difference along each assumption that matters most, the others as in use.
    ranges : of the assumptions, in the order of `points`.
    """

    better: str
    other: str
    measure: Measure
    weights: Weights
    advice: Estimate
    effects: tuple[Effect, ...]
    points: npt.NDArray[np.float64]
    tried: tuple[Estimate, ...]
    turns: tuple[Turn, ...]
    ranges: tuple[Range, ...]

    @property
    def charts(self) -> Sequence[str]:
        """The effects, and the differences along the largest."""
        return ("screening", "turns") if self.turns else ("screening",)

    @property
    def verdicts(self) -> dict[str, str]:
        """What each assumption that was followed does, by its path."""
        return {turn.range.path: turn.verdict for turn in self.turns}

    @property
    def signs(self) -> dict[int, int]:
        """In how many sets of assumptions the better plan stays so (+1), may (0), does not (-1)."""
        found = [estimate.sign for estimate in self.tried]
        return {s: found.count(s) for s in (1, 0, -1)}

    def findings(self) -> list[str]:
        """In plain words: the advice, how often it holds, and what would reverse it."""
        found, sets = self.advice, self.signs
        ends = f"{found.low:+.3f} to {found.high:+.3f}, {100 * found.level:g} % interval"
        words = "is better than" if found.sign != 0 else "looks better than, but not clearly,"
        lines = [
            f"At the values in use, {self.better} {words} {self.other} in "
            f"{self.measure.words}: {minus(f'{found.estimate:+.3f} ({ends})')}.",
            f"Of {len(self.tried)} sets of other assumptions {self.better} is clearly better in "
            f"{sets[1]}, {self.other} in {sets[-1]}, and neither in {sets[0]}.",
        ]
        overturns, open_, holds = (
            [turn for turn in self.turns if turn.verdict == verdict]
            for verdict in (OVERTURNS, OPEN, HOLDS)
        )
        better, neither = f"{self.other} is better", "neither is clearly better"
        lines += [_turned(turn, "would", turn.turned, better) for turn in overturns]
        lines += [_turned(t, "may", t.unclear, neither) for t in open_ if t.crossings]
        if unsure := [turn.range.path for turn in open_ if not turn.crossings]:
            lines.append(
                f"Along {join(unsure)} {self.better} stays ahead, at some values by too little to "
                "be certain with so few rehearsals."
            )
        if held := [
            f"{r.path} ({tried} from {span((r.low, r.high), r.setting.unit)})"
            for r, tried in ((turn.range, len(turn.differences)) for turn in holds)
        ]:
            lines.append(
                "None of these alone changes which is better, at any of the values tried: "
                f"{join(held)}."
            )
        followed = {turn.range.path for turn in self.turns}
        rest = [e for e in self.effects if e.range.path not in followed]
        if loud := [e.range.path for e in rest if e.matters]:
            lines.append(f"Smaller effects, not followed on their own: {join(loud)}.")
        if quiet := [e.range.path for e in rest if not e.matters]:
            lines.append(f"No effect beyond luck was found for {join(quiet)}.")
        return lines

    def table(self) -> pd.DataFrame:
        """One row an assumption, the largest effect first."""
        rows = [
            {
                "setting": e.range.path,
                "in_use": e.range.setting.value,
                "low": e.range.low,
                "high": e.range.high,
                "unit": e.range.setting.unit,
                "effect": e.mean,
                **_screened(e),
                "verdict": self.verdicts.get(e.range.path, ""),
            }
            for e in self.effects
        ]
        return table_of(rows)

    def tables(self) -> dict[str, pd.DataFrame]:
        """The assumptions; the values of those whose turn was looked for; the sets of all."""
        turns = [
            {"setting": turn.range.path, "value": v, **d.columns("difference"), "n": d.n}
            for turn in self.turns
            for v, d in turn.differences.items()
        ]
        heads = ["setting", "value", "difference", "low", "high", "n"]
        sets = pd.DataFrame(self.points, columns=[r.path for r in self.ranges])
        tried = pd.DataFrame([found.columns("difference") for found in self.tried])
        return {
            "assumptions": self.table(),
            "turns": pd.DataFrame(turns, columns=heads),
            "tried": pd.concat([sets, tried], axis="columns"),
        }

    def answer(self) -> dict[str, Any]:
        turns = {turn.range.path: turn for turn in self.turns}
        return {
            "defence": self.situation.defence,
            "better": self.better,
            "other": self.other,
            "measure": self.measure.name,
            "weights": self.weights,
            "advice": self.advice,
            "step": STEP,
            "assumptions": [
                {
                    "path": e.range.path,
                    "in_use": e.range.setting.value,
                    "range": [e.range.low, e.range.high],
                    "effect": e.mean,
                    **_screened(e),
                    **_turn_dict(turns.get(e.range.path)),
                }
                for e in self.effects
            ],
            "sets_of_assumptions": {
                "tried": len(self.tried),
                "stays_better": self.signs[1],
                "unclear": self.signs[0],
                "other_better": self.signs[-1],
            },
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The effect of each assumption on the difference, and what would reverse the advice."""
        rows = [
            (
                e.range.path,
                number(e.range.now or 0.0),
                span((e.range.low, e.range.high), unit_of(e.range.setting)),
                minus(f"{e.mean.estimate:+.3f} ({e.mean.low:+.3f} to {e.mean.high:+.3f})"),
                f"{e.size:.3f}",
                f"{e.noise:.3f}",
                "yes" if e.matters else "no",
                self.verdicts.get(e.range.path, "not followed"),
            )
            for e in self.effects
        ]
        heads = ("assumption", "in use", "range", "average effect", "size", "luck alone")
        return [
            f"{headline(self.situation, plan=False)}; {self.better} and {self.other}",
            f"seed {self.seed}; {len(self.tried)} sets of assumptions, all with the same luck",
            *([score_line(self.weights)] if self.measure.name == "score" else []),
            "",
            TextTable((*heads, "beyond luck", "verdict"), rows),
            "Average effect: the change of the difference as the assumption rises by two thirds of "
            "its range. Size: the average without sign, so that opposite effects do not cancel.",
            f"Confidence {percent(self.advice.level, 0)} for all statements about other assumptions "
            "together: which have an effect beyond luck, and which plan is clearly better with them.",
            "",
            *self.findings(),
        ]


def _turned(turn: Turn, verb: str, values: Sequence[float], how: str) -> str:
    """How one assumption alone overturns the advice, where the two are level, and what is in use."""
    where, now = listed(values, turn.range.setting.unit), turn.range.now
    level = f"; they are level near {listed(turn.crossings)}" if turn.crossings else ""
    in_use = "" if now is None else minus(f" (in use: {now:g})")
    return f"{turn.range.path} alone {verb} overturn it: at {where} {how}{level}{in_use}."


def _screened(e: Effect) -> dict[str, float]:
    """The measures of Morris's screening."""
    return {
        "mu_star": e.size,
        "mu_star_spread": e.size_spread,
        "sigma": e.varies,
        "noise": e.noise,
        "matters": e.matters,
    }


def _turn_dict(turn: Turn | None) -> dict[str, Any]:
    if turn is None:
        return {"verdict": None}
    return {
        "verdict": turn.verdict,
        "turned_at": turn.turned,
        "unclear_at": turn.unclear,
        "crosses_near": turn.crossings,
        "differences": [{"value": v, **d.as_dict()} for v, d in turn.differences.items()],
    }
