"""The tables that a situation file is made of, each checked on its own.

A table that names a policy or a level takes the settings of that policy or level beside its own
keys; they are checked against the settings dataclass found under the name.
"""

from __future__ import annotations

import dataclasses
import re
from typing import Annotated, Any, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from experiments.errors import Problem, one_of_text
from experiments.situations.tables import Key, broken, build, check_table, not_allowed
from policies.calls import THROWERS
from policies.registry import UnknownPolicy, find, names
from sim.ability import LEVELS, Ability
from sim.field import FIELDS
from sim.field import Field as PlayingField
from sim.laws import Judgements
from sim.scene import MOST_WIND

HANDS = ("right", "left")
ROLES = ("handler", "cutter")
# Of a place on the field, either number.
PLACE = Key(low=-200.0, high=200.0, unit="m")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]*")


def _name(value: Any) -> str:
    if isinstance(value, str) and _NAME.fullmatch(value) and not value.isdigit():
        return value
    raise not_allowed("a name of letters, digits, spaces, - and _ that is more than a number")


def _place(value: Any) -> Any:
    if isinstance(value, (list, tuple)) and len(value) == 2:
        try:
            return tuple(PLACE.check(part) for part in value)
        except ValueError:
            pass
    raise not_allowed("two numbers, [x, y] in metres")


def listed(value: Any) -> Any:
    """TOML arrays are lists; what is frozen holds them as tuples."""
    return tuple(value) if isinstance(value, list) else value


def shorthand(key: str) -> BeforeValidator:
    """Let a lone word stand for a table with only that word under `key`."""
    return BeforeValidator(lambda value: {key: value} if isinstance(value, str) else value)


_FROM = "the look may be called from here on"
_PASS = "the pass of the play that the look is meant for"
_ANY = "(the pass of the play, 0 for any)"
_LEVEL = "how able the players are unless more is said of one"
_TOWARD = "where the wind blows: 0 downfield, 90 to the right"
Name = Annotated[str, BeforeValidator(_name)]
Place = Annotated[tuple[float, float], BeforeValidator(_place)]


class Table(BaseModel):
    """A table of a situation file: frozen, strict in its types, unknown keys refused."""

    model_config = ConfigDict(
        frozen=True, strict=True, extra="forbid", populate_by_name=True, allow_inf_nan=False
    )

    @classmethod
    def keys(cls) -> list[str]:
        """The keys of this table as a file writes them."""
        return [field.alias or name for name, field in cls.model_fields.items()]


class OpenTable(Table):
    """A table that also takes the settings of some settings dataclass."""

    model_config = ConfigDict(extra="allow")

    def base(self) -> Any:
        """An instance of the dataclass whose settings may stand in this table: the defaults."""
        raise NotImplementedError

    @property
    def given(self) -> dict[str, Any]:
        """The settings that the table gives, by name."""
        return dict(self.model_extra or {})

    @property
    def built(self) -> Any:
        """The dataclass with all settings, given or by default."""
        return build(self.base(), self.given)

    @model_validator(mode="after")
    def _settings_are_good(self) -> Self:
        clean, problems = check_table(self.base(), self.given, self.keys())
        if problems:
            raise broken(problems)
        if self.__pydantic_extra__ is not None:
            self.__pydantic_extra__.update(clean)
        return self


class FieldTable(OpenTable):
    """The field: a standard, with sizes of one's own if wanted."""

    standard: Annotated[str, Key(choices=tuple(FIELDS))] = "wfdf"

    def base(self) -> PlayingField:
        """The sizes of the standard."""
        standard = FIELDS[self.standard]
        return dataclasses.replace(standard, name="own size") if self.given else standard


class Judgement(OpenTable):
    """What is judged about eyes, legs, marks, releases and hands, changed if wanted."""

    def base(self) -> Judgements:
        """The judgements as they are."""
        return Judgements()


class Side(OpenTable):
    """What the players of one team are able to do: a level, with abilities changed if wanted."""

    level: Annotated[str, Key(_LEVEL, choices=tuple(LEVELS))] = "elite"

    def base(self) -> Ability:
        """The abilities of the level."""
        return LEVELS[self.level]


class Changes(OpenTable):
    """What one player is able to do that the rest of the team is not."""

    level: Annotated[str, Key(_LEVEL, choices=tuple(LEVELS))] | None = None

    def base(self) -> Ability:
        """The abilities of the level; in a team, those of the team unless a level is given."""
        return LEVELS[self.level or "elite"]

    def on_top_of(self, side: Side) -> Ability:
        """The ability of this player in a team."""
        ability: Ability = build(side.built if self.level is None else self.base(), self.given)
        return ability


class Roster(Table):
    """Levels of both teams."""

    offence: Annotated[Side, shorthand("level")] = Side()
    defence: Annotated[Side, shorthand("level")] = Side()


class Wind(Table):
    """A steady wind: speed in m/s, and where it blows to (0 downfield, 90 to the right)."""

    speed: Annotated[float, Key("of the wind", 0.0, MOST_WIND, "m/s")] = 0.0
    toward: Annotated[float, Key(_TOWARD, -360.0, 360.0, "degrees")] = 0.0


class Attacker(Table):
    """A player of the offence."""

    name: Name
    role: Annotated[str, Key(choices=ROLES)] = "cutter"
    at: Place
    disc: bool = False
    hand: Annotated[str, Key(choices=HANDS)] = "right"
    ability: Annotated[Changes, shorthand("level")] = Changes()


class Defender(Table):
    """A player of the defence; without `at`, the defence says where this player starts."""

    name: Name
    guards: Name | None = None
    at: Place | None = None
    hand: Annotated[str, Key(choices=HANDS)] = "right"
    ability: Annotated[Changes, shorthand("level")] = Changes()


def policy_named(kind: str, name: str) -> Any:
    """The policy under a name, with its defaults; a pydantic error when it cannot be made."""
    try:
        return find(kind, name)()
    except (UnknownPolicy, TypeError, ValueError) as error:
        raise broken([Problem("", repr(name), f"a policy that can be made: {error}")]) from error


def _a_policy(kind: str) -> BeforeValidator:
    def check(value: Any) -> str:
        known = names(kind)
        if isinstance(value, str) and value in known:
            return value
        raise not_allowed(one_of_text(value, known))

    return BeforeValidator(check)


class Look(OpenTable):
    """One option the thrower has been told to read, with the settings of its cut beside it."""

    who: Name
    cut: Annotated[str, _a_policy("cut")]
    from_: Annotated[float, Key(_FROM, 0.0, 20.0, "(stall count)")] = Field(0.0, alias="from")
    to: Annotated[float, Key("and until here", 0.0, 20.0, "(stall count)")] = 20.0
    pass_: Annotated[int, Key(_PASS, 0, 20, _ANY, int)] = Field(0, alias="pass")
    thrower: Annotated[str, Key(choices=tuple(THROWERS))] = "anybody"

    def base(self) -> Any:
        """The cut with its defaults."""
        return policy_named("cut", self.cut)


class Plan(OpenTable):
    """What the offence does: looks in order, and the settings of its policy."""

    policy: Annotated[str, _a_policy("offence")] = "looks"
    looks: Annotated[tuple[Look, ...], BeforeValidator(listed)] = ()

    def base(self) -> Any:
        """The offence policy with its defaults."""
        return policy_named("offence", self.policy)


class Defence(OpenTable):
    """What the defence does: the settings of its policy."""

    policy: Annotated[str, _a_policy("defence")] = "man"

    def base(self) -> Any:
        """The defence policy with its defaults."""
        return policy_named("defence", self.policy)
