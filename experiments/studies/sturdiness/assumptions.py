"""The assumptions of a comparison that are not measured, and a plausible range of each."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

from experiments.errors import StallwiseError
from experiments.situations.grid import Range, numeric_setting, range_of
from experiments.situations.situation import Situation

# Running, seeing and throwing of both teams, the mark, how close the handlers are covered, wind:
# what a coach guesses. `{defence}` is the defence that is played.
GUESSED = (
    "roster.offence.top_speed",
    "roster.offence.sprint_time",
    "roster.offence.reaction",
    "roster.offence.hands",
    "roster.offence.aim_error",
    "roster.offence.pace_error",
    "roster.defence.top_speed",
    "roster.defence.sprint_time",
    "roster.defence.reaction",
    "defences.{defence}.mark.distance",
    "defences.{defence}.mark.angle",
    "defences.{defence}.handlers.cushion",
    "wind.speed",
    "wind.toward",
)
# Judgement: a guess is taken to be right to within an eighth of the allowed range.
SPREAD = 0.25


def assumptions(
    situation: Situation,
    over: Mapping[str, tuple[float, float] | None] | None = None,
    spread: float = SPREAD,
) -> tuple[Range, ...]:
    """The settings to vary, each with a plausible range.

    Parameters
    ----------
    over : ranges by path; None for a plausible one. Without any, those of `GUESSED` that the
        situation has.
    spread : width of a plausible range as a share of the allowed one; it lies around the value
        in use and ends where the allowed one does.

    Raises
    ------
    SituationError : there is no such numeric setting, or an end of its range is not allowed.
    StallwiseError : a setting takes only whole numbers, has no range, or the spread is not
        between 0 and 1.
    """
    if not 0.0 < spread <= 1.0:
        raise StallwiseError(f"spread: found {spread}; allowed: above 0 and at most 1")
    if not over:
        known = situation.settings()
        paths = [path.format(defence=situation.defence) for path in GUESSED]
        over = {path: None for path in paths if path in known}
    found = tuple(
        _plausible(situation, path, spread) if ends is None else range_of(situation, path, *ends)
        for path, ends in over.items()
    )
    for r in found:
        if r.whole or not r.low < r.high:
            raise StallwiseError(
                f"{r.path}: found {r.low:g} to {r.high:g}; allowed: a range of a setting that "
                "takes more than whole numbers"
            )
    if len({r.path for r in found}) < len(found) or not found:
        raise StallwiseError("over: found no settings, or one twice; allowed: different settings")
    return found


def _plausible(situation: Situation, path: str, spread: float) -> Range:
    found = numeric_setting(situation, path)
    if found.low is None or found.high is None or found.value is None:
        raise StallwiseError(f"{path}: found no range to narrow; allowed: {path}=LOW:HIGH")
    half = spread * (found.high - found.low) / 2.0
    whole = Range(found, float(found.low), float(found.high))
    low, high = max(found.value - half, found.low), min(found.value + half, found.high)
    return dataclasses.replace(whole, low=whole.tidy(low), high=whole.tidy(high))
