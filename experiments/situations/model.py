"""The fields of a situation: the start of a play, who is in it, what both sides mean to do."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator

from experiments.situations.asks import ASKS
from experiments.situations.parts import (
    RANGES,
    WHOLE_RANGES,
    Attacker,
    Defence,
    Defender,
    FieldTable,
    Judgement,
    Name,
    Plan,
    Roster,
    Table,
    Wind,
    listed,
    shorthand,
)
from experiments.situations.tables import between, one_of, whole
from policies.marks import FORCES, HOMES
from sim.ability import Ability
from sim.field import Field
from sim.scene import UNTIL


class SituationFields(Table):
    """What a situation file may hold, each table checked on its own.

    Coordinates are metres: x across the field, + to the right of somebody facing the attacked end
    zone; y downfield, 0 on the defended goal line.
    """

    name: str = ""
    title: str = ""
    question: str = ""
    story: str = ""
    field: Annotated[FieldTable, shorthand("standard")] = FieldTable()
    stall: Annotated[float, BeforeValidator(between(*RANGES["stall"]))] = 0.0
    force: Annotated[str, BeforeValidator(one_of(*FORCES))] = "forehand"
    home: Annotated[str, BeforeValidator(one_of(*HOMES, ""))] = ""
    asks: Annotated[str, BeforeValidator(one_of(*ASKS))] = "keep"
    until: Annotated[str, BeforeValidator(one_of(*UNTIL))] = "throw"
    resets: Annotated[int, BeforeValidator(whole(*WHOLE_RANGES["resets"]))] = 1
    time_cap: Annotated[float, BeforeValidator(between(*RANGES["time_cap"]))] = 20.0
    spread: Annotated[float, BeforeValidator(between(*RANGES["spread"]))] = 0.4
    plan: str
    defence: str
    wind: Wind = Wind()
    roster: Roster = Roster()
    judgement: Judgement = Judgement()
    attackers: Annotated[tuple[Attacker, ...], BeforeValidator(listed)]
    defenders: Annotated[tuple[Defender, ...], BeforeValidator(listed)] = ()
    plans: dict[Name, Plan]
    defences: dict[Name, Defence]

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
    def people(self) -> tuple[Attacker | Defender, ...]:
        """Everybody, attackers first."""
        return (*self.attackers, *self.defenders)

    @property
    def holder(self) -> Attacker:
        """The attacker with the disc."""
        return next(player for player in self.attackers if player.disc)

    def ability_of(self, player: Attacker | Defender) -> Ability:
        """What a player of this situation is able to do."""
        offence = isinstance(player, Attacker)
        return player.ability.on_top_of(self.roster.offence if offence else self.roster.defence)
