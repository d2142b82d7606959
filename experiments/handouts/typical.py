"""The typical play of a study, begun exactly on the places of its file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from experiments.running.engine import Engine
from experiments.studies.rehearse import Study, rehearse
from experiments.tapes.picking import pick_rehearsal

# Enough to find one near the middle of when and how far it is thrown.
TRIED = 200


@dataclass(frozen=True)
class Typical:
    """One play to show.

    Attributes
    ----------
    tape : its path; everybody starts where the file, or the defence, puts them.
    look : what is thrown first; "" if nothing is.
    """

    tape: Any
    look: str

    def alike(self, table: pd.DataFrame) -> pd.DataFrame:
        """The rehearsals of a table in which the same was thrown first."""
        return table[table["look"].astype(str) == self.look]


def typical_play(study: Study) -> Typical:
    """A typical play of the look that a study threw most often.

    Rehearsals begin a little off the places of the file, each elsewhere, which is no help to
    whoever sets out cones. So some are played from the places themselves.
    """
    exact = study.situation.with_setting("spread", 0.0)
    played = rehearse(
        exact,
        TRIED,
        study.seed,
        offence=study.offence,
        defence=study.defence,
        engine=Engine(progress=False),
    )
    thrown = played.table["look"].astype(str)
    look = study.looks[0].look if study.looks and (study.table["throws"] > 0).any() else ""
    rows = played.table[thrown == look]
    if rows.empty:
        rows = played.table
    number = pick_rehearsal(rows, "typical").rehearsal
    return Typical(played.tape(number), str(thrown.iloc[number]))
