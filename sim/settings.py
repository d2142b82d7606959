"""Settings with a unit, a default, an allowed range and a source, kept in one place."""

from __future__ import annotations

import dataclasses
import math
from collections import namedtuple
from collections.abc import Sequence
from typing import Any


def setting(
    default: Any,
    *,
    low: float | None = None,
    high: float | None = None,
    unit: str = "",
    source: str = "judgement",
    choices: tuple[str, ...] | None = None,
    doc: str = "",
    player: bool = False,
) -> Any:
    """Declare one field of a settings dataclass.

    Parameters
    ----------
    default : the value used when a situation says nothing.
    low, high : the allowed range, ends included; None leaves that side open.
    unit : the unit of the value, as printed in errors and in the model's description.
    source : where the default and the range come from.
    choices : the allowed words, for a setting that is a word.
    doc : one line of explanation.
    player : the setting is the name of a player, or empty for nobody.
    """
    metadata = {
        "low": low,
        "high": high,
        "unit": unit,
        "source": source,
        "choices": choices,
        "doc": doc,
        "player": player,
    }
    return dataclasses.field(default=default, metadata=metadata)


class Checked:
    """A settings dataclass that refuses values outside their ranges."""

    def __post_init__(self) -> None:
        check_settings(self)


def check_settings(settings: Any) -> None:
    """Raise ValueError, in words a coach can act on, if a setting is outside its range."""
    for entry in dataclasses.fields(settings):
        about = entry.metadata
        if not {"low", "high", "choices"} <= set(about):
            continue
        value = getattr(settings, entry.name)
        if value is None:
            continue
        if about["choices"] is not None:
            if value not in about["choices"]:
                allowed = ", ".join(about["choices"])
                raise ValueError(f"{entry.name} is {value!r}; allowed are {allowed}")
            continue
        if isinstance(value, (bool, str)):
            continue
        if not math.isfinite(value):
            raise ValueError(f"{entry.name} is {value}; it must be a finite number")
        low, high, unit = about["low"], about["high"], about["unit"]
        if (low is not None and value < low) or (high is not None and value > high):
            raise ValueError(f"{entry.name} is {value:g} {unit}; allowed is {_range(about)}")


def _range(about: Any) -> str:
    low, high, unit = about["low"], about["high"], about["unit"]
    if low is None:
        return f"at most {high:g} {unit}".rstrip()
    if high is None:
        return f"at least {low:g} {unit}".rstrip()
    return f"{low:g} to {high:g} {unit}".rstrip()


def declared(kind: Any) -> list[dataclasses.Field[Any]]:
    """The settings among the fields of a class, or of an object of it; none if it is no dataclass."""
    fields = dataclasses.fields(kind) if dataclasses.is_dataclass(kind) else ()
    return [entry for entry in fields if "source" in entry.metadata]


def describe_settings(kind: type) -> list[dict[str, Any]]:
    """One row a setting of a settings dataclass: name, default, low, high, unit, source, doc."""
    return [{"name": e.name, "default": e.default, **e.metadata} for e in declared(kind)]


def number_of(entry: dataclasses.Field[Any], value: Any, names: Sequence[str] = ()) -> float:
    """A setting as a number: a word by its place among the choices, a player by slot, deg as rad.

    None is nan; a player who is not among `names` is -1.
    """
    about = entry.metadata
    if about.get("player"):
        return float(list(names).index(value)) if value in names else -1.0
    if value is None:
        return math.nan
    if about.get("choices"):
        return float(about["choices"].index(value))
    if about.get("unit") in ("deg", "deg/s"):
        return math.radians(value)
    return float(value)


def row_of(settings: Any, names: Sequence[str] = ()) -> list[float]:
    """The settings of a dataclass as numbers, in the order of its fields; see `number_of`."""
    return [number_of(e, getattr(settings, e.name), names) for e in declared(settings)]


def settings_type(kind: type) -> Any:
    """The named tuple in which a rule finds the settings of a policy, in the order of `row_of`."""
    names = [entry.name for entry in declared(kind)]
    return namedtuple(f"{kind.__name__}Settings", names or ["nothing"])


def record_type(kind: type) -> Any:
    """A numpy record type with the settings of a dataclass as float64 fields."""
    import numpy as np

    return np.dtype([(entry.name, np.float64) for entry in declared(kind)], align=True)
