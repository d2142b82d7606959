"""A situation: the start of a play, who is in it, what both sides mean to do."""

from __future__ import annotations

import hashlib
import json
import types
import typing
from collections.abc import Mapping
from typing import Annotated, Any, Self

import tomli_w
from pydantic import BaseModel, BeforeValidator, ValidationError, model_validator

from experiments.errors import Problem, SituationError, known_keywords
from experiments.situations import parts, setting_paths
from experiments.situations.asks import ASKS
from experiments.situations.checking import problems_of
from experiments.situations.tables import (
    Key,
    as_numbers,
    broken,
    classes,
    is_number,
    shown,
    unknown_key,
)
from policies.marks import FORCES, HOMES
from sim.ability import Ability
from sim.field import Field
from sim.scene import UNTIL

_WANTED = {
    "string_type": "a text in quotes",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "missing": "this key, which is needed",
}


_STALL = "the number last said when the play starts"
_HOME = "the sideline of the defence's bench, for the forces home (toward it) and away"
_ASKS = "what the answer is about: keeping the disc, the ground gained, goals"
_RESETS = "passes after which a play until the reset is over"
_SPREAD = "how far people stand off the places of the file, from rehearsal to rehearsal"


@known_keywords
class Situation(parts.Table):
    """The start of a play and who is in it.

    Made by `load` from a file or by `Situation.from_dict`; never changed, only copied with
    changes. Coordinates are metres: x across the field, + to the right of somebody facing the
    attacked end zone; y downfield, 0 on the defended goal line.
    """

    name: str = ""
    title: str = ""
    question: str = ""
    story: str = ""
    field: Annotated[parts.FieldTable, parts.shorthand("standard")] = parts.FieldTable()
    stall: Annotated[float, Key(_STALL, 0.0, 20.0, "(count last said)")] = 0.0
    force: Annotated[str, Key("which side the mark leaves open", choices=FORCES)] = "forehand"
    home: Annotated[str, Key(_HOME, choices=(*HOMES, ""))] = ""
    asks: Annotated[str, Key(_ASKS, choices=tuple(ASKS))] = "keep"
    until: Annotated[str, Key("how long a play is rehearsed", choices=UNTIL)] = "throw"
    resets: Annotated[int, Key(_RESETS, 1, 20, "(passes that restart the count)", int)] = 1
    time_cap: Annotated[float, Key("when a rehearsal is broken off", 1.0, 120.0, "s")] = 20.0
    spread: Annotated[float, Key(_SPREAD, 0.0, 3.0, "m")] = 0.4
    plan: str
    defence: str
    wind: parts.Wind = parts.Wind()
    roster: parts.Roster = parts.Roster()
    judgement: parts.Judgement = parts.Judgement()
    attackers: Annotated[tuple[parts.Attacker, ...], BeforeValidator(parts.listed)]
    defenders: Annotated[tuple[parts.Defender, ...], BeforeValidator(parts.listed)] = ()
    plans: dict[parts.Name, parts.Plan]
    defences: dict[parts.Name, parts.Defence]

    @model_validator(mode="after")
    def _tables_agree(self) -> Self:
        problems = problems_of(self)
        if problems:
            raise broken(problems)
        return self

    @classmethod
    def from_dict(cls, data: Mapping[str, Any], file: str = "") -> Situation:
        """A situation from the tables of a file.

        Raises
        ------
        SituationError : with every mistake found: its key, what was found, what is allowed.
        """
        try:
            return cls.model_validate(as_numbers(dict(data)))
        except ValidationError as error:
            raise SituationError(_problems(error), file) from None

    def to_dict(self) -> dict[str, Any]:
        """The tables of the situation, ready for JSON or TOML; `from_dict` takes them back."""
        dumped = self.model_dump(mode="json", by_alias=True, exclude_none=True)
        tables = {key: value for key, value in dumped.items() if value != ""}
        if not tables["judgement"]:
            del tables["judgement"]
        for player in (*tables["attackers"], *tables["defenders"]):
            if not player["ability"]:
                del player["ability"]
            if player.get("disc") is False:
                del player["disc"]
        return tables

    @property
    def playing_field(self) -> Field:
        """The field of play."""
        field: Field = self.field.built
        return field

    @property
    def people(self) -> tuple[parts.Attacker | parts.Defender, ...]:
        """Everybody, attackers first."""
        return (*self.attackers, *self.defenders)

    @property
    def holder(self) -> parts.Attacker:
        """The attacker with the disc."""
        return next(player for player in self.attackers if player.disc)

    def ability_of(self, player: parts.Attacker | parts.Defender) -> Ability:
        """What a player of this situation is able to do."""
        offence = isinstance(player, parts.Attacker)
        return player.ability.on_top_of(self.roster.offence if offence else self.roster.defence)

    def to_toml(self) -> str:
        """The text of a situation file."""
        return tomli_w.dumps(self.to_dict())

    def digest(self) -> str:
        """A short hash of all that can change a result: every setting, given or by default.

        Titles and other words for the reader do not count, nor how a value came to be.
        """
        people = [
            [player.name, player.at, player.hand, getattr(player, "role", "defender")]
            for player in self.people
        ]
        roles = [self.holder.name, *(player.guards for player in self.defenders)]
        plans = {
            name: [classes(plan.built), [[look.who, classes(look.built)] for look in plan.looks]]
            for name, plan in self.plans.items()
        }
        defences = {name: classes(defence.built) for name, defence in self.defences.items()}
        every = setting_paths.every_setting(self).items()
        # A level is a word for the abilities that are listed one by one; what is asked plays no part.
        settings = {
            path: found.value
            for path, found in every
            if path != "asks" and not path.endswith(".level")
        }
        played = [len(self.attackers), people, roles, plans, defences, settings]
        text = json.dumps(played, sort_keys=True, allow_nan=False)
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    def settings(self) -> dict[str, float]:
        """Every numeric setting by its path, such as ``plans.strike.looks.0.depth``."""
        return {
            path: found.value
            for path, found in setting_paths.every_setting(self).items()
            if is_number(found.value)
        }

    def setting(self, path: str) -> setting_paths.Setting:
        """One setting with its value, range, unit and source.

        Raises
        ------
        SituationError : there is none under that path; the text lists the nearest.
        """
        return setting_paths.setting_at(self, path)

    def with_setting(self, path: str, value: Any) -> Situation:
        """A copy with one setting changed, named by its path in the file; errors as `with_settings`.

        People may be named by number or by name: ``attackers.left.ability.top_speed``.
        """
        return self.with_settings({path: value})

    def with_settings(self, values: Mapping[str, Any]) -> Situation:
        """A copy with several settings changed at once, by path, and checked at the end.

        So values that are only allowed together, such as both ends of a look's time, may come in
        any order.

        Raises
        ------
        SituationError : there is no such setting (the text lists the nearest), one is named
            twice, or the values are not allowed or do not go together.
        """
        return self.from_dict(setting_paths.changed(self, values), self.name)

    def mirrored(self) -> Situation:
        """The mirror image: x, hands, wind and benches flipped.

        Forces and cuts are told by the thrower's hand and the open side, so they stay.
        """
        data = self.to_dict()
        for player in (*data["attackers"], *data["defenders"]):
            if "at" in player:
                # 0 - x, since -x would make a -0.0 of 0.0
                player["at"] = [0.0 - player["at"][0], player["at"][1]]
            player["hand"] = {"right": "left", "left": "right"}[player["hand"]]
        if "home" in data:
            data["home"] = HOMES[1 - HOMES.index(data["home"])]
        data["wind"]["toward"] = 0.0 - data["wind"]["toward"]
        return self.from_dict(data)


def _problems(error: ValidationError) -> list[Problem]:
    """The mistakes that pydantic found, as problems with what is allowed."""
    problems: list[Problem] = []
    for entry in error.errors(include_url=False):
        # A key of a dict that is itself wrong is reported under the mark "[key]".
        path = [part for part in entry["loc"] if part != "[key]"]
        key = ".".join(map(str, path))
        context = entry.get("ctx", {})
        kind = entry["type"]
        if kind == "stallwise_table":
            problems += [problem.under(*path) for problem in context["problems"]]
        elif kind == "extra_forbidden":
            problems.append(unknown_key(str(path[-1]), _keys_at(path[:-1])).under(*path[:-1]))
        else:
            found = "nothing" if kind == "missing" else shown(entry["input"])
            allowed = context.get("allowed") or _WANTED.get(kind) or entry["msg"]
            problems.append(Problem(key, found, str(allowed)))
    return problems


def _keys_at(path: list[str | int]) -> list[str]:
    """The keys of the table that a path of keys and positions leads to."""
    here: Any = Situation
    for part in path:
        if isinstance(here, type) and issubclass(here, BaseModel):
            fields = {field.alias or name: field for name, field in here.model_fields.items()}
            here = fields[str(part)].annotation
            if typing.get_origin(here) in (typing.Union, types.UnionType):
                here = typing.get_args(here)[0]
        elif typing.get_origin(here) is dict:
            here = typing.get_args(here)[1]
        else:
            here = typing.get_args(here)[0]
    return here.keys() if isinstance(here, type) and issubclass(here, parts.Table) else []
