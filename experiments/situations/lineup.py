"""From a situation file to the game: the scene, the plan and the defence it asks for."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Any, cast

from experiments.situations.situation import Situation
from policies.looks import Look
from policies.man import Man
from policies.marks import FORCES, HOMES, Mark, open_side
from sim.laws import Judgements
from sim.scene import Scene, Start, Wind

HANDS = {"right": 1, "left": -1}


def side_left_open(situation: Situation, force: str, x: float) -> int:
    """The side, +1 or -1, that a force leaves open for the thrower of a situation at x."""
    home = HOMES.index(situation.home or HOMES[0])
    hand = float(HANDS[situation.holder.hand])
    return int(open_side(FORCES.index(force), hand, float(x), home))


@dataclass(frozen=True)
class LineUp:
    """A situation ready to be played."""

    scene: Scene
    offence: Any
    defence: Any
    judgements: Judgements

    @property
    def look_names(self) -> tuple[str, ...]:
        """The looks of the offence, in order; none where it has no such thing."""
        return tuple(getattr(self.offence, "look_names", ()))


def line_up(situation: Situation, offence: Any = None, defence: Any = None) -> LineUp:
    """The scene and the policies at the start of a situation.

    Policies given as objects stand in for those that the situation names. The force of the
    situation holds for them too. A defence without a method `starts` starts as man cover does.
    """
    offence = _offence(situation) if offence is None else offence
    defence = situation.defences[situation.defence].built if defence is None else defence
    defence = _forced(defence, situation)
    names = [player.name for player in situation.attackers]
    holder = names.index(situation.holder.name)
    side = side_left_open(situation, situation.force, situation.holder.at[0])
    attackers = tuple(
        Start(p.name, p.role, p.at, situation.ability_of(p), HANDS[p.hand])
        for p in situation.attackers
    )
    scene = Scene(
        field=situation.playing_field,
        attackers=attackers,
        defenders=_defenders(situation, names, holder, side, defence),
        holder=holder,
        stall=situation.stall,
        until=situation.until,
        resets=situation.resets,
        spread=situation.spread,
        time_cap=situation.time_cap,
        wind=Wind(situation.wind.speed, math.radians(situation.wind.toward)),
        open_side=side,
    )
    return LineUp(scene, offence, defence, situation.judgement.built)


def _defenders(
    situation: Situation, names: list[str], holder: int, side: int, defence: Any
) -> tuple[Start, ...]:
    guards = [names.index(d.guards) if d.guards else -1 for d in situation.defenders]
    if not guards:
        return ()
    places = getattr(defence, "starts", Man().starts)(
        [player.at for player in situation.attackers],
        [player.role == "handler" for player in situation.attackers],
        guards,
        holder,
        side,
    )
    return tuple(
        Start(
            name=player.name,
            role="defender",
            at=player.at if player.at is not None else (float(place[0]), float(place[1])),
            ability=situation.ability_of(player),
            hand=HANDS[player.hand],
            guards=-1 if getattr(defence, "zonal", False) else guard,
        )
        for player, place, guard in zip(situation.defenders, places, guards, strict=True)
    )


def _offence(situation: Situation) -> Any:
    plan = situation.plans[situation.plan]
    looks = []
    for look in plan.looks:
        when, name = (look.from_, look.to, look.pass_), f"{look.cut} {look.who}"
        looks.append(Look(look.who, look.built, *when, name, look.thrower))
    return dataclasses.replace(plan.built, looks=tuple(looks)) if looks else plan.built


def _forced(defence: Any, situation: Situation) -> Any:
    """The defence, with the force that the situation names."""
    mark = getattr(defence, "mark", None)
    if not isinstance(mark, Mark) or not dataclasses.is_dataclass(defence):
        return defence
    home = situation.home or mark.home
    mark = dataclasses.replace(mark, force=situation.force, home=home)
    return dataclasses.replace(cast(Any, defence), mark=mark)
