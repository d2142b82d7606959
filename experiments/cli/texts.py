"""Parse the texts of options: lists, numbers, values by path, weights."""

from __future__ import annotations

import dataclasses
import math
import tomllib
from collections.abc import Callable, Sequence
from typing import Any

from experiments.cli.options import shortened
from experiments.errors import StallwiseError, one_of_text
from experiments.situations.setting_paths import spread_out
from experiments.situations.situation import Situation
from experiments.statistics.weights import Weights

MOST_SPOTS = 1000  # values of one setting in one question


def listed(text: str | None) -> list[str] | None:
    """The names in a text with commas; None where the option was not given."""
    return None if text is None else [part.strip() for part in text.split(",") if part.strip()]


def weights_of(text: str | None) -> Weights:
    """Weights from ``NAME=VALUE,...``; the defaults where not named.

    Raises
    ------
    StallwiseError : a name is unknown, or a value is no number or out of its range.
    """
    known = [field.name for field in dataclasses.fields(Weights)]
    given: dict[str, float] = {}
    for part in listed(text) or []:
        name, equals, value = (piece.strip() for piece in part.partition("="))
        if not equals or name not in known:
            allowed = one_of_text(name, known)
            raise StallwiseError(f"--weights: found {part!r}; allowed: NAME=VALUE with {allowed}")
        given[name] = number_in(f"--weights {name}", value)
    try:
        return Weights(**given)
    except ValueError as error:
        raise StallwiseError(f"--weights: {error}") from None


def number_in(what: str, text: str) -> float:
    """A finite number from a text; `what` names the option in the error.

    Raises
    ------
    StallwiseError : it is none.
    """
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise StallwiseError(f"{what}: found {text!r}; allowed: a number")
    return value


def spots_in(what: str, text: str) -> list[float]:
    """Values from ``LOW:HIGH:COUNT`` or ``V,V,...``.

    Raises
    ------
    StallwiseError : it is neither.
    """
    parts = text.split(":")
    if len(parts) == 1:
        values = listed(text) or [""]
        if len(values) > MOST_SPOTS:
            raise StallwiseError(f"{what}: found {len(values):,} values; allowed: {MOST_SPOTS:,}")
        return [number_in(what, part) for part in values]
    digits = parts[2].strip() if len(parts) == 3 else ""
    if not (digits.isdigit() and len(digits) < 9 and 2 <= int(digits) <= MOST_SPOTS):
        raise StallwiseError(
            f"{what}: found {shortened(text)!r}; allowed: LOW:HIGH:COUNT with a count from 2 "
            f"to {MOST_SPOTS:,}, or V,V,..."
        )
    low, high, count = number_in(what, parts[0]), number_in(what, parts[1]), int(parts[2])
    steps = (low + (high - low) * k / (count - 1) for k in range(count))
    return [float(f"{step:.9g}") + 0.0 for step in steps]


def ends_in(what: str, text: str) -> tuple[float, float]:
    """The ends of ``LOW:HIGH``.

    Raises
    ------
    StallwiseError : it is not that.
    """
    parts = text.split(":")
    if len(parts) != 2:
        raise StallwiseError(f"{what}: found {text!r}; allowed: LOW:HIGH")
    return number_in(what, parts[0]), number_in(what, parts[1])


def by_path(texts: Sequence[str], form: str, read: Callable[[str, str], Any]) -> dict[str, Any]:
    """The parsed value of each ``PATH=VALUE`` text, by its path.

    Raises
    ------
    StallwiseError : a text has no ``=``, or a path is there twice.
    """
    found: dict[str, Any] = {}
    for text in texts:
        path, equals, said = (piece.strip() for piece in text.partition("="))
        if not equals or path in found:
            why = "twice the same path" if equals else f"{text!r}, without '='"
            raise StallwiseError(f"found {why}; allowed: PATH={form}")
        found[path] = read(path, said)
    return found


def with_settings(situation: Situation, settings: list[str] | None) -> Situation:
    """The situation with the settings of ``PATH=VALUE`` texts changed together, in any order.

    Raises
    ------
    StallwiseError : a text has no ``=``.
    SituationError : there is no such setting, or it does not take the value.
    """
    values = changes(situation, settings)
    return situation.with_settings(values) if values else situation


def changes(
    situation: Situation, settings: list[str] | None, option: str = "--set "
) -> dict[str, Any]:
    """The values in ``PATH=VALUE`` texts, by the path of each setting; `x, y` is a place.

    Raises
    ------
    StallwiseError : a text has no ``=``.
    SituationError : there is no such setting.
    """
    values: dict[str, Any] = {}
    for text in settings or []:
        path, equals, value = text.partition("=")
        if not equals:
            raise StallwiseError(f"{option}{shortened(text)}: found no '='; allowed: PATH=VALUE")
        path, given = path.strip(), _value(value.strip())
        if path.endswith(".at") and isinstance(given, str):
            given = _value(f"[{value}]")
        # Of one setting that is given twice, the later value counts.
        for one, part in spread_out({path: given}).items():
            values[situation.setting(one).path] = part
    return values


def _value(text: str) -> Any:
    """A number, true or false as in a situation file; anything else is a word."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except (ValueError, RecursionError):
        return text
