"""Where on the field a plan's look is available: over disc positions and forces."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from experiments.errors import SituationError, StallwiseError, known_keywords, one_of_text
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many
from experiments.situations import formation
from experiments.situations.grid import check_number
from experiments.situations.lineup import line_up
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, mean, share
from experiments.statistics.tables import Table
from experiments.studies.compare import names_among
from experiments.studies.result import DEFAULT_SEED, Result, table_of
from experiments.words.measured import headline, number
from experiments.words.text_table import TextTable
from experiments.words.wording import UNITS, count, length, minus, percent, share_with_range
from policies.marks import FORCES

DEFAULT_N = 500
BOTH = ("forehand", "backhand")


# The shares that are printed, by their names in tables, and what stands over them.
HEADS = {
    "completed": "completed",
    "thrown": "thrown",
    "available": "look thrown",
    "completed_look": "look completed",
    "worked": "look worked",
    "trapped": "trapped",
}


@dataclasses.dataclass(frozen=True)
class Place:
    """The estimates with the disc at one place, under one force.

    Attributes
    ----------
    x, y : of the disc at the start, m.
    force : of the mark.
    found : the shares of all rehearsals that were completed, in which anything was thrown
        (`thrown`), or the look (`available`), and in which it was completed too (`worked`); the
        share of the look's throws that was completed (`completed_look`); of the completed, `gain_m`,
        `off_centre_m` and the share that was trapped, caught within 5 m of a sideline.
    end_x, end_y : where the completed leave the disc, on average, m; NaN if none was.
    """

    x: float
    y: float
    force: str
    found: Mapping[str, Estimate]
    end_x: float
    end_y: float

    @property
    def n(self) -> int:
        """Its rehearsals."""
        return self.found["completed"].n


@dataclasses.dataclass(frozen=True)
class Map(Result):
    """Where on the field a look is available.

    Attributes
    ----------
    look : the look whose availability is measured.
    mirror : whether the formation is mirrored where the other side is open.
    places : one for each place of the disc and force.
    left_out : places at which the situation cannot be played, and why.
    """

    charts = ("map",)
    look: str
    mirror: bool
    places: tuple[Place, ...]
    left_out: tuple[tuple[float, float, str, str], ...]

    @property
    def n(self) -> int:
        """The most rehearsals that one place got."""
        return max(place.n for place in self.places)

    def tables(self) -> dict[str, pd.DataFrame]:
        """The places."""
        return {"map": self.table()}

    def table(self) -> pd.DataFrame:
        """One row a place and force: shares with their ends, means with theirs."""
        rows = []
        for p in self.places:
            place = {"x_m": p.x, "y_m": p.y, "force": p.force, "n": p.n}
            rows.append({**place, **p.found, "end_x_m": p.end_x, "end_y_m": p.end_y})
        return table_of(rows)

    def answer(self) -> dict[str, Any]:
        places = [
            {
                "disc": (p.x, p.y),
                "force": p.force,
                **p.found,
                "leaves_disc": (p.end_x, p.end_y) if math.isfinite(p.end_x) else None,
            }
            for p in self.places
        ]
        return {
            "plan": self.situation.plan,
            "defence": self.situation.defence,
            "look": self.look,
            "rehearsals": self.n,
            "moved": formation.words(self.mirror),
            "places": places,
            "left_out": [
                {"disc": (x, y), "force": force, "why": why} for x, y, force, why in self.left_out
            ],
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The shares at each place, and how the formation was moved."""
        heads = ("force", f"disc at ({units})", *HEADS.values(), "leaves it at")
        out = [f"{force} {number(x)}, {number(y)}: {why}" for x, y, force, why in self.left_out]
        return [
            f"{headline(self.situation)}, look {self.look or 'any'}",
            f"{count(self.n)} rehearsals at each place, seed {self.seed}",
            "",
            TextTable(heads, [_line(place, units) for place in self.places]),
            *(f"left out: {one}" for one in out),
            *formation.words(self.mirror),
        ]


def _line(place: Place, units: str) -> tuple[str, ...]:
    """The printed row of a place."""
    first, *others = (place.found[name] for name in HEADS)
    ends = [minus(length(end, units)) for end in (place.end_x, place.end_y)]
    return (
        place.force,
        ", ".join(number(round(v * UNITS[units], 1)) for v in (place.x, place.y)),
        share_with_range(first),
        *(percent(found.estimate) for found in others),
        ", ".join(ends) if math.isfinite(place.end_x) else "nowhere",
    )


@known_keywords
def map_field(
    situation: Situation,
    x: Sequence[float] | None = None,
    y: Sequence[float] | None = None,
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    forces: Sequence[str] = BOTH,
    look: str | None = None,
    mirror: bool = True,
    engine: Engine = ENGINE,
) -> Map:
    """Rehearse a situation with the disc, and everybody with it, at each place of a grid.

    Parameters
    ----------
    situation : what is moved about; see `experiments.situations.formation.moved` for how, and for what is
        done at the lines.
    x, y : where the disc is to be, m; None spreads five and four places over the field.
    n : rehearsals at each place under each force; 500 unless `within` is given.
    seed : the luck, the same everywhere.
    within : rehearse until completion is known to plus or minus this much at each place.
    forces : of the mark.
    look : such as ``strike left``; the first of the plan if None.
    mirror : mirror the formation where the other side is open.
    engine : how to run it, made by `experiments.running.engine.engine`.

    Raises
    ------
    SituationError : a place is off the field, or the situation can be played at none.
    StallwiseError : a force or the look is unknown, or there are too many places.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    looks = line_up(situation).look_names
    if look is None:
        look = looks[0] if looks else ""
    elif look not in looks:
        raise StallwiseError(f"look: found {look!r}; allowed: {one_of_text(look, looks)}")
    forces = names_among(forces, FORCES, "forces")
    wide, low, high = formation.limits(situation)
    across = _spread(-wide + 1.5, wide - 1.5, 5) if x is None else _different(x)
    along = _spread(0.1 * high, 0.9 * high, 4) if y is None else _different(y)
    wanted = [(px, py, force) for force in forces for py in along for px in across]
    check_number(wanted)
    for px, py, _ in wanted:
        if not (abs(px) <= wide and low <= py <= high):
            raise StallwiseError(
                f"disc: found [{px:g}, {py:g}]; allowed: x from {-wide:g} to {wide:g}, "
                f"y from {low:g} to {high:g}"
            )
    made: dict[str, Situation] = {}
    spots: list[tuple[float, float, str]] = []
    left_out: list[tuple[float, float, str, str]] = []
    for px, py, force in wanted:
        try:
            made[f"{force} {px:g} {py:g}"] = formation.moved(situation, px, py, force, mirror)
            spots.append((px, py, force))
        except SituationError as error:
            left_out.append((px, py, force, "; ".join(map(str, error.problems))))
    if not made:
        raise StallwiseError(f"the situation can be played at none of the places: {left_out[0][3]}")
    n = asked_n(n, within, DEFAULT_N)
    done = rehearse_many(made, n, seed, within=within, engine=engine)
    places = tuple(
        _place(spot, table, look, done.level)
        for spot, table in zip(spots, done.tables.values(), strict=True)
    )
    return Map(look, mirror, places, tuple(left_out), **done.account(situation, seed))


def _place(spot: tuple[float, float, str], table: Table, look: str, level: float) -> Place:
    completed = table["completed"].to_numpy(bool)
    took = (table["look"] == look).to_numpy(bool)
    ends = [mean(table[name][completed], level).estimate for name in ("end_x_m", "end_y_m")]
    found = {
        "completed": share(completed, level),
        "thrown": share(table["throws"].to_numpy() > 0, level),
        "available": share(took, level),
        "completed_look": share(completed[took], level),
        "worked": share(completed & took, level),
        "gain_m": mean(table["gain_m"], level),
        "off_centre_m": mean(table["off_centre_m"], level),
        "trapped": share(table["trapped"].to_numpy(bool)[completed], level),
    }
    return Place(*spot, found, *ends)


def _spread(low: float, high: float, count: int) -> list[float]:
    """Evenly spaced to a tenth of a metre, and as much to the left as to the right."""
    return [round(float(v), 1) + 0.0 for v in np.linspace(low, high, count)]


def _different(values: Sequence[float]) -> list[float]:
    found = list(dict.fromkeys(float(v) + 0.0 for v in values))
    if not found:
        raise StallwiseError("disc: found no places; allowed: at least one x and one y")
    return found
