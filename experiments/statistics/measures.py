"""What studies measure in the tables of rehearsals: one name, one meaning, everywhere."""

from __future__ import annotations

import dataclasses

import numpy as np
import numpy.typing as npt

from experiments.errors import StallwiseError, one_of_text
from experiments.statistics.estimates import Estimate, mean, share
from experiments.statistics.paired import paired_difference, paired_share_difference
from experiments.statistics.scores import worth, worth_difference
from experiments.statistics.tables import Table
from experiments.statistics.weights import Weights, score

Flags = npt.NDArray[np.bool_]


@dataclasses.dataclass(frozen=True)
class Measure:
    """One thing to measure.

    Attributes
    ----------
    name : as given to functions and options.
    words : as charts and tables call it.
    of : the rehearsals it is an average over: "all", "completed" or "thrown".
    share : whether it is a share of them, so between 0 and 1.
    unit : of the values, "" for shares and the score.
    more : +1 if a coach wants much of it, -1 if little, 0 if it is neither.
    margin : a difference too small to matter: judgement, one pass in a hundred, half a metre.
    """

    name: str
    words: str
    of: str
    share: bool
    unit: str = ""
    more: int = 1
    margin: float = 0.01


MEASURES = {
    measure.name: measure
    for measure in (
        Measure("completed", "completed", "all", True),
        Measure("goal", "goals", "all", True),
        Measure("thrown", "thrown", "all", True, more=0),
        Measure("gain_m", "gain", "completed", False, "m", margin=0.5),
        Measure("off_centre_m", "off the middle", "completed", False, "m", -1, margin=0.5),
        Measure("trapped", "trapped", "completed", True, more=-1),
        Measure("stall_at_release", "stall at release", "thrown", False, "count", 0),
        Measure("score", "score", "all", False),
        Measure("separation_m", "separation at release", "thrown", False, "m", margin=0.2),
        Measure("estimate", "thrower's own estimate", "thrown", False, "", 0),
        Measure("distance_m", "length of the throw", "thrown", False, "m", 0),
        Measure("flight_s", "time in the air", "thrown", False, "s", 0),
        Measure("release_s", "time until the throw", "thrown", False, "s", 0),
        Measure("duration_s", "length of the play", "all", False, "s", 0),
        Measure("throws", "throws", "all", False, "", 0),
        # Of rehearsals that end with their first throw this is the completion, with less luck in it.
        Measure("catch_chance", "chance of the catch, first throw", "all", False),
    )
}
# What tables of studies always tell.
MAIN = ("completed", "goal", "thrown", "gain_m", "off_centre_m", "trapped", "score")


def measure_named(name: str) -> Measure:
    """The measure under a name.

    Raises
    ------
    StallwiseError : there is none; the text lists them.
    """
    if name not in MEASURES:
        allowed = one_of_text(name, MEASURES)
        raise StallwiseError(f"measure: found {name!r}; allowed: {allowed}")
    return MEASURES[name]


def column(
    table: Table, measure: Measure, weights: Weights | None = None
) -> tuple[npt.NDArray, Flags]:
    """(R,) the value of each rehearsal, and which of them count."""
    everyone = np.ones(len(table), dtype=bool)
    completed = table["completed"].to_numpy(bool)
    if measure.name == "score":
        return score(table, weights or Weights()), everyone
    if measure.name == "thrown":
        return table["throws"].to_numpy() > 0, everyone
    values = table[measure.name].to_numpy()
    if measure.of == "all":  # what has no value, such as the gain of a disc that was lost, counts 0
        return np.nan_to_num(values), everyone
    return values, completed if measure.of == "completed" else np.isfinite(values.astype(float))


def measured(
    table: Table, measure: Measure, weights: Weights | None = None, level: float = 0.95
) -> Estimate:
    """The measure in a table, with its interval."""
    values, counts = column(table, measure, weights)
    if measure.name in ("score", "catch_chance"):
        return worth(values, _worked(table, measure), level)
    return share(values[counts], level) if measure.share else mean(values[counts], level)


def _worked(table: Table, measure: Measure) -> Flags:
    """Which rehearsals are not worth nothing; see `experiments.statistics.scores`."""
    if measure.name == "score":
        return table["completed"].to_numpy(bool)
    return table[measure.name].to_numpy(float) > 0.0


def difference(
    first: Table,
    second: Table,
    measure: Measure,
    weights: Weights | None = None,
    level: float = 0.95,
    *,
    unseen: bool = True,
) -> Estimate:
    """How much more the first has, paired; over the rehearsals that both tables hold.

    Both must have been rehearsed with the same seed, from rehearsal 0 on. `unseen` as for
    `experiments.statistics.estimates.mean`.
    """
    both = slice(min(len(first), len(second)))
    (mine, of_mine), (theirs, of_theirs) = (
        [part[both] for part in column(table, measure, weights)] for table in (first, second)
    )
    if measure.name in ("score", "catch_chance"):
        done, others = (_worked(table, measure)[both] for table in (first, second))
        return worth_difference(mine, done, theirs, others, level)
    if not measure.share:
        mine, theirs = (
            np.where(counts, values, np.nan).astype(float)
            for values, counts in ((mine, of_mine), (theirs, of_theirs))
        )
        return paired_difference(mine, theirs, level, unseen=unseen)
    if measure.of == "all":
        return paired_difference(mine, theirs, level)
    return paired_share_difference(mine, of_mine, theirs, of_theirs, level)


@dataclasses.dataclass(frozen=True)
class ByChance:
    """Completion told by what stood for the catch instead of by its coin.

    The same rate from fewer rehearsals, as each ends with its first throw; see `sim/MODEL.md`.

    Attributes
    ----------
    completed : the rate of each plan, or of whatever was rehearsed.
    less_first : each other one less the first, paired.
    """

    completed: dict[str, Estimate]
    less_first: dict[str, Estimate]
