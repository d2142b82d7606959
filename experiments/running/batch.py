"""Rehearse a situation: a table of results, or the path of a single rehearsal."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.errors import RunError
from experiments.situations.lineup import line_up
from experiments.situations.situation import Situation
from sim.record import Tape
from sim.rehearsing import rehearse

# Most rehearsals played in one call; results do not depend on this.
ENSEMBLE = 4000


def rehearse_rows(
    situation: Situation,
    ids: npt.NDArray[np.int64],
    seed: int,
    ensemble: int = ENSEMBLE,
    *,
    offence: Any = None,
    defence: Any = None,
) -> pd.DataFrame:
    """One row a rehearsal, in the order of `ids`.

    A row depends on the situation, its number and the seed alone, never on what else is
    rehearsed beside it or on `ensemble`, the number played in one call. `offence` and `defence`
    stand in for those that the situation names.

    Raises
    ------
    RunError : a rule returned a number that is not finite.
    """
    ready = line_up(situation, offence, defence)
    parts = []
    for first in range(0, len(ids), ensemble):
        record = rehearse(
            ready.scene,
            ready.offence,
            ready.defence,
            ids[first : first + ensemble],
            seed,
            judgements=ready.judgements,
        )
        parts.append(pd.DataFrame(record.columns(ready.look_names)))
    table = pd.concat(parts, ignore_index=True)
    _check_places(table)
    return table


def _check_places(table: pd.DataFrame) -> None:
    lost = ~np.isfinite(table[["end_x_m", "end_y_m"]].to_numpy(float)).all(axis=1)
    if lost.any():
        raise RunError(
            f"rehearsal {table['rehearsal'][lost.argmax()]} ended at a place that is not finite: a "
            "rule returned such a velocity or aim, for example after a division by zero"
        )


def rehearse_tape(
    situation: Situation, rehearsal: int, seed: int, *, offence: Any = None, defence: Any = None
) -> Tape:
    """The path of one rehearsal, the same that gave its row; policies as for `rehearse_rows`.

    Its last instant is the one at which it was over: a catch with the disc in the catcher's hands,
    a failure with the disc where it was lost.
    """
    from sim.taping import tape

    ready = line_up(situation, offence, defence)
    return tape(
        ready.scene,
        ready.offence,
        ready.defence,
        rehearsal,
        seed,
        judgements=ready.judgements,
        looks=ready.look_names,
    )
