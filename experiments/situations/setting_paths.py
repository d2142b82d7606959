"""Every setting of a situation by its path in the file, to be listed and to be changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from experiments.errors import Problem, SituationError, nearest
from experiments.situations.checking import both_teams
from experiments.situations.parts import PLACE, OpenTable, Table
from experiments.situations.tables import Key, shown, walk

if TYPE_CHECKING:
    from experiments.situations.situation import Situation

# The two numbers of a place.
AXES = ("across the field, + to the right", "downfield from the own goal line")


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


def every_setting(situation: Situation) -> dict[str, Setting]:
    """All settings by path: numbers, words and switches, given or by default."""
    # The force is said once, at the top, and not again by each mark.
    every = (found for found in _all(situation) if not found.path.endswith(".mark.force"))
    return {found.path: found for found in every}


def setting_at(
    situation: Situation, path: str, known: Mapping[str, Setting] | None = None
) -> Setting:
    """The setting under a path, among all that are `known`; people may be named by number too."""
    known = every_setting(situation) if known is None else known
    parts = path.split(".")
    people = dict(both_teams(situation)).get(parts[0], ())
    if len(parts) > 1 and parts[1].isdigit() and int(parts[1]) < len(people):
        parts[1] = people[int(parts[1])].name
    path = ".".join(parts)
    if path not in known:
        near = nearest(path, known, n=4)
        alike = [p for p in known if p.endswith(f".{parts[-1]}") and p not in near]
        near += alike[: 4 - len(near)]
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


def changed(situation: Situation, values: Mapping[str, Any]) -> dict[str, Any]:
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
        if isinstance(here, list):
            names = [person.get("name") for person in here]
            here = here[names.index(key) if key in names else int(key)]
        else:
            here = here.setdefault(key, {})
    here[int(last) if isinstance(here, list) else last] = value


def _all(situation: Situation) -> Iterator[Setting]:
    yield from _of_table("", situation)
    plans, defences = tuple(situation.plans), tuple(situation.defences)
    yield Setting("plan", situation.plan, choices=plans, doc="what the offence plays")
    yield Setting("defence", situation.defence, choices=defences, doc="what the defence plays")
    yield from _of_table("wind.", situation.wind)
    yield from _of_table("field.", situation.field)
    yield from _of_table("judgement.", situation.judgement)
    yield from _of_table("roster.offence.", situation.roster.offence)
    yield from _of_table("roster.defence.", situation.roster.defence)
    for key, people in both_teams(situation):
        for person in people:
            path = f"{key}.{person.name}."
            for axis, metres in enumerate(person.at or ()):
                ends = PLACE.low, PLACE.high, PLACE.unit
                yield Setting(f"{path}at.{axis}", metres, *ends, doc=AXES[axis])
            yield from _of_settings(f"{path}ability.", situation.ability_of(person))
    for name, plan in situation.plans.items():
        yield from _of_table(f"plans.{name}.", plan)
        for number, look in enumerate(plan.looks):
            yield from _of_table(f"plans.{name}.looks.{number}.", look)
    for name, defence in situation.defences.items():
        yield from _of_table(f"defences.{name}.", defence)


def _of_table(above: str, table: Table) -> Iterator[Setting]:
    """The keys of a table that mean something by themselves, then the settings beside them."""
    for name, field in type(table).model_fields.items():
        for key in field.metadata:
            if isinstance(key, Key) and key.doc:
                path, value = f"{above}{field.alias or name}", getattr(table, name)
                words = key.choices and tuple(filter(None, key.choices))
                number = key.low, key.high, key.unit
                yield Setting(path, value, *number, choices=words, doc=key.doc)
    if isinstance(table, OpenTable):
        yield from _of_settings(above, table.built)


def _of_settings(above: str, settings: Any) -> Iterator[Setting]:
    """The settings of a dataclass, as they were declared."""
    told = ("low", "high", "unit", "source", "choices", "doc")
    for name, value, about in walk(settings):
        yield Setting(f"{above}{name}", value, **{each: about[each] for each in told})
