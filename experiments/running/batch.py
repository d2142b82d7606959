"""Rehearse a situation: a table of results, or the path of a single rehearsal."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.errors import RunError
from experiments.situations.lineup import line_up
from experiments.situations.situation import Situation
from sim.record import Record, Tape
from sim.rehearsing import rehearse


def play(
    situation: Situation,
    ids: npt.NDArray[np.int64],
    seed: int,
    *,
    offence: Any = None,
    defence: Any = None,
) -> tuple[Record, tuple[str, ...]]:
    """The record of some rehearsals, and the names of the looks to read it with.

    `offence` and `defence` stand in for those that the situation names.
    """
    ready = line_up(situation, offence, defence)
    sides = ready.offence, ready.defence
    record = rehearse(ready.scene, *sides, ids, seed, judgements=ready.judgements)
    return record, ready.look_names


def rehearse_rows(
    situation: Situation, ids: npt.NDArray[np.int64], seed: int, **policies: Any
) -> pd.DataFrame:
    """One row a rehearsal, in the order of `ids`; policies as for `play`.

    A row depends on the situation, its number and the seed alone, never on what else is
    rehearsed beside it.

    Raises
    ------
    RunError : a rule returned a number that is not finite.
    """
    record, looks = play(situation, ids, seed, **policies)
    table = pd.DataFrame(record.columns(looks))
    lost = ~np.isfinite(table[["end_x_m", "end_y_m"]].to_numpy(float)).all(axis=1)
    if lost.any():
        raise RunError(
            f"rehearsal {table['rehearsal'][lost.argmax()]} ended at a place that is not finite: a "
            "rule returned such a velocity or aim, for example after a division by zero"
        )
    return table


def rehearse_tape(
    situation: Situation, rehearsal: int, seed: int, *, offence: Any = None, defence: Any = None
) -> Tape:
    """The path of one rehearsal, the same that gave its row; policies as for `play`.

    Its last instant is the one at which it was over: a catch with the disc in the catcher's hands,
    a failure with the disc where it was lost.
    """
    from sim.taping import tape

    ready = line_up(situation, offence, defence)
    sides, looks = (ready.offence, ready.defence), ready.look_names
    return tape(ready.scene, *sides, rehearsal, seed, judgements=ready.judgements, looks=looks)
