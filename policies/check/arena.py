"""The plays that policies are checked in, and who stands against them."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
from sim.world import OVER

from policies.covers import Cover
from policies.cuts import Cut, Strike, Swing
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import Mark
from sim.field import named
from sim.possession import Possession
from sim.scene import DEFENCE, OFFENCE, Scene, Start, Wind

Paths = dict[int, np.ndarray]

SEED = 7
LONGEST = 5.0  # s of play; enough for a reset and the beginning of what follows it

_ATTACKERS = (
    ("left", "handler", (-10.0, 30.0), 1),
    ("middle", "handler", (0.0, 30.0), 1),
    ("right", "handler", (10.0, 30.5), -1),
    ("wing-left", "cutter", (-12.0, 46.0), 1),
    ("inside-left", "cutter", (-4.0, 44.5), 1),
    ("inside-right", "cutter", (4.5, 44.5), 1),
    ("wing-right", "cutter", (12.0, 46.5), -1),
)
_OPPOSING_PLAN = Looks(
    looks=(Look("break-handler", Strike(), 4.0, 9.5), Look("open-handler", Swing(), 3.0, 9.5))
)


def whole(policy: Any) -> Any:
    """The policy itself; for a cut, a cover or a mark, a policy that does nothing but use it."""
    if isinstance(policy, Cut):
        return Looks(looks=(Look("break-handler", policy, 4.0, 9.5),))
    if isinstance(policy, Cover):
        return Man(handlers=policy, cutters=policy)
    if isinstance(policy, Mark):
        return Man(mark=policy)
    return policy


def likely_side(policy: Any) -> str | None:
    """The side that a policy can only be for, if that can be seen from outside."""
    if isinstance(policy, Cut):
        return OFFENCE
    return DEFENCE if isinstance(policy, (Cover, Mark)) or hasattr(policy, "starts") else None


def play(defence: Any) -> Scene:
    """Seven against seven, the disc in the middle, the count at four."""
    attackers = tuple(Start(n, role, at, hand=hand) for n, role, at, hand in _ATTACKERS)
    count = len(attackers)
    starts = getattr(defence, "starts", Man().starts)
    places = starts(
        np.array([a.at for a in attackers]),
        np.array([a.role == "handler" for a in attackers]),
        np.arange(count),
        1,
        1,
    )
    if not isinstance(places, np.ndarray) or places.shape != (count, 2):
        raise ValueError(f"starts must give an array ({count}, 2), a place for each defender")
    if not np.isfinite(places).all():
        raise ValueError("starts gives a place that is no finite number")
    defenders = tuple(
        Start(f"on {a.name}", "defender", (float(place[0]), float(place[1])), guards=slot)
        for slot, (a, place) in enumerate(zip(attackers, places, strict=True))
    )
    return Scene(
        named("wfdf"), attackers, defenders, holder=1, stall=4.0, until="possession",
        time_cap=LONGEST, wind=Wind(3.0, 0.6),
    )  # fmt: skip


def in_the_mirror(scene: Scene) -> Scene:
    """The mirror image of a start of play."""

    def flipped(player: Start) -> Start:
        # 0 - x, since -x would make a -0.0 of 0.0
        return dataclasses.replace(player, at=(0.0 - player.at[0], player.at[1]), hand=-player.hand)

    return dataclasses.replace(
        scene,
        attackers=tuple(map(flipped, scene.attackers)),
        defenders=tuple(map(flipped, scene.defenders)),
        wind=Wind(scene.wind.speed, 0.0 - scene.wind.toward),
    )


@dataclasses.dataclass(frozen=True)
class Arena:
    """A start of play, the side that is checked, and the side the force leaves open."""

    scene: Scene
    side: str
    open_side: int

    def model(self, policy: Any, ids: np.ndarray, **how: Any) -> Possession:
        """Rehearsals with these numbers, the policy against a built-in one."""
        mine = self.side == OFFENCE
        offence, defence = (policy, Man()) if mine else (_OPPOSING_PLAN, policy)
        return Possession(self.scene, offence, defence, ids, SEED, open_side=self.open_side, **how)

    def mirrored(self) -> Arena:
        """The mirror image."""
        return Arena(in_the_mirror(self.scene), self.side, -self.open_side)

    def paths(self, policy: Any, ids: np.ndarray) -> Paths:
        """Everybody's places in every tick, (T, P, 2), by rehearsal."""
        found: dict[int, list[np.ndarray]] = {int(i): [] for i in ids}

        def note(model: Possession) -> None:
            world = model.world
            # those that have ended are kept, for a while, by how many others have ended too
            for at in np.flatnonzero(world.phase != OVER):
                found[int(ids[world.row[at]])].append(world.pos[at].copy())

        self.model(policy, ids, watch=note).run()
        return {rehearsal: np.array(places) for rehearsal, places in found.items()}
