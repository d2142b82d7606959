"""What the panel asks: a situation with changes, and how far each of its settings can be turned."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from experiments.errors import SituationError
from experiments.situations.files import load
from experiments.situations.formation import moved
from experiments.situations.setting_paths import Setting
from experiments.situations.situation import Situation
from experiments.situations.tables import is_number

# Settings of the first look that a coach turns, where its cut has them: name, words, step.
OF_THE_LOOK = (
    ("from", "cut is called at count", 0.5),
    ("release_offset", "throw later by (s)", 0.1),
    ("depth", "depth (m)", 1.0),
    ("angle", "angle (degrees)", 5.0),
    ("false_steps", "false steps", 1.0),
)


@dataclass(frozen=True)
class Question:
    """A situation by name or file, changes to its settings by path, and the place of the disc.

    Attributes
    ----------
    name : of a shipped situation, or the path of a file.
    changes : values by path.
    disc : (x, y) to put the whole formation so that the disc is there; None leaves it.
    """

    name: str
    changes: Mapping[str, Any]
    disc: tuple[float, float] | None = None

    def situation(self) -> Situation:
        """The situation with the changes made, all at once.

        Raises
        ------
        SituationError : a change is not possible; the text says what is allowed.
        """
        situation = load(self.name)
        if self.disc is not None:
            situation = moved(situation, *self.disc, mirror=False)
        return situation.with_settings(self.changes) if self.changes else situation


@dataclass(frozen=True)
class Knob:
    """A setting that can be turned.

    Attributes
    ----------
    path, words : in the file, and for a reader.
    step, value, low, high : of a slider; the ends are the last steps that the file takes.
    whole : whether only whole numbers will do.
    """

    path: str
    words: str
    step: float
    value: float
    low: float
    high: float
    whole: bool = False


def knobs(situation: Situation) -> list[Knob]:
    """What can be turned: count, wind, distance of the defenders, and the first look of the plan."""
    every = situation.settings()
    defence, look = f"defences.{situation.defence}", f"plans.{situation.plan}.looks.0"
    wanted = [
        ("stall", "count at the start", 0.5),
        ("wind.speed", "wind (m/s)", 0.5),
        ("wind.toward", "wind toward (degrees)", 15.0),
        (f"{defence}.handlers.cushion", "handlers' defenders (m)", 0.1),
        (f"{defence}.cutters.cushion", "cutters' defenders (m)", 0.1),
        *((f"{look}.{key}", words, step) for key, words, step in OF_THE_LOOK),
    ]
    found = [knob(situation, path, words, step) for path, words, step in wanted if path in every]
    # A direction is all round at half a turn to either side.
    return [
        replace(each, low=-180.0, high=180.0) if each.path == "wind.toward" else each
        for each in found
    ]


def speed_of(situation: Situation, player: str) -> Knob:
    """The top speed of one player, by name."""
    side = "attackers" if any(p.name == player for p in situation.attackers) else "defenders"
    path = f"{side}.{player}.ability.top_speed"
    return knob(situation, path, "top speed (m/s)", 0.1)


def knob(situation: Situation, path: str, words: str, step: float) -> Knob:
    """A setting with the part of its range that this situation takes, in whole steps from its value.

    A value may be within the range of the setting and still not go with the rest of the file, such as
    a look that would begin after it ends.
    """
    setting = situation.setting(path)
    value = float(setting.value) if is_number(setting.value) else 0.0
    low, high = (_end(situation, setting, value, step, way) for way in (-1, 1))
    return Knob(path, words, step, value, low, high, isinstance(setting.value, int))


def _end(situation: Situation, setting: Setting, value: float, step: float, way: int) -> float:
    bound = setting.low if way < 0 else setting.high
    steps = 20 if bound is None else int(abs(bound - value) / step + 1e-9)

    def at(k: int) -> float:
        return round(value + way * k * step, 6)

    def takes(k: int) -> bool:
        there = int(at(k)) if isinstance(setting.value, int) else at(k)
        try:
            situation.with_setting(setting.path, there)
        except SituationError:
            return False
        return True

    if takes(steps):
        return at(steps)
    # The step before the first that is refused.
    return at(bisect_left(range(1, steps), True, key=lambda k: not takes(k)))
