"""Every setting of a situation by its path in the file, to be listed and to be changed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from experiments.errors import Problem, SituationError, nearest
from experiments.situations.asks import ASKS
from experiments.situations.checking import both_teams
from experiments.situations.model import SituationFields
from experiments.situations.parts import RANGES, WHOLE_RANGES
from experiments.situations.tables import shown, walk
from policies.marks import FORCES, HOMES
from sim.ability import LEVELS
from sim.scene import UNTIL

# What the settings mean that are declared by no policy, ability or law.
MEANINGS = {
    "stall": "the number last said when the play starts",
    "spread": "how far people stand off the places of the file, from rehearsal to rehearsal",
    "time_cap": "when a rehearsal is broken off",
    "speed": "of the wind",
    "toward": "where the wind blows: 0 downfield, 90 to the right",
    "from": "the look may be called from here on",
    "to": "and until here",
    "pass": "the pass of the play that the look is meant for",
    "resets": "passes after which a play until the reset is over",
    "at.0": "across the field, + to the right",
    "at.1": "downfield from the own goal line",
    "force": "which side the mark leaves open",
    "home": "the sideline of the defence's bench, for the forces home (toward it) and away",
    "asks": "what the answer is about: keeping the disc, the ground gained, goals",
    "until": "how long a play is rehearsed",
    "plan": "what the offence plays",
    "defence": "what the defence plays",
    "level": "how able the players are unless more is said of one",
}


@dataclass(frozen=True)
class Setting:
    """One setting of a situation.

    Attributes
    ----------
    path : its keys from the top of the file, joined by dots.
    value : as played, whether the file gives it or it is the default.
    low, high : the allowed range, None where open; unit, source : as declared.
    choices : the allowed words, None for a number.
    doc : what it means, where that is declared.
    """

    path: str
    value: Any
    low: float | None = None
    high: float | None = None
    unit: str = ""
    source: str = "the situation"
    choices: tuple[str, ...] | None = None
    doc: str = ""


def is_number(value: Any) -> bool:
    """Whether a value is a number that can be varied."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def every_setting(situation: SituationFields) -> dict[str, Setting]:
    """All settings by path: numbers, words and switches, given or by default."""
    # The force is said once, at the top, and not again by each mark.
    every = (found for found in _all(situation) if not found.path.endswith(".mark.force"))
    return {found.path: found for found in every}


def setting_at(
    situation: SituationFields, path: str, known: Mapping[str, Setting] | None = None
) -> Setting:
    """The setting under a path, among all that are `known`; people may be named by number too."""
    known = every_setting(situation) if known is None else known
    path = _by_name(situation, path)
    if path not in known:
        near = nearest(path, known, n=4)
        tail = path.rsplit(".", 1)[-1]
        near += [p for p in known if p.endswith(f".{tail}") and p not in near][: 4 - len(near)]
        allowed = f"a setting of it, such as {', '.join(near)}" if near else "a setting of it"
        raise SituationError([Problem(path, "no such setting", allowed)], situation.name)
    return known[path]


def spread_out(values: Mapping[str, Any]) -> dict[str, Any]:
    """The values with each whole place, a path that ends in `at` with [x, y], told by its numbers."""
    out: dict[str, Any] = {}
    for path, value in values.items():
        if path.rsplit(".", 1)[-1] == "at" and isinstance(value, (list, tuple)):
            if len(value) != 2:
                raise SituationError([Problem(path, shown(value), "two numbers, [x, y] in metres")])
            out |= {f"{path}.0": value[0], f"{path}.1": value[1]}
        else:
            out[path] = value
    return out


def changed(situation: SituationFields, values: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of the situation with some settings changed, by path, not yet checked."""
    data = situation.to_dict()
    done: set[str] = set()
    known = every_setting(situation)
    for given, value in spread_out(values).items():
        path = setting_at(situation, given, known).path
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
    yield _word("force", situation.force, FORCES)
    yield _word("home", situation.home, HOMES)
    yield _word("asks", situation.asks, ASKS)
    yield _word("until", situation.until, UNTIL)
    yield _word("plan", situation.plan, situation.plans)
    yield _word("defence", situation.defence, situation.defences)
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
        yield _word(f"roster.{team}.level", side.level, LEVELS)
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
    name = above if above == "at" else key
    low, high, unit = {**RANGES, **WHOLE_RANGES}[name]
    meaning = MEANINGS[f"at.{key}" if above == "at" else name]
    return Setting(path, value, low, high, unit, doc=meaning)


def _word(path: str, value: str, choices: Iterable[str]) -> Setting:
    return Setting(path, value, choices=tuple(choices), doc=MEANINGS[path.rsplit(".", 1)[-1]])


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
        about["doc"],
    )
