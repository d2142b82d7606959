"""A study of one situation: its rehearsals and what they say."""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass
from typing import Any

import pandas as pd

from experiments.errors import known_keywords
from experiments.running.batch import rehearse_tape
from experiments.running.engine import ENGINE, Engine
from experiments.running.given_policies import GivenRows
from experiments.running.precision import asked_n, rehearse_many
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, mean, share
from experiments.statistics.look_shares import LookShare, look_shares
from experiments.statistics.measures import MEASURES, measured
from experiments.statistics.tables import Table, data_frame
from experiments.studies.result import DEFAULT_SEED, Result
from experiments.words.looks import HEADS, look_lines, traps
from experiments.words.measured import BY_CHANCE, headline
from experiments.words.text_table import TextTable
from experiments.words.wording import count, estimate_lines, percent, share_with_range
from sim.record import OUTCOMES, Tape

DEFAULT_N = 4000
ESTIMATES = ("completion", "goals", "gain_m", "off_centre", "trapped", "stall_at_release")


@known_keywords
@dataclass(frozen=True)
class Study(Result):
    """The rehearsals of one situation.

    Attributes
    ----------
    rows : the rehearsals; a column is unpacked when asked for.
    offence, defence : policies given as objects in place of the named ones, or None.
    """

    charts = ("play",)
    rows: Table
    offence: Any | None = None
    defence: Any | None = None

    @functools.cached_property
    def table(self) -> pd.DataFrame:
        """One row a rehearsal, all columns unpacked; they carry their units."""
        return data_frame(self.rows)

    @property
    def n(self) -> int:
        """How many rehearsals there are."""
        return len(self.rows)

    @property
    def completion(self) -> Estimate:
        """Share of rehearsals in which the offence kept the disc or scored."""
        return share(self.rows["completed"], self.level)

    @property
    def catch_chance(self) -> Estimate:
        """What stood for the catch of the first throw before the hands' coins fell.

        Where a rehearsal ends with its first throw this estimates the same number as `completion`, from
        far fewer rehearsals. Where play goes on it is the first throw's chance and no more.
        """
        return measured(self.rows, MEASURES["catch_chance"], level=self.level)

    @property
    def by_chance(self) -> Estimate | None:
        """Completion by the chance of the catch; None where play goes on after the first throw."""
        single = self.situation.until == "throw"
        return self.catch_chance.clipped(0.0, 1.0) if single else None

    @property
    def gain_m(self) -> Estimate:
        """Metres gained downfield, over the completed."""
        return mean(self.rows["gain_m"], self.level)

    @property
    def off_centre(self) -> Estimate:
        """Distance from the long axis where the disc was caught, m, over the completed."""
        return mean(self.rows["off_centre_m"], self.level)

    @property
    def trapped(self) -> Estimate:
        """Share of the completed that were caught within 5 m of a sideline."""
        return measured(self.rows, MEASURES["trapped"], level=self.level)

    @property
    def stall_at_release(self) -> Estimate:
        """The stall count when the first throw left the hand, over those who threw."""
        return mean(self.rows["stall_at_release"], self.level)

    @property
    def goals(self) -> Estimate:
        """Share of rehearsals that ended in a goal."""
        return share(self.rows["goal"], self.level)

    @property
    def outcomes(self) -> dict[str, int]:
        """How many rehearsals ended in which way; they add up to `n`."""
        counts = self.rows["outcome"].value_counts()
        return {outcome: int(counts.get(outcome, 0)) for outcome in OUTCOMES}

    @property
    def looks(self) -> tuple[LookShare, ...]:
        """Which looks were thrown first, how often, and what they completed."""
        return look_shares(self.rows, self.level)

    def tape(self, rehearsal: int) -> Tape:
        """The whole path of one of these rehearsals, played again with the same luck."""
        return rehearse_tape(
            self.situation, rehearsal, self.seed, offence=self.offence, defence=self.defence
        )

    def tables(self) -> dict[str, pd.DataFrame]:
        """One row a rehearsal."""
        return {"rehearsals": self.table}

    def estimates(self) -> dict[str, Estimate]:
        """Every estimate by its name."""
        return {name: getattr(self, name) for name in ESTIMATES}

    def answer(self) -> dict[str, Any]:
        return {
            "plan": _name(self.situation.plan, self.offence),
            "defence": _name(self.situation.defence, self.defence),
            "rehearsals": self.n,
            "asks": self.situation.asks,
            **self.estimates(),
            "by_chance": self.by_chance,
            "outcomes": self.outcomes,
            "looks": {found.look: found for found in self.looks},
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The estimates, the looks that were thrown, and how the plays ended."""
        ended = sorted(self.outcomes.items(), key=lambda pair: -pair[1])
        estimates = estimate_lines(self, units)
        if self.by_chance is not None:
            estimates.append((BY_CHANCE, share_with_range(self.by_chance)))
        rows = [(how, count(times), percent(times / self.n)) for how, times in ended if times]
        return [
            f"{headline(self.situation)}, {count(self.n)} rehearsals with seed {self.seed}",
            *traps(self.situation, self.rows),
            "",
            TextTable(("estimate", "with its 95 % interval"), estimates, left=2),
            TextTable(HEADS, look_lines(self.looks)),
            TextTable(("how it ended", "times", "share"), rows),
        ]


def _name(name: str, policy: Any | None) -> str:
    return name if policy is None else type(policy).__name__


@known_keywords
def rehearse(
    situation: Situation,
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    offence: Any | None = None,
    defence: Any | None = None,
    engine: Engine = ENGINE,
) -> Study:
    """Rehearse a situation `n` times, or until it is known how often the pass is completed.

    Parameters
    ----------
    n : how many rehearsals; 4000 unless `within` is given.
    seed : the luck.
    within : rehearse until completion is known to plus or minus this much.
    offence, defence : policies to use instead of those that the situation names: any object
        with a function ``decide(me, s)`` that returns a `sim.intent.Intent`. More than one
        worker process needs classes that can be imported; a folder cannot keep them.
    engine : how to run it, made by `experiments.running.engine.engine`.

    Raises
    ------
    StallwiseError : n or `within` is not positive, or both are given.
    ValueError : the seed is not a whole number from 0 on.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    if offence is not None or defence is not None:
        given = GivenRows(offence, defence)
        given.check_run(engine)
        engine = dataclasses.replace(engine, rows=given)
    n = asked_n(n, within, DEFAULT_N)
    done = rehearse_many({"try": situation}, n, seed, within=within, engine=engine)
    rows = done.tables["try"]
    return Study(rows, offence, defence, **done.account(situation, seed))
