"""Many rehearsals of one scene: the compiled loop over rehearsals, ticks and players.

One rehearsal after the other is played from start to end in the same record, so memory does not
grow with their number, and none can touch another.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from sim import compiling, play
from sim.flight.lookup import table_record
from sim.intent import run as stand
from sim.laws import LAWS, Judgements, write_laws
from sim.lowlevel import call_by_address
from sim.luck import Luck
from sim.record import Record, result_rows
from sim.rulebook import Side, call_part, call_player
from sim.state import (
    CALLED,
    EVENT,
    EVENTS,
    OVER,
    PLAN,
    THROWN,
    WAVED_OFF,
    game_type,
    records,
)
from sim.view import VIEW

GAME = game_type(LAWS)


def decide(g: Any, view: Any, other: Any, table: Any, plans: Any) -> None:
    """The first part of a tick: everybody sees and decides; a disc that is due is released."""
    play.see(g)
    if play.decides_now(g):
        for slot in range(g.ground.players):
            if not play.busy(g, slot):
                plan = plans[int(slot >= g.ground.attackers)]
                play.look(g, view, slot)
                play.take(g, view, slot, call_player(plan.rule, view, plan, table, other))
    play.go_on(g, table)


def tick(g: Any, view: Any, other: Any, table: Any, plans: Any) -> None:
    """One tick: everybody sees and decides, then everybody runs and the disc flies on."""
    decide(g, view, other, table, plans)
    if g.play.phase != OVER:
        play.advance(g)


def set_up(g: Any, view: Any, other: Any) -> None:
    """Begin a rehearsal, its luck and scene written into the record before."""
    play.begin(g)
    play.set_scene(g, view)
    play.set_scene(g, other)


def write(g: Any, row: Any) -> None:
    """Write the result of a rehearsal that is over; the first throw's numbers from its entry."""
    p = g.play
    row.outcome, row.throws, row.thrower = p.outcome, p.throws, p.thrower
    row.receiver, row.stopper = p.receiver, p.stopper
    row.end_x, row.end_y, row.ended = p.end_x, p.end_y, p.ended
    row.trapped_for, row.flight_s = p.trapped_for, p.flight_s
    row.catch_chance = p.catch_chance
    row.look, row.cover, row.calls, row.waved = -1, -1, 0, 0
    first = True
    for k in range(p.events):
        event = g.events[k]
        row.calls += int(event.event == CALLED)
        row.waved += int(event.event == WAVED_OFF)
        if event.event == THROWN and first:
            first = False
            row.look, row.cover, row.at, row.count = event.look, event.cover, event.at, event.count
            row.said, row.distance, row.separation = event.said, event.distance, event.separation
            row.aim_x, row.aim_y = event.aim_x, event.aim_y


def finished(scene: Any, g: Any, rehearsal: int) -> Record:
    """The record of one rehearsal that is over."""
    results, count = result_rows(1), int(g.play.events)
    results[0].rehearsal = rehearsal
    write(g, results[0])
    return Record(scene, results, g.events[:count].copy(), np.full(count, rehearsal, np.int64))


def play_all(
    games: Any, views: Any, tables: Any, plans: Any, rehearsals: Any, results: Any, log: Any,
    log_of: Any, done: Any,
) -> None:  # fmt: skip
    """Play rehearsals one after the other, until the log is nearly full.

    `done` gets how many were played and how many entries of the log were written, `log_of` the number
    of the rehearsal beside each entry.
    """
    g, view, other, table = games[0], views[0], views[1], tables[0]
    played, written = 0, 0
    for r in range(len(rehearsals)):
        if written + EVENTS > len(log):
            break
        number = rehearsals[r]
        g.luck.low, g.luck.high = number & 0xFFFFFFFF, number >> 32
        set_up(g, view, other)
        while g.play.phase != OVER:
            tick(g, view, other, table, plans)
        results[r].rehearsal = number
        write(g, results[r])
        for k in range(g.play.events):
            log[written] = g.events[k]
            log_of[written] = number
            written += 1
        played += 1
    done[0], done[1] = played, written


class Arena:
    """The record of one play of a scene, and the policies that play it."""

    def __init__(
        self, scene: Any, offence: Any, defence: Any, judgements: Judgements | None, luck: Luck
    ) -> None:
        names = [player.name for player in scene.players]
        self.scene = scene
        self.games, self.views = records(GAME, 1), records(VIEW, 2)
        g = self.games[0]
        scene.write_ground(g.ground)
        scene.write_body(g.body)
        write_laws(Judgements() if judgements is None else judgements, g.laws)
        g.luck.seed_low, g.luck.seed_high = luck.seed_low, luck.seed_high
        g.luck.low, g.luck.high = luck.low, luck.high
        self.sides = (Side.of(offence, names), Side.of(defence, names))
        self.side_of = [self.sides[int(p >= len(scene.attackers))] for p in range(len(names))]

    def compiled_plans(self) -> Any:
        """What both sides' plans say, with their compiled rules."""
        plans = records(PLAN, 2)
        for number, side in enumerate(self.sides):
            plans[number] = side.compiled_plan()
        return plans


def play_scene(arena: Arena, rehearsals: np.ndarray) -> tuple[Any, Any, np.ndarray]:
    """Play rehearsals of an arena, compiled.

    Returns
    -------
    results : (R,) records `sim.record.RESULT`. log : (E,) records EVENT. log_of : (E,) the
    rehearsal of each.
    """
    plans = arena.compiled_plans()
    loop, counts = compiling.entry(play_all), np.zeros(2, np.int64)
    results = result_rows(len(rehearsals))
    logs, owners, done = [records(EVENT, 0)], [np.zeros(0, np.int64)], 0
    buffer = records(EVENT, max(4 * EVENTS, min(len(rehearsals), 4000) * 8))
    owner = np.zeros(len(buffer), np.int64)
    while done < len(rehearsals):
        loop(
            arena.games, arena.views, table_record(), plans, rehearsals[done:], results[done:], buffer,
            owner, counts,
        )  # fmt: skip
        logs.append(buffer[: counts[1]].copy())
        owners.append(owner[: counts[1]].copy())
        done += int(counts[0])
    return results, np.concatenate(logs), np.concatenate(owners)


@cache
def part_signature() -> Any:
    """The numba signature of a part's rule, ``Intent(View, row)``."""
    import numba as nb
    from numba import types

    intent, view = nb.typeof(stand(0.0, 0.0)), nb.from_dtype(VIEW)
    return intent(view, types.Array(types.float64, 1, "C"))


@cache
def rule_signature() -> Any:
    """The numba signature of a player's rule, ``Intent(View, Plan, Table, View)``."""
    import numba as nb

    intent, view = part_signature().return_type, part_signature().args[0]
    return intent(view, nb.from_dtype(PLAN), nb.from_dtype(table_record().dtype), view)


compiling.write_out(decide, tick, play.look)
call_by_address(call_part, part_signature)
call_by_address(call_player, rule_signature)
