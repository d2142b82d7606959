"""A study of one situation: its rehearsals and what they say."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

import pandas as pd

from experiments.errors import known_keywords
from experiments.running.batch import rehearse_tape
from experiments.running.common_luck import Size, rehearse_many
from experiments.running.engine import ENGINE, Engine
from experiments.running.given_policies import GivenRows
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, mean, share
from experiments.statistics.look_shares import LookShare, look_shares
from experiments.statistics.measures import MEASURES, measured
from sim.record import OUTCOMES, Tape

DEFAULT_N, DEFAULT_SEED = 4000, 7


@dataclass(frozen=True)
class Study:
    """The rehearsals of one situation.

    Attributes
    ----------
    situation, n, seed : what was rehearsed, how often, and with which luck.
    table : one row a rehearsal; the columns carry their units.
    offence, defence : policies given as objects in place of the named ones, or None.
    level : to compute intervals with so that they hold 95 %; a little more where the rehearsals
        were stopped by looking at them (see `experiments.running.precision`).
    reached : whether the wanted precision was reached; True when none was asked for.
    """

    situation: Situation
    n: int
    seed: int
    table: pd.DataFrame
    offence: Any | None = None
    defence: Any | None = None
    level: float = 0.95
    reached: bool = True

    @property
    def completion(self) -> Estimate:
        """Share of rehearsals in which the offence kept the disc or scored."""
        return share(self.table["completed"], self.level)

    @property
    def catch_chance(self) -> Estimate:
        """What stood for the catch of the first throw before the hands' coins fell.

        Where a rehearsal ends with its first throw this estimates the same number as `completion`, from
        far fewer rehearsals. Where play goes on it is the first throw's chance and no more.
        """
        return measured(self.table, MEASURES["catch_chance"], level=self.level)

    @property
    def gain_m(self) -> Estimate:
        """Metres gained downfield, over the completed."""
        return mean(self.table["gain_m"], self.level)

    @property
    def off_centre(self) -> Estimate:
        """Distance from the long axis where the disc was caught, m, over the completed."""
        return mean(self.table["off_centre_m"], self.level)

    @property
    def trapped(self) -> Estimate:
        """Share of the completed that were caught within 5 m of a sideline."""
        kept = self.table["completed"]
        return share(self.table.loc[kept, "trapped"], self.level)

    @property
    def stall_at_release(self) -> Estimate:
        """The stall count when the first throw left the hand, over those who threw."""
        return mean(self.table["stall_at_release"], self.level)

    @property
    def goals(self) -> Estimate:
        """Share of rehearsals that ended in a goal."""
        return share(self.table["goal"], self.level)

    @property
    def outcomes(self) -> dict[str, int]:
        """How many rehearsals ended in which way; they add up to `n`."""
        counts = self.table["outcome"].value_counts()
        return {outcome: int(counts.get(outcome, 0)) for outcome in OUTCOMES}

    @property
    def looks(self) -> tuple[LookShare, ...]:
        """Which looks were thrown first, how often, and what they completed."""
        return look_shares(self.table, self.level)

    def tape(self, rehearsal: int) -> Tape:
        """The whole path of one of these rehearsals, played again with the same luck."""
        return rehearse_tape(
            self.situation, rehearsal, self.seed, offence=self.offence, defence=self.defence
        )

    def as_dict(self) -> dict[str, Any]:
        """What `stallwise try --json` prints."""
        return {
            "situation": self.situation.name or self.situation.title,
            "plan": _told(self.situation.plan, self.offence),
            "defence": _told(self.situation.defence, self.defence),
            "rehearsals": self.n,
            "seed": self.seed,
            "asks": self.situation.asks,
            "reached": self.reached,
            "completion": self.completion.as_dict(),
            "goals": self.goals.as_dict(),
            "gain_m": self.gain_m.as_dict(),
            "off_centre": self.off_centre.as_dict(),
            "trapped": self.trapped.as_dict(),
            "stall_at_release": self.stall_at_release.as_dict(),
            "outcomes": self.outcomes,
            "looks": {found.look: found.as_dict() for found in self.looks},
        }


def _told(name: str, policy: Any | None) -> str:
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
    within : rehearse until completion is known to this much either way.
    offence, defence : policies of one's own to stand in for those that the situation names: any
        object with a function ``decide(me, s)`` that returns a `sim.intent.Intent`. More than one
        worker process needs classes that can be imported; a folder cannot keep them.
    engine : how to run it, made by `experiments.running.engine.engine`.

    Raises
    ------
    StallwiseError : n or `within` is not positive, or both are given.
    ValueError : the seed is not a whole number from 0 on.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    size = Size(DEFAULT_N if n is None and within is None else n, within)
    if offence is not None or defence is not None:
        given = GivenRows(offence, defence)
        given.check_run(engine)
        engine = dataclasses.replace(engine, rows=given)
    done = rehearse_many({"try": situation}, size, seed, engine=engine)
    return Study(
        situation,
        done.n,
        seed,
        done.tables["try"],
        offence,
        defence,
        level=done.level,
        reached=done.reached,
    )
