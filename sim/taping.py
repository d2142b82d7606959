"""The whole path of one rehearsal: the same play, looked at between deciding and running."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np

from sim import compiling, machine_code, play
from sim.ensemble import Arena, decide, finished, set_up
from sim.flight.lookup import table_record
from sim.laws import Judgements
from sim.luck import luck_of
from sim.marking import covered_sector
from sim.perception import disc_at
from sim.record import OUTCOMES, Tape
from sim.rehearsing import why_not_compiled
from sim.rules import count_of
from sim.scene import DEFENCE, OFFENCE, Scene
from sim.state import FLYING, OVER
from sim.throwing import CARRIED

Frame = dict[str, Any]
_ON_THE_GROUND = ("missed", "out of bounds")  # when nobody has it
_AT_ONCE = "blocked by the mark"


def set_up_play(games: Any, views: Any) -> None:
    """Begin the rehearsal whose luck and scene are in the record."""
    set_up(games[0], views[0], views[1])


def decide_in_play(games: Any, views: Any, tables: Any, plans: Any) -> None:
    """The first part of a tick of a compiled play."""
    decide(games[0], views[0], views[1], tables[0], plans)


def advance_play(games: Any) -> None:
    """The second part of a tick."""
    play.advance(games[0])


def tape(
    scene: Scene,
    offence: Any,
    defence: Any,
    rehearsal: int,
    seed: int,
    *,
    judgements: Judgements | None = None,
    looks: tuple[str, ...] = (),
) -> Tape:
    """Play one rehearsal and keep its path; its row is the one that `rehearse` gives.

    The last instant is the one at which it was over: a catch with the disc in the catcher's hands,
    a failure with the disc where it was lost.
    """
    frames: list[Frame] = []
    arena = Arena(scene, offence, defence, judgements, luck_of(seed, rehearsal))
    if machine_code.wanted() and not why_not_compiled(offence, defence):
        first, second = compiling.entry(decide_in_play), compiling.entry(advance_play)
        compiling.entry(set_up_play)(arena.games, arena.views)
        given = (arena.games, arena.views, table_record(), arena.compiled_plans())
        _run(arena, lambda: first(*given), lambda: second(arena.games), frames)
    else:
        from sim.possession import Possession

        model = Possession(scene, offence, defence, rehearsal, seed, judgements=judgements)
        arena = model.arena
        _run(arena, model.decide, lambda: play.advance(model.game), frames)
    g = arena.games[0]
    record = finished(scene, g, rehearsal)
    row = {name: values[0] for name, values in record.columns(looks).items()}
    if row["outcome"] != _AT_ONCE:
        frames.append(_last(g, frames[-1], row))
    return _tape(scene, frames, row)


def start(scene: Scene, offence: Any, defence: Any) -> Tape:
    """The start of a scene as a tape of one instant: everybody exactly on the places given."""
    placed = dataclasses.replace(scene, spread=0.0)
    arena = Arena(placed, offence, defence, None, luck_of(0, 0))
    set_up(arena.games[0], arena.views[0], arena.views[1])
    play.see(arena.games[0])
    return _tape(placed, [_frame(arena.games[0])], {"outcome": ""})


def _tape(scene: Scene, frames: list[Frame], row: dict[str, Any]) -> Tape:
    players, ours = scene.players, len(scene.attackers)
    kept = {key: np.array([frame[key] for frame in frames]) for key in frames[0]}
    return Tape(
        **kept,
        names=tuple(p.name for p in players),
        teams=(OFFENCE,) * ours + (DEFENCE,) * (len(players) - ours),
        roles=tuple(p.role for p in players),
        field=scene.field,
        outcome=str(row["outcome"]),
        row=row,
    )


def _run(
    arena: Arena, first: Callable[[], None], second: Callable[[], None], frames: list[Frame]
) -> None:
    g = arena.games[0]
    while g.play.phase != OVER:
        first()
        frames.append(_frame(g))
        if g.play.phase != OVER:
            second()


def _frame(g: Any) -> Frame:
    """One instant of a play."""
    p, count = g.play, int(g.ground.players)
    flying, stopped = p.phase == FLYING, p.phase == OVER
    mark, holder = int(p.mark), g.players[p.holder]
    marked = mark >= 0 and p.counting == 1 and not flying
    reach = (0.0, 0.0)
    if mark >= 0:
        me = g.players[mark]
        reach = covered_sector(holder.x, holder.y, me.x, me.y, me.lean, g.laws.mark)
    if stopped and OUTCOMES[p.outcome] == _AT_ONCE:
        disc = tuple(g.knots[0])
    elif flying:
        disc = disc_at(g, p.now - p.release_at)
    else:
        disc = (holder.x, holder.y, CARRIED)
    return {
        "times": float(p.now),
        "positions": np.array([(g.players[q].x, g.players[q].y) for q in range(count)]),
        "velocities": np.array([(g.players[q].vx, g.players[q].vy) for q in range(count)]),
        "disc": np.array([float(v) for v in disc]),
        "holder": -1 if flying or stopped else int(p.holder),
        "count": 0.0 if flying else float(count_of(g)),
        "mark": mark if marked else -1,
        "mark_reach": np.array([float(v) for v in reach]),
    }


def _last(g: Any, before: Frame, row: dict[str, Any]) -> Frame:
    """The instant at which a rehearsal was over: everybody, and the disc where the record ends.

    The record's place of a catch, a stall or the end of the time is the place of whoever has the
    disc, to the bit, which tells who that is. Any other place is the disc's own.
    """
    place = np.array([row["end_x_m"], row["end_y_m"]])
    frame = _frame(g)
    ours = frame["positions"][: int(g.ground.attackers)]
    having = np.flatnonzero((ours == place).all(axis=1))
    holder = int(having[0]) if having.size else -1
    frame["holder"] = holder
    if holder < 0 or holder != before["holder"]:
        frame |= {"count": 0.0, "mark": -1}
    if holder >= 0:
        frame["disc"] = np.array([*place, CARRIED])
    elif row["outcome"] in _ON_THE_GROUND:
        frame["disc"] = np.array([*place, 0.0])
    else:
        start = before["disc"]
        end = np.array([float(v) for v in disc_at(g, g.play.now - g.play.release_at)])
        flown = float(np.hypot(*(end - start)[:2]))
        gone = float(np.hypot(*(place - start[:2])))
        # a hand meets the disc somewhere between the last instant and this one
        part = min(gone / flown, 1.0) if flown > 0.0 else 1.0
        frame["disc"] = np.array([*place, max(start[2] + part * (end[2] - start[2]), 0.0)])
    return frame
