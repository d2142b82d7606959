"""The plays that a policy is checked in: a reset from the middle, both forces, both teams."""

from __future__ import annotations

import dataclasses
from typing import Any

from policies.covers import Cover
from policies.cuts import Cut
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import HOMES, Mark
from sim.field import Field
from sim.scene import DEFENCE, OFFENCE, Scene, Start

TIME_CAP = 3.5  # s; enough for calls, covers, throws and a catch
ATTACKERS = (
    ("left", "handler", (-10.0, 30.0)),
    ("middle", "handler", (0.0, 30.0)),
    ("right", "handler", (10.0, 30.0)),
    ("cutter", "cutter", (-4.0, 45.0)),
)
HOLDER = 1


def whole(policy: Any) -> tuple[Any, str | None]:
    """A policy that can be played, and its side; a cut, cover or mark within one that uses it."""
    if isinstance(policy, Cut):
        return Looks(
            looks=(Look("left", policy, 2.0, 9.5), Look("right", policy, 2.0, 9.5))
        ), OFFENCE
    if isinstance(policy, Mark):
        return Man(mark=policy), DEFENCE
    if isinstance(policy, Cover):
        return Man(handlers=policy, cutters=policy), DEFENCE
    return policy, None


def opponent(side: str) -> Any:
    """The built-in policy that the side is checked against."""
    if side == DEFENCE:
        return Looks(looks=(Look("left"), Look("right", start=4.0)))
    return Man()


def scenes(defence: Any) -> list[tuple[str, Scene]]:
    """The starts of play that are tried, with what is particular about each."""
    found = []
    for words, side, stall in (("", 1, 3.0), ("late, under the other force", -1, 7.0)):
        attackers = tuple(Start(name, role, at) for name, role, at in ATTACKERS)
        guards = list(range(len(attackers)))
        starts = getattr(defence, "starts", Man().starts)
        places = starts(
            [a.at for a in attackers],
            [a.role == "handler" for a in attackers],
            guards,
            HOLDER,
            side,
        )
        defenders = tuple(
            Start(f"on {a.name}", "defender", (float(x), float(y)), guards=k)
            for k, (a, (x, y)) in enumerate(zip(attackers, places, strict=True))
        )
        found.append(
            (
                words,
                Scene(
                    Field(), attackers, defenders, HOLDER, stall=stall, until="possession",
                    time_cap=TIME_CAP, open_side=side,
                ),
            )
        )  # fmt: skip
    return found


def benches_swapped(policy: Any) -> Any:
    """The policy with its mark's bench at the other sideline, as in the mirror image of a play."""
    mark = policy if isinstance(policy, Mark) else getattr(policy, "mark", None)
    if not isinstance(mark, Mark) or not dataclasses.is_dataclass(policy):
        return policy
    other = dataclasses.replace(mark, home=HOMES[1 - HOMES.index(mark.home)])
    return other if policy is mark else dataclasses.replace(policy, mark=other)  # type: ignore[type-var]


def mirrored(scene: Scene) -> Scene:
    """The mirror image of a scene."""

    def flip(players: tuple[Start, ...]) -> tuple[Start, ...]:
        return tuple(dataclasses.replace(p, at=(-p.at[0], p.at[1]), hand=-p.hand) for p in players)

    return dataclasses.replace(
        scene,
        attackers=flip(scene.attackers),
        defenders=flip(scene.defenders),
        open_side=-scene.open_side,
    )
