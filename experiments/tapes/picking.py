"""Pick a rehearsal of a study to show, and say why."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from experiments.statistics.tables import Table, data_frame

# The columns in which a viewer sees rehearsals of the same outcome differ.
WATCHED = (
    "release_s", "distance_m", "flight_s", "separation_m", "end_x_m", "end_y_m", "duration_s",
)  # fmt: skip
LOOKED_AT = ("rehearsal", "outcome", "completed", "goal", "gain_m", "estimate", *WATCHED)


@dataclass(frozen=True)
class Pick:
    """A rehearsal and, in words, why it was picked."""

    rehearsal: int
    why: str


def pick_rehearsal(table: Table, how: str | int = "typical") -> Pick:
    """Choose one rehearsal of a table.

    Parameters
    ----------
    table : one row a rehearsal, with the columns of the record.
    how : "typical", "best", "worst", or the number of a rehearsal.

    Notes
    -----
    *Typical* is the rehearsal nearest the median of the most common outcome: among the rehearsals
    that ended that way, the one with the smallest sum over the columns of `WATCHED` of
    ``|value - median| / (q75 - q25)``. Scaling by the quartiles makes seconds and metres comparable
    and is robust against outliers. A column without spread is left out.

    *Best* is the completed rehearsal, a goal before all others, that gained most; *worst* is a
    failure, and of the failures the one of which the thrower expected most (`estimate`); if nothing
    failed, it is the completed one that gained least. Ties go to the lowest number.

    Raises
    ------
    ValueError : empty table, a word that is none of these, or no such rehearsal.
    """
    if len(table) == 0:
        raise ValueError("the study holds no rehearsal to show")
    ordered = data_frame(table, LOOKED_AT).sort_values("rehearsal", kind="stable")
    if isinstance(how, str) and how.strip().lstrip("-").isdigit():
        how = int(how)
    if isinstance(how, (int, np.integer)):
        if int(how) not in set(ordered["rehearsal"].tolist()):
            low, high = int(ordered["rehearsal"].min()), int(ordered["rehearsal"].max())
            raise ValueError(f"there is no rehearsal {how}; they run from {low} to {high}")
        return Pick(int(how), f"rehearsal {how}, as asked")
    ways = {"typical": _typical, "best": _best, "worst": _worst}
    if how not in ways:
        raise ValueError(f"pick is {how!r}; allowed are typical, best, worst or a rehearsal number")
    return ways[how](ordered)


def _typical(table: pd.DataFrame) -> Pick:
    counts = table["outcome"].value_counts()
    # Ties go by the alphabet, so that the pick does not depend on the order of the rows.
    outcome = min(counts.index, key=lambda name: (-counts[name], name))
    rows = table[table["outcome"] == outcome]
    distance = np.zeros(len(rows))
    for column in WATCHED:
        if column not in rows:
            continue
        values = rows[column].to_numpy(dtype=float)
        known = np.isfinite(values)
        if not known.any():
            continue
        low, middle, high = np.quantile(values[known], [0.25, 0.5, 0.75])
        if high - low > 1e-9:
            gap = np.abs(values - middle) / (high - low)
            distance += np.where(known, gap, np.nanmax(gap))
    return _picked(
        rows.iloc[int(np.argmin(distance))],
        f"is the typical one: the most common outcome is '{outcome}' ({counts[outcome]:,} of "
        f"{len(table):,}), and of those this one is nearest the middle in when and how far it was "
        "thrown, how free the receiver was and where it ended",
    )


def _best(table: pd.DataFrame) -> Pick:
    caught = table[table["completed"].astype(bool)]
    if caught.empty:
        pick = _typical(table)
        return Pick(pick.rehearsal, f"nothing was completed, so the best is the same: {pick.why}")
    goals = caught[caught["goal"].astype(bool)]
    pool = goals if not goals.empty else caught
    row = pool.iloc[int(np.nanargmax(pool["gain_m"].to_numpy(dtype=float)))]
    end = "a goal" if bool(row["goal"]) else "completed"
    return _picked(row, f"is the best: {end}, with the most ground gained ({row['gain_m']:.1f} m)")


def _worst(table: pd.DataFrame) -> Pick:
    failed = table[~table["completed"].astype(bool)]
    if failed.empty:
        row = table.iloc[int(np.nanargmin(table["gain_m"].to_numpy(dtype=float)))]
        why = "is the worst: nothing failed, and it gained least"
        return _picked(row, f"{why} ({row['gain_m']:.1f} m)")
    sure = failed["estimate"].to_numpy(dtype=float)
    row = failed.iloc[int(np.argmax(np.where(np.isfinite(sure), sure, -1.0)))]
    why = f"is the worst: '{row['outcome']}'"
    if np.isfinite(float(row["estimate"])):
        why += ", the failure that the thrower was most sure would be caught"
    return _picked(row, why)


def _picked(row: pd.Series, why: str) -> Pick:
    return Pick(int(row["rehearsal"]), f"rehearsal {row['rehearsal']} {why}")
