"""Plays to test kernels on: a record of one play, with people where a test wants them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sim import throwing
from sim.ability import Ability, ability
from sim.ensemble import Arena, set_up
from sim.field import Field
from sim.flight import load_table
from sim.intent import BACKHAND, FLAT, run
from sim.laws import Judgements
from sim.luck import luck_of
from sim.scene import Scene, Start, Wind

ALONE = [(0.0, 20.0), (0.0, 32.0)], [(12.0, 40.0), (14.0, 40.0)]


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


def throws(
    n: int,
    to: tuple[float, float] = (0.0, 35.0),
    *,
    kind: int = BACKHAND,
    shape: int = FLAT,
    moving: float = 0.0,
    mark: tuple[float, float] | None = None,
    height: float = 1.0,
    **more: Any,
) -> Iterator[Any]:
    """A play in which the disc has just been released, under the luck of n rehearsals in turn.

    From (0, 20) to a place; `mark` is where a mark stands, from the thrower.
    """
    arena = begun(scene(*ALONE, **more))
    g = arena.games[0]
    g.players[0].vx = moving
    if mark is not None:
        g.play.mark = 2
        place(g, 2, mark[0], 20.0 + mark[1])
    g.play.thrower, g.play.receiver, g.play.kind, g.play.curve = 0, 1, kind, shape
    g.play.aim_x, g.play.aim_y, g.play.height, g.play.events = *to, height, 1
    for rehearsal in range(n):
        g.luck.low, g.play.throws = rehearsal, 0
        throwing.let_go(g, load_table())
        yield g
