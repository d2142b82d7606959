"""Points of a study: the same situation with some of its numeric settings changed."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from experiments.errors import Problem, SituationError, StallwiseError
from experiments.situations.setting_paths import Setting
from experiments.situations.situation import Situation
from experiments.situations.tables import Key, is_number, within

# More points than this are a mistake in the question.
MOST = 2000


@dataclasses.dataclass(frozen=True)
class Range:
    """One numeric setting from `low` to `high`.

    Attributes
    ----------
    setting : with its path, value in use, allowed range and unit.
    low, high : the ends, both allowed.
    """

    setting: Setting
    low: float
    high: float

    @property
    def path(self) -> str:
        """The path of the setting in the file."""
        return self.setting.path

    @property
    def name(self) -> str:
        """The last word of the path, for charts."""
        return self.path.rsplit(".", 1)[-1]

    @property
    def whole(self) -> bool:
        """Whether only whole numbers will do."""
        return isinstance(self.setting.value, int)

    @property
    def now(self) -> float | None:
        """The value in use, if it is a number."""
        value = self.setting.value
        return float(value) if is_number(value) else None

    def tidy(self, value: float) -> float:
        """The value as a person would say it: to about a hundredth of the range, and inside it."""
        if self.high <= self.low:
            return self.low
        digits = 2 - math.floor(math.log10(self.high - self.low))
        return min(max(round(value, digits), self.low), self.high) + 0.0

    def at(self, share: float) -> float:
        """The value this share of the way from low to high, tidied."""
        if self.whole:
            steps = int(self.high) - int(self.low) + 1
            return float(int(self.low) + min(int(share * steps), steps - 1))
        return self.tidy(self.low + share * (self.high - self.low))

    def spaced(self, count: int) -> tuple[float, ...]:
        """`count` values evenly spaced from end to end; whole numbers are not repeated."""
        if count < 2 or self.low == self.high:
            return (self.low,)
        if self.whole:
            spots = np.round(np.linspace(self.low, self.high, count))
            return tuple(float(v) for v in dict.fromkeys(spots.tolist()))
        spots = np.linspace(self.low, self.high, count).tolist()
        return tuple(float(f"{spot:.9g}") + 0.0 for spot in spots)


def numeric_setting(situation: Situation, path: str) -> Setting:
    """A setting that can be varied.

    Raises
    ------
    SituationError : there is none under that path (the text lists the nearest), or it is not a
        number.
    """
    found = situation.setting(path)
    open_number = found.value is None and found.choices is None and found.low is not None
    if not (is_number(found.value) or open_number):
        what = "a word" if isinstance(found.value, str) else "a switch"
        plan = f"plans.{situation.plan}."
        some = [path for path in situation.settings() if path.startswith(plan)][:4]
        allowed = f"a numeric setting, such as {', '.join(some)}"
        raise SituationError([Problem(path, f"{what}, not a number", allowed)], situation.name)
    return found


def range_of(situation: Situation, path: str, low: float, high: float) -> Range:
    """A range of a setting, both ends checked against what is allowed.

    Raises
    ------
    SituationError : as `numeric_setting`; or an end is outside what is allowed; or low is above
        high.
    """
    found = numeric_setting(situation, path)
    for end in (low, high):
        if not (math.isfinite(end) and within(end, found.low, found.high)):
            kind = int if isinstance(found.value, int) else float
            key = Key("", found.low, found.high, found.unit, kind)
            raise SituationError([Problem(path, f"{end:g}", key.allowed)], situation.name)
    if low > high:
        wanted = "the lower end first"
        raise SituationError([Problem(path, f"{low:g} to {high:g}", wanted)], situation.name)
    return Range(found, float(low), float(high))


def key_of(point: Mapping[str, float]) -> str:
    """The name of a point in a study: its settings and values."""
    return ", ".join(f"{path}={value:.9g}" for path, value in point.items()) or "in use"


def check_number(points: Sequence[Any]) -> None:
    """Refuse more points than a study can rehearse in reasonable time.

    Raises
    ------
    StallwiseError : there are more than `MOST`.
    """
    if len(points) > MOST:
        raise StallwiseError(f"found {len(points):,} settings to rehearse; allowed: {MOST:,}")
