"""Plans against defences: the payoff matrix, and the optimal mix of either side."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.errors import StallwiseError, known_keywords
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many
from experiments.situations.asks import ASKS
from experiments.situations.grid import check_number
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, mean, share
from experiments.statistics.look_shares import LookShare, look_shares
from experiments.statistics.measures import Measure, column, measure_named
from experiments.statistics.scores import PLAIN, worth
from experiments.statistics.tables import Table
from experiments.statistics.uncertain_games import UncertainGame, solve_rehearsed
from experiments.statistics.weights import Weights
from experiments.studies.compare import names_among
from experiments.studies.result import DEFAULT_SEED, Result
from experiments.words.looks import hardly_thrown
from experiments.words.measured import headline, score_line, told, words_of
from experiments.words.text_table import TextTable, stacked
from experiments.words.wording import count, percent

DEFAULT_N = 1000
MOST_WARNED = 6  # warnings of pairs whose look was hardly thrown
# The columns of a plan's share of a mix.
PARTS = ("part", "low", "high", "used", "least", "most")


@dataclasses.dataclass(frozen=True)
class Matchup(Result):
    """The table of a matchup and the mixes that neither side can exploit.

    Attributes
    ----------
    plans, defences : the rows and the columns.
    measure : the payoff: the offence wants it high, the defence low.
    cells : the value of each plan (row) against each defence.
    solved : the mixes, with their uncertainty.
    looks : by plan and defence, which looks were thrown first, how often, what they completed.
    """

    charts = ("matchup",)
    plans: tuple[str, ...]
    defences: tuple[str, ...]
    measure: Measure
    weights: Weights
    cells: tuple[tuple[Estimate, ...], ...]
    solved: UncertainGame
    looks: Mapping[tuple[str, str], tuple[LookShare, ...]]

    def array(self, part: str = "estimate") -> npt.NDArray[np.float64]:
        """(plans, defences) one part of every cell: "estimate", "low" or "high"."""
        return np.array([[getattr(cell, part) for cell in row] for row in self.cells])

    def table(self) -> pd.DataFrame:
        """One row a pair of plans."""
        return pd.DataFrame(
            [
                {"plan": plan, "defence": defence, "measure": self.measure.name, **c.as_dict()}
                for plan, row in zip(self.plans, self.cells, strict=True)
                for defence, c in zip(self.defences, row, strict=True)
            ]
        )

    def mixes(self) -> pd.DataFrame:
        """One row a plan of either side: its part in the mix, and how sure that is.

        `low` to `high` is the bootstrap interval of the part, `used` how
        often it is more than nothing then; `least` to `most` is its part in other mixes that are
        exactly as good by this table.
        """
        s, game = self.solved, self.solved.game
        ours = game.row_mix, s.row_low, s.row_high, s.row_used, *game.row_range.T
        theirs = game.column_mix, s.column_low, s.column_high, s.column_used, *game.column_range.T
        sides = ("offence", self.plans, ours), ("defence", self.defences, theirs)
        return pd.DataFrame(
            [
                (side, name, *map(float, numbers))
                for side, names, columns in sides
                for name, *numbers in zip(names, *columns, strict=True)
            ],
            columns=["side", "plan", *PARTS],
        )

    def tables(self) -> dict[str, pd.DataFrame]:
        """The values and the mixes."""
        return {"values": self.table(), "mixes": self.mixes()}

    def answer(self) -> dict[str, Any]:
        mixes = self.mixes()
        return {
            "measure": self.measure.name,
            "weights": self.weights,
            "plans": self.plans,
            "defences": self.defences,
            "values": self.cells,
            "looks": {
                p: {d: {found.look: found for found in self.looks[p, d]} for d in self.defences}
                for p in self.plans
            },
            "value": self.solved.value,
            "mixes": {
                side: {
                    entry["plan"]: {part: entry[part] for part in PARTS}
                    for entry in mixes[mixes["side"] == side].to_dict("records")
                }
                for side in ("offence", "defence")
            },
            "may_cost": self.solved.loss,
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The payoff matrix, and how often to call which."""
        s, measure = self.situation, self.measure
        sizes = {cell.n for row in self.cells for cell in row}
        each = " to ".join(map(count, sorted({min(sizes), max(sizes)})))
        warnings = [
            f"{plan} / {defence}: {text}"
            for (plan, defence), shares in self.looks.items()
            if (text := hardly_thrown(s, plan, shares))
        ]
        more = len(warnings) - MOST_WARNED
        rows = [
            (plan, *(stacked(told(cell, measure, units)) for cell in row))
            for plan, row in zip(self.plans, self.cells, strict=True)
        ]
        mixes = self.mixes()
        title = headline(s, plan=False, defence=False)
        return [
            f"{title}; {words_of(measure, s)} of plans against defences",
            f"{each} rehearsals of each pair, all with the luck of seed {self.seed}",
            *([score_line(self.weights)] if measure.name == "score" else []),
            *warnings[:MOST_WARNED],
            *([f"... and {more} more such pairs; --json has all"] if more > 0 else []),
            "",
            TextTable(("", *self.defences), rows),
            "How often to call which, so that the other side cannot gain by knowing it:",
            *(_mix_table(side, mixes[mixes["side"] == side]) for side in ("offence", "defence")),
            f"Value of the game when both sides do so: {told(self.solved.value, measure, units)}.",
            "A share given as a range: every value in it is equally good by this table. The interval "
            "is from a bootstrap. Because the values are estimates, best replies to these mixes could "
            f"gain {self.solved.loss:.3f} a play on average, both sides together.",
        ]


def _mix_table(side: str, mix: pd.DataFrame) -> TextTable:
    """The share of each plan; a range where mixes with less and with more of it are as good."""
    rows = []
    for entry in mix.to_dict("records"):
        ends = dict.fromkeys(percent(entry[end], 0) for end in ("least", "most"))
        interval = f"{percent(entry['low'], 0)} to {percent(entry['high'], 0)}"
        rows.append((str(entry["plan"]), " to ".join(ends), interval))
    return TextTable((side, "share", "interval"), rows)


@known_keywords
def match_up(
    situation: Situation,
    plans: Sequence[str] | None = None,
    defences: Sequence[str] | None = None,
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    measure: str | None = None,
    weights: Weights | None = None,
    draws: int = 400,
    level: float = 0.95,
    engine: Engine = ENGINE,
) -> Matchup:
    """Rehearse every plan against every defence and solve the game that results.

    Parameters
    ----------
    plans, defences : names; all of the situation if None.
    n : rehearsals of each pair; 1000 unless `within` is given.
    seed : the luck, the same for every pair.
    within : rehearse each pair until its value is known to plus or minus this much.
    measure : the value, a name of `experiments.statistics.measures.MEASURES` that is not better
        when it is less; by default what the situation asks about. A
        rehearsal without a value, such as the gain of a pass that failed, counts 0.
    draws : how many times the game is solved again for the intervals of the mixes.
    engine : how to run it, made by `experiments.running.engine.engine`.

    Raises
    ------
    StallwiseError : a plan, a defence or the measure is unknown, or the offence does not want
        much of the measure.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    chosen, weighed = measure_named(measure or ASKS[situation.asks]), weights or Weights()
    if chosen.more < 0:
        raise StallwiseError(
            f"measure: found {measure!r}, of which the offence wants little; "
            "allowed: one it wants much of, such as score, completed, gain_m"
        )
    ours = names_among(situation.plans if plans is None else plans, situation.plans, "plans")
    theirs = names_among(
        situation.defences if defences is None else defences, situation.defences, "defences"
    )
    pairs = [(plan, defence) for plan in ours for defence in theirs]
    check_number(pairs)
    made = {f"{p} / {d}": situation.with_settings({"plan": p, "defence": d}) for p, d in pairs}

    def results(table: Table) -> npt.NDArray:
        # Of all rehearsals, so that one without a value counts 0.
        return column(table, dataclasses.replace(chosen, of="all"), weighed)[0]

    def value(table: Table, at: float) -> Estimate:
        if chosen.share:
            return share(results(table), at)
        if chosen.name == "score" or chosen.of == "completed":
            return worth(results(table), table["completed"].to_numpy(bool), at)
        return mean(results(table), at)

    def values(tables: Mapping[str, Table], at: float) -> dict[str, Estimate]:
        return {key: value(table, at) for key, table in tables.items()}

    def in_rows(flat: list[Any]) -> list[list[Any]]:
        return [flat[k : k + len(theirs)] for k in range(0, len(flat), len(theirs))]

    n = asked_n(n, within, DEFAULT_N)
    done = rehearse_many(made, n, seed, within=within, measure=values, level=level, engine=engine)
    tables = list(done.tables.values())
    payoffs = [results(table) for table in tables]
    ends = _ends(payoffs, chosen)
    solved = solve_rehearsed(in_rows(payoffs), seed, draws, level=done.level, ends=ends)
    found = in_rows([value(table, done.level) for table in tables])
    cells = tuple(tuple(row) for row in found)
    looks = {
        pair: look_shares(table, done.level) for pair, table in zip(pairs, tables, strict=True)
    }
    sides, account = (tuple(ours), tuple(theirs)), done.account(situation, seed)
    return Matchup(*sides, chosen, weighed, cells, solved, looks, **account)


def _ends(results: Iterable[npt.NDArray], measure: Measure) -> tuple[float, float]:
    """Bounds of the payoff of a rehearsal: including a lost disc, and a plain completed pass."""
    if measure.share:
        return 0.0, 1.0
    seen = [(float(np.min(column)), float(np.max(column))) for column in results]
    done = PLAIN if measure.name == "score" else 0.0
    return min(0.0, *(low for low, _ in seen)), max(done, *(high for _, high in seen))
