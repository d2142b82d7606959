"""Rehearse a situation: rows of results, and the path of a single rehearsal."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.lineup import line_up
from experiments.situation import Situation
from sim.intent import Policy
from sim.possession import Possession
from sim.record import Tape
from sim.scene import DEFENCE, OFFENCE
from sim.world import FLYING, OVER

# Most rehearsals advanced together: each costs less the more there are, but memory is not endless.
ENSEMBLE = 4000

BLOCKED_AT_ONCE = "blocked by the mark"
ON_THE_GROUND = ("missed", "out of bounds")  # when nobody has it
HELD_HEIGHT = 1.0  # m, where the disc is drawn in somebody's hands

Frame = dict[str, Any]


def rehearse_rows(
    situation: Situation,
    ids: npt.NDArray[np.int64],
    seed: int,
    ensemble: int = ENSEMBLE,
    *,
    offence: Policy | None = None,
    defence: Policy | None = None,
) -> pd.DataFrame:
    """One row a rehearsal, in the order of `ids`.

    A row depends on the situation, its number and the seed alone, never on what else is
    rehearsed beside it or on `ensemble`, the number advanced together. `offence` and `defence`
    stand in for those that the situation names.
    """
    ready = line_up(situation, offence, defence)
    looks = getattr(ready.offence, "look_names", ())
    parts = []
    for first in range(0, len(ids), ensemble):
        possession = Possession(
            ready.scene,
            ready.offence,
            ready.defence,
            ids[first : first + ensemble],
            seed,
            open_side=ready.open_side,
        )
        parts.append(pd.DataFrame(possession.run().columns(looks)))
    return pd.concat(parts, ignore_index=True)


def rehearse_tape(
    situation: Situation,
    rehearsal: int,
    seed: int,
    *,
    offence: Policy | None = None,
    defence: Policy | None = None,
) -> Tape:
    """The path of one rehearsal, the same that gave its row; policies as for `rehearse_rows`.

    Its last instant is the one at which it was over: a catch with the disc in the catcher's hands,
    a failure with the disc where it was lost.
    """
    ready = line_up(situation, offence, defence)
    frames: list[Frame] = []
    possession = Possession(
        ready.scene,
        ready.offence,
        ready.defence,
        np.array([rehearsal], dtype=np.int64),
        seed,
        open_side=ready.open_side,
        watch=lambda model: frames.append(_frame(model)),
    )
    looks = getattr(ready.offence, "look_names", ())
    row = {name: values[0] for name, values in possession.run().columns(looks).items()}
    if row["outcome"] != BLOCKED_AT_ONCE:
        frames.append(_last(possession, frames[-1], row))
    players, first_defender = ready.scene.players, len(ready.scene.attackers)
    kept = {key: np.array([frame[key] for frame in frames]) for key in frames[0]}
    return Tape(
        **kept,
        names=tuple(p.name for p in players),
        teams=(OFFENCE,) * first_defender + (DEFENCE,) * (len(players) - first_defender),
        roles=tuple(p.role for p in players),
        field=ready.scene.field,
        outcome=str(row["outcome"]),
        row=row,
    )


def _frame(model: Possession) -> Frame:
    """One instant of a possession of one rehearsal."""
    world = model.world
    flying = bool(world.phase[0] == FLYING)
    stopped = bool(world.phase[0] == OVER)  # by the mark, as it left the hand
    low, high = model.mark_reach()
    marker = int(world.marker[0])
    marked = marker >= len(model.scene.attackers) and bool(world.counting[0]) and not flying
    return {
        "times": model.now,
        "positions": world.pos[0].copy(),
        "velocities": world.vel[0].copy(),
        "disc": world.knots[0, 0].copy() if stopped else world.disc(model.now)[0],
        "holder": -1 if flying or stopped else int(world.holder[0]),
        "count": 0.0 if flying else float(world.count(model.now, model.scene.pace)[0]),
        "mark": marker if marked else -1,
        "mark_reach": np.array([low[0], high[0]]),
    }


def _last(model: Possession, before: Frame, row: dict[str, Any]) -> Frame:
    """The instant at which a rehearsal was over: everybody, and the disc where the record ends.

    The record's place of a catch, a stall or the end of the time is the place of whoever has the
    disc, to the bit, which tells who that is. Any other place is the disc's own.
    """
    world = model.world
    place = np.array([row["end_x_m"], row["end_y_m"]])
    having = np.flatnonzero((world.pos[0, : len(model.scene.attackers)] == place).all(axis=1))
    holder = int(having[0]) if having.size else -1
    frame = _frame(model) | {"holder": holder}
    if holder < 0 or holder != before["holder"]:
        frame |= {"count": 0.0, "mark": -1}
    if holder >= 0:
        frame["disc"] = np.array([*place, HELD_HEIGHT])
    elif row["outcome"] in ON_THE_GROUND:
        frame["disc"] = np.array([*place, 0.0])
    else:
        from_, to = before["disc"], world.flown(np.array([0]), model.now - world.release_at)[0]
        flown, gone = np.hypot(*(to - from_)[:2]), np.hypot(*(place - from_[:2]))
        # A hand meets the disc somewhere between the last instant and this one.
        part = min(gone / flown, 1.0) if flown > 0.0 else 1.0
        frame["disc"] = np.array([*place, max(from_[2] + part * (to[2] - from_[2]), 0.0)])
    return frame
