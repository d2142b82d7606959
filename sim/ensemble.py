"""Many rehearsals of one scene: the compiled loop over rehearsals, ticks and players.

One rehearsal after the other is played from start to end in the same few records, so memory does
not grow with their number, and none can touch another.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from sim import compiling, play
from sim.flight.lookup import load_table
from sim.intent import run as stand
from sim.laws import Judgements, laws_of
from sim.luck import Luck
from sim.perception import wake_up  # noqa: F401  (part of the text that is compiled)
from sim.play import Game
from sim.record import result_rows
from sim.rulebook import ROW, SHEET, Side, Team, compiled_rule
from sim.state import BODY, EVENT, EVENTS, KNOTS, MEMORY, OVER, PLAY, PLAYER, SEEN, THROWN, Ground, records

def tick(g: Game, rules: Any, rows: Any, offence: Team, defence: Team) -> None:
    """One tick: everybody sees and decides, then everybody runs and the disc flies on."""
    play.see(g)
    if play.decides_now(g):
        for slot in range(g.ground.players):
            if not play.busy(g, slot):
                team = offence if slot < g.ground.attackers else defence
                play.take(g, slot, rules[slot](play.view_of(g, slot), rows[slot], team))
    play.go_on(g)
    if g.play.phase != OVER:
        play.advance(g)


def write(g: Game, row: Any) -> None:
    """Write the result of a rehearsal that is over; the first throw's numbers from its entry."""
    p = g.play
    row.outcome, row.throws, row.thrower = p.outcome, p.throws, p.thrower
    row.receiver, row.stopper = p.receiver, p.stopper
    row.end_x, row.end_y, row.ended = p.end_x, p.end_y, p.ended
    row.trapped_for, row.flight_s = p.trapped_for, p.flight_s
    row.look, row.cover, row.calls, row.waved = -1, -1, 0, 0
    first = True
    for k in range(p.events):
        event = g.events[k]
        row.calls += int(event.event == 1)
        row.waved += int(event.event == 2)
        if event.event == THROWN and first:
            first = False
            row.look, row.cover, row.at, row.count = event.look, event.cover, event.at, event.count
            row.said, row.distance, row.separation = event.said, event.distance, event.separation
            row.aim_x, row.aim_y = event.aim_x, event.aim_y


def play_all(
    rules: Any, rows: Any, offence: Team, defence: Team, ground: Ground, laws: Any, table: Any,
    seed_low: int, seed_high: int, rehearsals: Any, body: Any, depth: int, knots: int, results: Any,
    log: Any, log_of: Any, plays: Any, players: Any, seen: Any, events: Any,
) -> tuple[int, int]:  # fmt: skip
    """Play rehearsals one after the other, until the log is nearly full.

    Returns how many were played and how many entries of the log were written; `log_of` gets the
    number of the rehearsal beside each entry.
    """
    count = ground.players
    ring = np.zeros((depth, count + 1, 5))
    spots, watched = np.zeros((count, 2)), np.zeros(count, np.int64)
    memory, path = np.zeros((count, MEMORY)), np.zeros((knots, 3))
    before = np.zeros((count, 2))
    written = 0
    for r in range(len(rehearsals)):
        if written + len(events) > len(log):
            return r, written
        number = rehearsals[r]
        luck = Luck(seed_low, seed_high, number & 0xFFFFFFFF, number >> 32)
        g = Game(
            ground, laws, table, luck, plays[0], players, body, ring, seen, spots, watched, memory,
            path, before, events,
        )  # fmt: skip
        play.begin(g)
        while g.play.phase != OVER:
            tick(g, rules, rows, offence, defence)
        results[r].rehearsal = number
        write(g, results[r])
        for k in range(g.play.events):
            log[written] = events[k]
            log_of[written] = number
            written += 1
    return len(rehearsals), written


class Arena:
    """The records and numbers of one play of a scene, and the policies that play it."""

    def __init__(self, scene: Any, offence: Any, defence: Any, judgements: Judgements | None = None):
        names = [player.name for player in scene.players]
        self.scene = scene
        self.laws = laws_of(judgements if judgements is not None else Judgements())
        self.ground, self.body, self.depth = scene.ground(), scene.body(), scene.memory_depth()
        self.table = load_table()
        each = [offence] * len(scene.attackers) + [defence] * len(scene.defenders)
        self.sides = (Side.of(offence, names), Side.of(defence, names))
        self.policies = each
        self.rows = np.array([self.sides[int(p >= self.ground.attackers)].row for p in range(len(each))])
        count = self.ground.players
        self.plays, self.players = records(PLAY, 1), records(PLAYER, count)
        self.seen, self.events = records(SEEN, count + 1), records(EVENT, EVENTS)

    def game(self, luck: Luck) -> Game:
        """A play of its own, for one rehearsal at a time."""
        count = self.ground.players
        return Game(
            self.ground, self.laws, self.table, luck, self.plays[0], self.players, self.body,
            np.zeros((self.depth, count + 1, 5)), self.seen, np.zeros((count, 2)),
            np.zeros(count, np.int64), np.zeros((count, MEMORY)), np.zeros((KNOTS, 3)),
            np.zeros((count, 2)), self.events,
        )  # fmt: skip

    def compiled_rules(self) -> tuple[Any, Team, Team]:
        """The players' rules and both teams, compiled."""
        from numba.typed import List

        rules = List.empty_list(_function_type(RULE()))
        for policy in self.policies:
            rules.append(compiled_rule(type(policy), as_part=False))
        teams = []
        for side in self.sides:
            parts = List.empty_list(_function_type(PART()))
            for part in side.parts:
                parts.append(compiled_rule(type(part), as_part=True))
            teams.append(Team(parts, side.rows, side.sheet, self.table))
        return rules, teams[0], teams[1]


def play_scene(arena: Arena, rehearsals: np.ndarray, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Play rehearsals of an arena, compiled.

    Returns
    -------
    results : (R,) records RESULT. log : (E,) records EVENT. log_of : (E,) the rehearsal of each.
    """
    rules, offence, defence = arena.compiled_rules()
    loop = compiling.compiled(play_all)
    results = result_rows(len(rehearsals))
    logs, owners, done = [], [], 0
    buffer = records(EVENT, max(4 * EVENTS, min(len(rehearsals), 4000) * 8))
    owner = np.zeros(len(buffer), np.int64)
    while done < len(rehearsals):
        played, written = loop(
            rules, arena.rows, offence, defence, arena.ground, arena.laws, arena.table,
            seed & 0xFFFFFFFF, seed >> 32, rehearsals[done:], arena.body, arena.depth, KNOTS,
            results[done:], buffer, owner, arena.plays, arena.players, arena.seen, arena.events,
        )  # fmt: skip
        logs.append(buffer[:written].copy())
        owners.append(owner[:written].copy())
        done += played
    return results, np.concatenate(logs), np.concatenate(owners)


def _function_type(signature: Any) -> Any:
    from numba import types

    return types.FunctionType(signature)


@cache
def _types() -> tuple[Any, Any]:
    """The numba signatures of a part's and of a player's rule."""
    import numba as nb
    from numba import types
    from numba.typed import List

    from sim.scene import sample_scene

    arena = Arena(sample_scene(), _Stand(), _Stand())
    g = arena.game(Luck(0, 0, 0, 0))
    play.begin(g)
    view, intent = nb.typeof(play.view_of(g, 0)), nb.typeof(stand(0.0, 0.0))
    row = types.Array(types.float64, 1, "C")
    part = intent(view, row)
    parts = List.empty_list(types.FunctionType(part))
    rows = np.zeros((1, ROW))
    team = nb.typeof(Team(parts, rows, np.zeros((1, SHEET)), arena.table))
    return part, intent(view, row, team)


def PART() -> Any:  # noqa: N802
    """The signature of a part's rule, ``Intent(View, row)``."""
    return _types()[0]


def RULE() -> Any:  # noqa: N802
    """The signature of a player's rule, ``Intent(View, row, Team)``."""
    return _types()[1]


class _Stand:
    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        return stand(0.0, 0.0)


Watch = Callable[[Game], None]
