"""Which looks were thrown, how often, and what each of them completed."""

from __future__ import annotations

from typing import Any, NamedTuple

from experiments.statistics.estimates import Estimate, share
from experiments.statistics.tables import Table

NOT_THROWN = "not thrown"


class LookShare(NamedTuple):
    """One look among the first throws of a table of rehearsals.

    Attributes
    ----------
    look : its name; "open player" for somebody not called, "not thrown" where no throw was made.
    thrown : the share of all rehearsals in which it was thrown first.
    completed : the share of those in which the disc was kept.
    """

    look: str
    thrown: Estimate
    completed: Estimate

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"thrown": self.thrown.as_dict(), "completed": self.completed.as_dict()}


def look_shares(table: Table, level: float = 0.95) -> tuple[LookShare, ...]:
    """The looks of the first throws in a table of rehearsals, the most frequent first.

    Parameters
    ----------
    table : with the columns `look` ("" where nothing was thrown) and `completed`, a row a rehearsal.
    """
    thrown, completed = table["look"].astype(str), table["completed"]
    times = thrown.value_counts()
    counted = ((str(look), int(n)) for look, n in times.items())
    ordered = sorted(counted, key=lambda pair: (pair[0] == "", -pair[1], pair[0]))
    return tuple(
        LookShare(
            look or NOT_THROWN,
            share((thrown == look).to_numpy(), level),
            share(completed[thrown == look], level),
        )
        for look, _ in ordered
    )
