"""Settings dataclasses from the plain tables of a situation file, with every mistake reported."""

from __future__ import annotations

import contextlib
import dataclasses
import math
import typing
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any

from pydantic_core import PydanticCustomError, core_schema

from experiments.errors import F, Problem, did_you_mean
from policies.registry import KINDS, UnknownPolicy, find, names


def _cached(call: F) -> F:
    """`functools.cache`, with the types of what it keeps; it does not take a class for hashable."""
    return cache(call)  # type: ignore[return-value]


@_cached
def settings_of(kind: type) -> dict[str, Mapping[str, Any]]:
    """What is known of each setting that a table may give `kind`, by name, in order.

    Only fields declared with `sim.settings.setting` count. Each has the keys of that function
    and ``default``.
    """
    return {
        entry.name: {**entry.metadata, "default": entry.default}
        for entry in _fields(kind)
        if "source" in entry.metadata
    }


@_cached
def parts_of(kind: type) -> dict[str, type]:
    """The fields of `kind` that hold settings of their own, and so are tables in a table."""
    return {
        entry.name: _hints(kind)[entry.name]
        for entry in _fields(kind)
        if "source" not in entry.metadata and dataclasses.is_dataclass(_hints(kind)[entry.name])
    }


def _fields(kind: Any) -> tuple[dataclasses.Field[Any], ...]:
    return dataclasses.fields(kind) if dataclasses.is_dataclass(kind) else ()


def check_table(
    base: Any, table: Mapping[str, Any], beside: Iterable[str] = ()
) -> tuple[dict[str, Any], list[Problem]]:
    """Check the settings given in a table.

    Parameters
    ----------
    base : a settings dataclass instance: the values of what the table does not give.
    table : values by setting name, as a TOML reader gives them; a part is a table in the table,
        whose key ``policy`` names another policy of the same kind to stand in for it.
    beside : further keys that the same table may hold, to be named in errors.

    Returns
    -------
    clean : the values as the settings take them (lists as tuples, whole floats as ints where due).
    problems : one for each unknown key, wrong type or value outside its range.
    """
    kind = type(base)
    known, parts = settings_of(kind), parts_of(kind)
    clean: dict[str, Any] = {}
    problems: list[Problem] = []
    for name, value in table.items():
        if name in parts:
            clean[name], found = _check_part(base, name, value)
            problems += found
        elif name not in known:
            problems.append(unknown_key(name, [*beside, *known, *parts]))
        else:
            about = known[name]
            ends = about["low"], about["high"], about["unit"]
            key = Key(about["doc"], *ends, _hints(kind)[name], about["choices"])
            try:
                clean[name] = key.check(value)
            except PydanticCustomError:
                problems.append(Problem(name, shown(value), key.allowed))
    if not problems:
        try:
            build(base, clean)
        except (ValueError, TypeError) as error:
            # A rule between settings, or one that the dataclass keeps to itself.
            problems.append(Problem("", "values that do not go together", str(error)))
    return clean, problems


def build(base: Any, table: Mapping[str, Any]) -> Any:
    """`base` with the checked settings of a table."""
    changes = dict(table)
    for name in parts_of(type(base)):
        if name in table:
            given = {key: value for key, value in table[name].items() if key != "policy"}
            changes[name] = build(_part(base, name, table[name].get("policy")), given)
    # another package's policy may have no settings, and then need not be a dataclass
    return dataclasses.replace(base, **changes) if changes else base


def walk(settings: Any) -> Iterator[tuple[str, Any, Mapping[str, Any]]]:
    """(dotted name, value, what `setting` knows of it) of every setting, parts included."""
    for name, about in settings_of(type(settings)).items():
        yield name, getattr(settings, name), about
    for part in parts_of(type(settings)):
        for name, value, about in walk(getattr(settings, part)):
            yield f"{part}.{name}", value, about


def classes(settings: Any) -> list[Any]:
    """The class of some settings and of their parts, as plain words."""
    kind = type(settings)
    parts = [classes(getattr(settings, part)) for part in parts_of(kind)]
    return [f"{kind.__module__}.{kind.__qualname__}", *parts]


def _check_part(base: Any, name: str, table: Any) -> tuple[dict[str, Any], list[Problem]]:
    if not isinstance(table, Mapping):
        return {}, [Problem(name, shown(table), "a table")]
    named = _kind_of(parts_of(type(base))[name]) is not None
    chosen = table.get("policy") if named else None
    given = {key: value for key, value in table.items() if key != "policy" or not named}
    try:
        part = _part(base, name, chosen)
    except UnknownPolicy as error:
        return {}, [Problem(f"{name}.policy", shown(chosen), str(error))]
    clean, problems = check_table(part, given, ["policy"] if named else [])
    if chosen is not None:
        clean["policy"] = chosen
    return clean, [problem.under(name) for problem in problems]


def _part(base: Any, name: str, chosen: Any) -> Any:
    """The part of `base` called `name`, or the policy chosen to stand in for it."""
    if chosen is None:
        return getattr(base, name)
    kind = _kind_of(parts_of(type(base))[name])
    assert kind is not None, "a part that is no policy has no other to stand in"
    return find(kind, str(chosen))()


@_cached
def _kind_of(part: type) -> str | None:
    """The kind of policy that a part is, None when it is no named policy."""
    for kind in KINDS:
        for name in names(kind):
            # What another package offers may be broken, which is its own affair.
            with contextlib.suppress(UnknownPolicy):
                if issubclass(find(kind, name), part):
                    return kind
    return None


def unknown_key(name: str, known: Iterable[str]) -> Problem:
    """The problem of a key that means nothing, with the nearest that does."""
    known = list(known)
    found = f"an unknown key{did_you_mean(name, known)}"
    return Problem(name, found, ", ".join(known) or "no keys")


LARGEST = 2**63  # a whole number of a file from here on is no number that anything could take


def as_numbers(data: Any) -> Any:
    """The same tables with whole numbers beyond all bounds made infinite, which no key allows."""
    if isinstance(data, dict):
        return {key: as_numbers(value) for key, value in data.items()}
    if isinstance(data, (list, tuple)):
        return type(data)(as_numbers(value) for value in data)
    if isinstance(data, int) and abs(data) >= LARGEST:
        return math.inf if data > 0 else -math.inf
    return data


@dataclasses.dataclass(frozen=True)
class Key:
    """What one key of a table takes, and what it means.

    It checks the field of a pydantic model that it annotates.

    Attributes
    ----------
    doc : what it means; "" for a key that is not listed among the settings.
    low, high, unit : of a number, ends included.
    kind : float, int, bool or str; of whole numbers 2.0 is 2. Any other is a number or None.
    choices : the allowed words, None where there is no such list.
    """

    doc: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = ""
    kind: Any = float
    choices: tuple[str, ...] | None = None

    def check(self, value: Any) -> Any:
        """The value as it is played; an error of `not_allowed` where it is none."""
        if self.choices is not None:
            if isinstance(value, str) and value in self.choices:
                return value
        elif self.kind in (bool, str):
            if isinstance(value, self.kind):
                return value
        elif value is None:
            if self.kind not in (float, int):
                return None
        elif is_number(value) and within(value, self.low, self.high):
            if self.kind is not int:
                return float(value)
            if value == int(value):
                return int(value)
        near = did_you_mean(value, self.choices or ()) if isinstance(value, str) else ""
        raise not_allowed(f"{self.allowed}{near}")

    @property
    def allowed(self) -> str:
        """The allowed words, or what is allowed of numbers, such as 'a number from 0 to 20 m'."""
        if self.choices is not None:
            return ", ".join(self.choices)
        what = {int: "a whole number", float: "a number", bool: "true or false", str: "a text"}
        text = what.get(self.kind, "a number or a list")
        if self.low is not None and self.high is not None:
            text += f" from {self.low:g} to {self.high:g}"
        elif self.low is not None:
            text += f", at least {self.low:g}"
        elif self.high is not None:
            text += f", at most {self.high:g}"
        return f"{text} {self.unit}".rstrip()

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        return core_schema.no_info_before_validator_function(self.check, handler(source))


def not_allowed(allowed: str) -> PydanticCustomError:
    """An error for a pydantic validator to raise that says what is allowed."""
    return PydanticCustomError("stallwise_value", "{allowed}", {"allowed": allowed})


def broken(problems: list[Problem]) -> PydanticCustomError:
    """An error for a pydantic validator to raise that carries several problems."""
    text = "; ".join(map(str, problems))
    return PydanticCustomError("stallwise_table", "{text}", {"text": text, "problems": problems})


def shown(value: Any) -> str:
    """A value as an error shows it, cut when long."""
    if isinstance(value, Mapping):
        return "a table"
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


@_cached
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def is_number(value: Any) -> bool:
    """Whether a value is a number that can be varied."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def within(value: float, low: float | None, high: float | None) -> bool:
    """Whether a value is between two ends, of which either may be open."""
    return (low is None or value >= low) and (high is None or value <= high)
