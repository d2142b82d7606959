"""Plays to test kernels on: a record of one play, with people where a test wants them."""

from __future__ import annotations

from typing import Any

from sim.ability import Ability, ability
from sim.ensemble import Arena, set_up
from sim.field import Field
from sim.intent import run
from sim.laws import Judgements
from sim.luck import luck_of
from sim.scene import Scene, Start, Wind


class Still:
    """Nobody moves."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Stand."""
        return run(0.0, 0.0)


def scene(
    attackers: list[tuple[float, float]],
    defenders: list[tuple[float, float]],
    *,
    guards: list[int] | None = None,
    able: Ability | None = None,
    theirs: Ability | None = None,
    wind: Wind | None = None,
    **more: Any,
) -> Scene:
    """A scene of handlers and their defenders, the first attacker with the disc, no spread."""
    able = ability() if able is None else able
    covered = list(range(len(defenders))) if guards is None else guards
    return Scene(
        Field(),
        tuple(Start(f"a{k}", "handler", at, able) for k, at in enumerate(attackers)),
        tuple(
            Start(f"d{k}", "defender", at, theirs or able, guards=covered[k])
            for k, at in enumerate(defenders)
        ),
        0,
        wind=wind or Wind(),
        **{"spread": 0.0, **more},
    )


def begun(
    start: Scene,
    *,
    offence: Any = None,
    defence: Any = None,
    rehearsal: int = 0,
    seed: int = 0,
    judgements: Judgements | None = None,
) -> Arena:
    """An arena with its play begun; `arena.games[0]` is the record that kernels take."""
    arena = Arena(
        start, offence or Still(), defence or Still(), judgements, luck_of(seed, rehearsal)
    )
    set_up(arena.games[0], arena.views[0], arena.views[1])
    return arena


def place(g: Any, slot: int, x: float, y: float, vx: float = 0.0, vy: float = 0.0) -> None:
    """Put a player somewhere, on the move."""
    me = g.players[slot]
    me.x, me.y, me.vx, me.vy, me.ux, me.uy = x, y, vx, vy, vx, vy
