"""The fields of a situation: the start of a play, who is in it, what both sides mean to do."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator

from experiments.situations.asks import ASKS
from experiments.situations.parts import (
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
from experiments.situations.tables import Key
from policies.marks import FORCES, HOMES
from sim.ability import Ability
from sim.field import Field
from sim.scene import UNTIL

_STALL = "the number last said when the play starts"
_HOME = "the sideline of the defence's bench, for the forces home (toward it) and away"
_ASKS = "what the answer is about: keeping the disc, the ground gained, goals"
_RESETS = "passes after which a play until the reset is over"
_SPREAD = "how far people stand off the places of the file, from rehearsal to rehearsal"


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
