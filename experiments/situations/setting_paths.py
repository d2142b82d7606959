"""Every setting of a situation by its path in the file, to be listed and to be changed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from experiments.errors import Problem, SituationError, nearest
from experiments.situations.checking import both_teams
from experiments.situations.model import SituationFields
from experiments.situations.parts import RANGES, WHOLE_RANGES
from experiments.situations.tables import shown, walk
from policies.marks import FORCES
from sim.ability import LEVELS
from sim.scene import UNTIL


@dataclass(frozen=True)
class Setting:
    """One setting of a situation.

    Attributes
    ----------
    path : its keys from the top of the file, joined by dots.
    value : as played, whether the file gives it or it is the default.
    low, high : the allowed range, None where open; unit, source : as declared.
    choices : the allowed words, None for a number.
    """

    path: str
    value: Any
    low: float | None = None
    high: float | None = None
    unit: str = ""
    source: str = "the situation"
    choices: tuple[str, ...] | None = None


def is_number(value: Any) -> bool:
    """Whether a value is a number that can be varied."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def every_setting(situation: SituationFields) -> dict[str, Setting]:
    """All settings by path: numbers, words and switches, given or by default."""
    # The force is said once, at the top, and not again by each mark.
    every = (found for found in _all(situation) if not found.path.endswith(".mark.force"))
    return {found.path: found for found in every}


def setting_at(situation: SituationFields, path: str) -> Setting:
    """The setting under a path; people may be named by number too."""
    known = every_setting(situation)
    path = _by_name(situation, path)
    if path not in known:
        near = nearest(path, known, n=4)
        tail = path.rsplit(".", 1)[-1]
        near += [p for p in known if p.endswith(f".{tail}") and p not in near][: 4 - len(near)]
        allowed = f"a setting of it, such as {', '.join(near)}" if near else "a setting of it"
        raise SituationError([Problem(path, "no such setting", allowed)], situation.name)
    return known[path]


def changed(situation: SituationFields, values: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of the situation with some settings changed, by path, not yet checked."""
    data = situation.to_dict()
    done: set[str] = set()
    for given, value in values.items():
        path = setting_at(situation, given).path
        if path in done:
            problem = Problem(given, "the same setting twice", "each setting once")
            raise SituationError([problem], situation.name)
        done.add(path)
        put(data, path, value)
    return data


def put(data: dict[str, Any], path: str, value: Any) -> None:
    """Change the tables of a situation in place; the path must be that of a `Setting`."""
    here: Any = data
    *tables, last = path.split(".")
    for key in tables:
        here = here[_position(here, key)] if isinstance(here, list) else here.setdefault(key, {})
    if isinstance(here, list):
        here[int(last)] = value
    else:
        here[last] = value


def _position(people: list[Any], key: str) -> int:
    names = [person.get("name") for person in people]
    return names.index(key) if key in names else int(key)


def _by_name(situation: SituationFields, path: str) -> str:
    """The path with a person's number replaced by the name."""
    parts = path.split(".")
    people = dict(both_teams(situation)).get(parts[0], ())
    if len(parts) > 1 and parts[1].isdigit() and int(parts[1]) < len(people):
        parts[1] = people[int(parts[1])].name
    return ".".join(parts)


def _all(situation: SituationFields) -> Iterator[Setting]:
    yield _number("stall", situation.stall)
    yield _number("time_cap", situation.time_cap)
    yield Setting("force", situation.force, choices=FORCES)
    yield Setting("until", situation.until, choices=UNTIL)
    yield Setting("plan", situation.plan, choices=tuple(situation.plans))
    yield Setting("defence", situation.defence, choices=tuple(situation.defences))
    yield _number("resets", situation.resets)
    yield _number("spread", situation.spread)
    yield _number("wind.speed", situation.wind.speed)
    yield _number("wind.toward", situation.wind.toward)
    yield from _of_settings("field", situation.field.built)
    yield from _of_settings("judgement", situation.judgement.built)
    for team, side in (
        ("offence", situation.roster.offence),
        ("defence", situation.roster.defence),
    ):
        yield Setting(f"roster.{team}.level", side.level, choices=tuple(LEVELS))
        yield from _of_settings(f"roster.{team}", side.built)
    for key, people in both_teams(situation):
        for person in people:
            path = f"{key}.{person.name}"
            for axis, metres in enumerate(person.at or ()):
                yield _number(f"{path}.at.{axis}", metres)
            played = situation.ability_of(person)
            yield from _of_settings(f"{path}.ability", played)
    for name, plan in situation.plans.items():
        yield from _of_settings(f"plans.{name}", plan.built)
        for number, look in enumerate(plan.looks):
            path = f"plans.{name}.looks.{number}"
            yield _number(f"{path}.from", look.from_)
            yield _number(f"{path}.to", look.to)
            yield _number(f"{path}.pass", look.pass_)
            yield from _of_settings(path, look.built)
    for name, defence in situation.defences.items():
        yield from _of_settings(f"defences.{name}", defence.built)


def _number(path: str, value: float) -> Setting:
    *_, above, key = ("", *path.split("."))
    low, high, unit = {**RANGES, **WHOLE_RANGES}[above if above == "at" else key]
    return Setting(path, value, low, high, unit)


def _of_settings(path: str, settings: Any) -> Iterator[Setting]:
    for name, value, about in walk(settings):
        yield _setting(f"{path}.{name}", value, about)


def _setting(path: str, value: Any, about: Mapping[str, Any]) -> Setting:
    return Setting(
        path,
        value,
        about["low"],
        about["high"],
        about["unit"],
        about["source"],
        about["choices"],
    )


def shown_setting(found: Setting) -> str:
    """One line on a setting for a list."""
    return f"{found.path} = {shown(found.value)} {found.unit}".rstrip()
