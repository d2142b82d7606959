"""A whole formation put elsewhere on the field, with another force."""

from __future__ import annotations

import math

from experiments.errors import Problem, SituationError
from experiments.situations.lineup import side_left_open
from experiments.situations.situation import Situation

# Nobody is put nearer to a line than this, m.
INSIDE = 1.0
# Team mates pulled in to one spot are put this far apart, m.
APART = 1.0

_SAME = 1e-9


def limits(situation: Situation) -> tuple[float, float, float]:
    """How far across the disc may be, and from where to where downfield, m."""
    field = situation.playing_field
    low, _ = field.back_lines
    return field.half_width - INSIDE, low + INSIDE, field.goal_line


def moved(
    situation: Situation, x: float, y: float, force: str | None = None, mirror: bool = True
) -> Situation:
    """The situation with the disc at (x, y) and everybody moved with it.

    All who have a place in the file, defenders too, keep their distance from the disc across and
    downfield. Who would then be off the field, or nearer than 1 m to a line, is pulled straight
    in until 1 m inside it; team mates who would meet there are put 1 m apart, behind each other.

    Parameters
    ----------
    x, y : where the disc is to be, m.
    force : the force there; None keeps it.
    mirror : flip the formation across the disc where the open side is not the one it is now, so
        that the same cut comes from the same side of the force. Names stay with their players.

    Raises
    ------
    SituationError : the disc would be too near a line, or the formation cannot be played there.
    """
    wide, low, high = limits(situation)
    if not (abs(x) <= wide and low <= y <= high):
        allowed = f"x from {-wide:g} to {wide:g}, y from {low:g} to {high:g}"
        raise SituationError([Problem("disc", f"[{x:g}, {y:g}]", allowed)], situation.name)
    force = situation.force if force is None else force
    start = situation.holder.at
    before = side_left_open(situation, situation.force, start[0])
    flip = -1.0 if mirror and side_left_open(situation, force, x) != before else 1.0
    data = situation.to_dict()
    data["force"] = force
    for key in ("attackers", "defenders"):
        placed = [player for player in data[key] if "at" in player]
        wanted = [
            (x + flip * (player["at"][0] - start[0]), y + (player["at"][1] - start[1]))
            for player in placed
        ]
        spots = [_inside(situation, *spot) for spot in wanted]
        pulled = [math.dist(*pair) > _SAME for pair in zip(wanted, spots, strict=True)]
        taken: list[tuple[float, float]] = []
        # Who can stay does, and the others find room beside them.
        for index in sorted(range(len(placed)), key=lambda i: pulled[i]):
            spot = _free(situation, spots[index], taken) if pulled[index] else spots[index]
            placed[index]["at"] = list(spot)
            taken.append(spot)
    return Situation.from_dict(data, situation.name)


def _inside(situation: Situation, x: float, y: float) -> tuple[float, float]:
    field = situation.playing_field
    wide = field.half_width - INSIDE
    low, high = field.back_lines
    # 0 + x, since -0.0 is another number to a digest.
    return 0.0 + min(max(x, -wide), wide), 0.0 + min(max(y, low + INSIDE), high - INSIDE)


def _free(
    situation: Situation, spot: tuple[float, float], taken: list[tuple[float, float]]
) -> tuple[float, float]:
    """The spot, or the next one back from it, or forward if there is no room back."""
    low, high = situation.playing_field.back_lines
    steps = range(math.ceil((high - low) / APART))
    for way in (-1.0, 1.0):
        for step in steps:
            x, y = spot[0], spot[1] + way * step * APART
            inside = low + INSIDE <= y <= high - INSIDE
            if inside and all(math.dist((x, y), other) >= APART - _SAME for other in taken):
                return x, y
    return spot


def words(mirror: bool) -> tuple[str, ...]:
    """How formations are moved, for the reader of a map."""
    kept = [
        "Everybody keeps the distance from the disc that the file gives. Who would be off the "
        f"field or nearer than {INSIDE:g} m to a line is pulled in to {INSIDE:g} m inside it."
    ]
    if mirror:
        kept.append(
            "Where the other side is open the formation is mirrored across the disc, so that the "
            "cut comes from the same side of the force."
        )
    return tuple(kept)
