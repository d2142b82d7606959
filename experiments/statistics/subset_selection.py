"""Which of many candidates are as good as the best, as far as the rehearsals can tell.

The candidates are rehearsed with the same luck. One is given up only when it is clearly behind the
one that looks best, by its paired difference, and by more than a margin too small to matter.
Whichever candidate is truly the best, the chance that it is given up, at any of the looks taken,
is at most 1 - level: that is Bonferroni's correction over the candidates it could be beaten by and
over the looks. It is subset selection in the sense of Gupta 1965 (Technometrics 7:225-245), and
with several looks a race in the sense of Maron & Moore 1994 (Advances in NIPS 6:59-66).
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence

from experiments.errors import StallwiseError
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import Measure, difference, measured
from experiments.statistics.tables import Table
from experiments.statistics.weights import Weights


def stretch(good: Sequence[bool], here: int) -> tuple[int, int]:
    """First and last of the good places about one, without a gap between."""
    low = high = here
    while low > 0 and good[low - 1]:
        low -= 1
    while high < len(good) - 1 and good[high + 1]:
        high += 1
    return low, high


@dataclasses.dataclass(frozen=True)
class Judge:
    """Says which candidates are clearly worse than the one that looks best.

    Attributes
    ----------
    measure, weights : what is best. A measure that is neither good nor bad cannot be judged.
    candidates : how many there are in the whole study.
    margin : differences up to this are not worth giving anything up for. Common luck makes very
        small ones certain, such as a tenth of a metre in every rehearsal.
    looks : how many times at most each is judged.
    level : the chance at least that the truly best is never given up.
    """

    measure: Measure
    weights: Weights | None
    candidates: int
    margin: float
    looks: int = 1
    level: float = 0.95

    def __post_init__(self) -> None:
        if not 0.0 <= self.margin < math.inf:
            raise StallwiseError(f"margin: found {self.margin}; allowed: a number from 0 on")
        if self.measure.more == 0:
            raise StallwiseError(f"measure: {self.measure.name} is neither good nor bad")

    @property
    def each(self) -> float:
        """The level of a single two-sided interval, of which one side counts."""
        chances = max(self.candidates - 1, 1) * self.looks
        return 1.0 - 2.0 * (1.0 - self.level) / chances

    def best(self, tables: Mapping[str, Table]) -> str:
        """The candidate that looks best; the first of several that look alike."""
        found = {
            key: self.measure.more * measured(table, self.measure, self.weights).estimate
            for key, table in tables.items()
        }
        known = {key: value for key, value in found.items() if value == value}
        return max(known or found, key=lambda key: found[key])

    def behind(self, tables: Mapping[str, Table], best: str) -> dict[str, Estimate]:
        """Every candidate less the best, each with its interval at the level `each`."""
        found = {
            key: difference(table, tables[best], self.measure, self.weights, self.each)
            for key, table in tables.items()
        }
        return {**found, best: Estimate(0.0, 0.0, 0.0, len(tables[best]), self.each)}

    def worse(self, behind: Estimate) -> bool:
        """Whether a candidate this far behind the best is clearly worse by more than the margin."""
        if self.measure.more > 0:
            return behind.high < -self.margin
        return behind.low > self.margin

    def unsure(self, behind: Estimate) -> bool:
        """Whether a candidate this far behind may be worse by more than the margin, or may not."""
        worst = -behind.low if self.measure.more > 0 else behind.high
        return not (self.worse(behind) or worst <= self.margin)
