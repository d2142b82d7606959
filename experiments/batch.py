"""Rehearse a situation: rows of results, and the path of a single rehearsal."""

from __future__ import annotations

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
    """The path of one rehearsal, the same that gave its row; policies as for `rehearse_rows`."""
    ready = line_up(situation, offence, defence)
    frames: list[dict[str, np.ndarray | float | int]] = []
    first_defender = len(ready.scene.attackers)

    def keep(model: Possession) -> None:
        world = model.world
        if world.phase[0] == OVER:
            return
        low, high = model.mark_reach()
        flying = bool(world.phase[0] == FLYING)
        marker = int(world.marker[0])
        near = marker >= first_defender and bool(world.counting[0])
        frames.append(
            {
                "times": model.now,
                "positions": world.pos[0].copy(),
                "velocities": world.vel[0].copy(),
                "disc": world.disc(model.now)[0],
                "holder": -1 if flying else int(world.holder[0]),
                "count": 0.0 if flying else float(world.count(model.now, model.scene.pace)[0]),
                "mark": marker if near and not flying else -1,
                "mark_reach": np.array([low[0], high[0]]),
            }
        )

    possession = Possession(
        ready.scene,
        ready.offence,
        ready.defence,
        np.array([rehearsal], dtype=np.int64),
        seed,
        open_side=ready.open_side,
        watch=keep,
    )
    looks = getattr(ready.offence, "look_names", ())
    row = {name: values[0] for name, values in possession.run().columns(looks).items()}
    players = ready.scene.players
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
