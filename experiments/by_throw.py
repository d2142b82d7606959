"""Completion by distance and by bearing: one thrower, one mark, one receiver, one defender.

A rehearsal of a single pass: the receiver runs along a straight line through a spot on a ring
around the thrower, the defender covers man to man, and the thrower throws so that disc and
receiver meet at the spot, whatever the chance. So the whole ring is measured, and not only the
throws a careful thrower would choose. The field is larger than any: no line is near.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from experiments.estimates import proportion
from policies.cuts import Cut, Runner
from policies.cuts.base import SHAPES, sprint, travelled
from policies.frame import length
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import FORCES, open_side
from policies.reading import flight_time
from sim.ability import Ability, ability
from sim.field import Field
from sim.marking import MarkBody, covered_sector
from sim.possession import Possession
from sim.record import OUTCOMES
from sim.scene import Scene, Start, Wind
from sim.settings import setting

FIELD = Field(150.0, 100.0, 40.0, name="no line near")
DISC = (0.0, 50.0)
SEEN = 0.8  # s that the receiver runs before the thrower has to decide
RUNS = ("back", "to the break side", "to the open side", "away")
NEAREST = {"away": 35.0}  # m; a nearer run away would begin beside the thrower, not downfield


@dataclass(frozen=True)
class ThroughSpot(Cut):
    """Through a spot: a straight run at full speed, met by the disc at the spot.

    `wide` and `depth` place the spot from the disc, to the open side and downfield; `way` is the
    direction of the run, from downfield toward the open side.
    """

    wide: float = setting(0.0, low=-90.0, high=90.0, unit="m")
    depth: float = setting(10.0, low=-90.0, high=90.0, unit="m")
    way: float = setting(0.0, low=-720.0, high=720.0, unit="deg")

    def heading(self, runner: Runner) -> np.ndarray:
        """Straight on."""
        return sprint(runner, np.broadcast_to(_unit(self.way), runner.pos.shape), self.pace)

    def ahead(self, runner: Runner, time: np.ndarray) -> np.ndarray:
        """The spot, whenever: thrower and receiver have agreed on it."""
        return np.broadcast_to(np.array([self.wide, self.depth]), runner.pos.shape)

    def cue(self, runner: Runner, wind_up: np.ndarray, meeting: np.ndarray) -> np.ndarray:
        """Thrown so that disc and runner are at the spot together."""
        way = np.broadcast_to(_unit(self.way), runner.pos.shape)
        gap = meeting - runner.pos
        still = gap[:, 0] * way[:, 0] + gap[:, 1] * way[:, 1]
        due = wind_up + flight_time(length(meeting), self.shape) + self.release_offset
        there: np.ndarray = travelled(runner, way, self.pace, due) >= still
        return there


@dataclass(frozen=True)
class Passing:
    """Who throws to whom against what.

    Attributes
    ----------
    level, defenders : roster levels of the offence, and of the defence (the same when empty).
    changes : abilities of the offence that differ from its level.
    shape : of the throw.
    force : of the mark. hand : +1 or -1, everybody's throwing hand.
    wind : over the ground. cover : the defence but for the force.

    Raises
    ------
    ValueError : a word that is none of the allowed ones.
    """

    level: str = "elite"
    defenders: str = ""
    changes: tuple[tuple[str, float], ...] = ()
    shape: str = "flat"
    force: str = "forehand"
    hand: int = 1
    wind: Wind = dataclasses.field(default_factory=Wind)
    cover: Man = dataclasses.field(default_factory=Man)

    def __post_init__(self) -> None:
        for name, allowed in (("shape", SHAPES), ("force", FORCES)):
            if getattr(self, name) not in allowed:
                raise ValueError(
                    f"{name} is {getattr(self, name)!r}; allowed are {', '.join(allowed)}"
                )

    @property
    def open_side(self) -> int:
        """The sign of x of the side that the force leaves open."""
        return int(open_side(self.force, np.array([self.hand]), np.zeros(1))[0])

    @property
    def defence(self) -> Man:
        """The defence with the force."""
        mark = dataclasses.replace(self.cover.mark, force=self.force)
        return dataclasses.replace(self.cover, mark=mark)

    @property
    def covered(self) -> tuple[float, float]:
        """Lowest and highest bearing (deg) that a mark stops for a thrower who does not pivot."""
        off = self.defence.mark.off(np.array([float(self.open_side)]))
        low, high = covered_sector(np.zeros((1, 2)), off, MarkBody())
        return float(np.rad2deg(low[0])), float(np.rad2deg(high[0]))


def pass_scene(
    distance: float, bearing: float, run: str, passing: Passing | None = None
) -> tuple[Scene, Looks]:
    """The scene of one pass, and the plan.

    Parameters
    ----------
    distance, bearing : m and deg of the spot from the thrower; 0 is downfield, + to the right.
    run : of the receiver through the spot: "back" to the thrower, "away", or across the line of
        the throw "to the open side" or "to the break side".
    passing : the rest.

    Raises
    ------
    ValueError : there is no such run.
    """
    if run not in RUNS:
        raise ValueError(f"run is {run!r}; allowed are {', '.join(RUNS)}")
    p = Passing() if passing is None else passing
    side = p.open_side
    ours, theirs = ability(p.level, **dict(p.changes)), ability(p.defenders or p.level)
    way = _way(bearing, run, side)
    spot = distance * _unit(bearing)
    start = np.array(DISC) + spot - _run_up(distance, p.shape, ours) * _unit(way)
    attackers = (
        Start("thrower", "handler", DISC, ours, p.hand),
        Start("receiver", "cutter", (float(start[0]), float(start[1])), ours, p.hand),
    )
    places = p.defence.starts(
        np.array([q.at for q in attackers]), np.array([True, False]), np.array([0, 1]), 0, side
    )
    defenders = tuple(
        Start(name, "defender", (float(x), float(y)), theirs, p.hand, guards=k)
        for k, (name, (x, y)) in enumerate(zip(("mark", "defender"), places, strict=True))
    )
    cut = ThroughSpot(
        wide=float(spot[0]) * side, depth=float(spot[1]), way=way * side, shape=p.shape, lasts=20.0
    )
    plan = Looks(looks=(Look("receiver", cut, 1.0, 10.0),), picky=0.0, desperate=0.0)
    return Scene(FIELD, attackers, defenders, 0, stall=1.0, wind=p.wind), plan


def by_throw(
    distances: Iterable[float],
    bearings: Iterable[float],
    runs: Sequence[str] = RUNS,
    passing: Passing | None = None,
    *,
    n: int = 400,
    seed: int = 1,
) -> pd.DataFrame:
    """Completion of passes to every spot of a ring, with every run.

    Parameters
    ----------
    distances, bearings : m and deg of the spots, as in `pass_scene`.
    runs : the runs that are met there; "away" only from 35 m on, since a nearer one would begin
        beside the thrower.
    passing : who throws to whom against what.
    n : rehearsals for each spot and run. seed : the same luck is met at every spot.

    Returns
    -------
    One row a spot and run: distance_m, bearing_deg, run, estimate, low, high, n; thrown (how many
    were thrown at all), thought (the thrower's own estimate, mean), and a count for each outcome.
    """
    p = Passing() if passing is None else passing
    bearings = list(bearings)
    rows = []
    for distance in distances:
        for bearing in bearings:
            for run in runs:
                if distance < NEAREST.get(run, 0.0):
                    continue
                scene, plan = pass_scene(distance, bearing, run, p)
                model = Possession(
                    scene, plan, p.defence, np.arange(n), seed, open_side=p.open_side
                )
                spot = {"distance_m": distance, "bearing_deg": bearing, "run": run}
                rows.append(spot | _summary(model.run().columns()))
    return pd.DataFrame(rows)


def together(frame: pd.DataFrame, by: str) -> pd.DataFrame:
    """Completion of all runs and spots with the same value in column `by`.

    Returns
    -------
    Columns `by`, estimate, low, high, n, and a count for each outcome. The interval takes the
    rehearsals for independent of each other; those of different spots share their luck.
    """
    rows = []
    for value, part in frame.groupby(by):
        counts = {word: int(part[word].sum()) for word in OUTCOMES}
        found = proportion(counts["completed"] + counts["goal"], int(part["n"].sum()))
        rows.append({by: value, **dataclasses.asdict(found), **counts})
    return pd.DataFrame(rows).drop(columns="level")


def _summary(table: dict[str, np.ndarray]) -> dict[str, float]:
    completed = table["completed"]
    thrown = ~np.isnan(table["release_s"])
    found = proportion(int(np.count_nonzero(completed)), len(completed))
    return {
        "estimate": found.estimate,
        "low": found.low,
        "high": found.high,
        "n": found.n,
        "thrown": int(np.count_nonzero(thrown)),
        "thought": float(np.nanmean(table["estimate"])) if thrown.any() else np.nan,
        **{word: int(np.count_nonzero(table["outcome"] == word)) for word in OUTCOMES},
    }


def _unit(bearing: float) -> np.ndarray:
    return np.array([np.sin(np.deg2rad(bearing)), np.cos(np.deg2rad(bearing))])


def _way(bearing: float, run: str, side: int) -> float:
    """Direction of a run (deg, 0 downfield, + right) through a spot at `bearing`.

    On a spot straight beside the thrower the run "to the open side" is the one downfield.
    """
    if run in ("away", "back"):
        return bearing + (180.0 if run == "back" else 0.0)
    ahead = float(np.cos(np.deg2rad(bearing))) > 1e-9
    turn = 90.0 if ahead == (run == "to the open side") else -90.0
    return bearing + turn * side


def _run_up(distance: float, shape: str, able: Ability) -> float:
    """Metres a receiver covers from rest until the disc is there, by the sprint law."""
    flight = float(flight_time(np.array([distance]), shape)[0])
    time = SEEN + able.wind_up + flight
    lag = able.sprint_time * (1.0 - np.exp(-time / able.sprint_time))
    return able.top_speed * (time - lag)
