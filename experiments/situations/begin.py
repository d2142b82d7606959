"""A new situation from a few answers: shape, where the disc is, force, count, levels."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from experiments.errors import Problem, SituationError, one_of_text
from experiments.situations.files import load
from experiments.situations.formation import moved
from experiments.situations.situation import Situation

# The shape asked for, and the shipped situation whose formation, plans and defences it begins with.
SHAPES = {
    "three-across": "middle-reset",
    "two-handlers": "vertical-stack",
    "side-stack": "side-stack",
    "end-zone": "end-zone-reset",
    "against-a-cup": "cup",
    "possession": "possession",
    "five-a-side": "indoor-five",
}
_HEAD = """\
# A situation for Stallwise, begun from the shape {shape}. Metres: x across the field, + to the
# right of somebody who faces the attacked end zone; y downfield, 0 on the goal line defended.
# Change what you like: 'stallwise settings {file}' lists every setting with its range,
# 'stallwise draw {file}' draws the start.

"""


def begun(
    shape: str,
    title: str,
    *,
    disc: tuple[float, float] | None = None,
    force: str | None = None,
    home: str | None = None,
    count: float | None = None,
    offence: str | None = None,
    defence: str | None = None,
    left_handed: bool = False,
) -> Situation:
    """A situation of a shape, changed by the answers that are given.

    Parameters
    ----------
    shape : a name of `SHAPES`.
    disc : where the disc is, m; everybody moves with it, defenders are placed by the defence.
    force, home : of the mark, and the sideline of the defence's bench.
    count : the number last said at the start.
    offence, defence : levels of the teams.
    left_handed : whether the thrower is.

    Raises
    ------
    SituationError : an answer is not allowed, or the shape cannot be played there.
    """
    if shape not in SHAPES:
        problem = Problem("shape", repr(shape), one_of_text(shape, SHAPES))
        raise SituationError([problem])
    data = load(SHAPES[shape]).to_dict()
    for words in ("name", "question", "story"):
        data.pop(words, None)
    answers = {"title": title, "stall": count, "home": home}
    data |= {key: value for key, value in answers.items() if value is not None}
    levels = {"offence": offence, "defence": defence}
    data["roster"] |= {team: level for team, level in levels.items() if level is not None}
    base = Situation.from_dict(data)
    for player in data["attackers"]:
        if player.get("disc") and left_handed:
            player["hand"] = "left"
    ready = Situation.from_dict(data)
    x, y = ready.holder.at if disc is None else disc
    placed = moved(ready, x, y, force)
    flipped = any(
        (new.at[0] - x) * (old.at[0] - base.holder.at[0]) < 0.0
        for new, old in zip(placed.attackers, base.attackers, strict=True)
    )
    return _renamed(placed) if flipped else placed


def _renamed(situation: Situation) -> Situation:
    """The same with left and right swapped in the names, for a formation that has been flipped."""
    words = {"left": "right", "right": "left"}

    def swapped(value: Any) -> Any:
        if isinstance(value, dict):
            return {k: v if k == "hand" else swapped(v) for k, v in value.items()}
        if isinstance(value, list):
            return [swapped(part) for part in value]
        if isinstance(value, str):
            return re.sub(r"\b(left|right)\b", lambda found: words[found[0]], value)
        return value

    data = situation.to_dict()
    for key in ("attackers", "defenders", "plans", "defences"):
        data[key] = swapped(data[key])
    return Situation.from_dict(data)


def written(situation: Situation, path: Path, shape: str) -> str:
    """The text of its file, ready to be changed by hand."""
    return _HEAD.format(shape=shape, file=path.name) + situation.to_toml()
