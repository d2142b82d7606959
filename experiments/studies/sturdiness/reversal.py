"""At which value of a parameter, if at any, one plan stops being better than another."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Mapping

from experiments.situations.grid import Range
from experiments.statistics.estimates import Estimate

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
