"""Completion by distance and by bearing: one thrower, one mark, one receiver, one defender.

A rehearsal of a single pass: the receiver runs along a straight line through a spot on a ring
around the thrower, the defender covers man to man, and the thrower throws so that disc and
receiver meet at the spot, whatever the chance. So the whole ring is measured, and not only the
throws a careful thrower would choose. The field is larger than any: no line is near.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from experiments.errors import known_keywords
from experiments.situations.lineup import HANDS, side_left_open
from experiments.situations.situation import Situation
from experiments.statistics.estimates import proportion
from experiments.studies.result import DEFAULT_SEED
from policies.cuts import Cut
from policies.cuts.base import NOT_YET, SHAPES
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import FORCES, TO_A_SIDE, open_side, start_of_mark
from policies.moves import sprint
from sim.ability import Ability, ability
from sim.elementary import cos, exp, sin
from sim.field import Field
from sim.flight.lookup import duration, load_table
from sim.intent import Intent
from sim.laws import MarkBody
from sim.marking import covered_sector
from sim.record import OUTCOMES
from sim.rehearsing import rehearse
from sim.scene import Scene, Start, Wind
from sim.settings import setting

FIELD = Field(150.0, 100.0, 40.0, name="no line near")
DISC = (0.0, 50.0)
SEEN = 0.8  # s that the receiver runs before the thrower has to decide
RUNS = ("back", "to the break side", "to the open side", "away")
DISTANCES = (5.0, 10.0, 15.0, 20.0, 30.0, 40.0)  # m, thrown OFF degrees off straight downfield
OFF = 20.0
RING = 10.0  # m all round
BEARINGS = tuple(np.arange(-180.0, 181.0, 20.0))
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

    flight: float = setting(0.5, low=0.0, high=20.0, unit="s", doc="time of the disc to the spot")

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Straight on, thrown so that disc and runner are at the spot together."""
        to_open, down = sin(s.way), cos(s.way)
        still = (s.wide - me.to_open) * to_open + (s.depth - me.down) * down
        speed = me.vx * me.open * to_open + me.vy * down
        lag = me.tau * (1.0 - exp(-s.flight / me.tau))
        covers = me.top * s.flight - (me.top - max(speed, 0.0)) * lag
        cue = (covers - still) / me.top if me.since > 0.3 else NOT_YET
        return sprint(me, to_open, down, s.pace, cue)


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
        return int(open_side(FORCES.index(self.force), float(self.hand), 0.0))

    @property
    def defence(self) -> Man:
        """The defence with the force."""
        mark = dataclasses.replace(self.cover.mark, force=self.force)
        return dataclasses.replace(self.cover, mark=mark)

    @property
    def mark_bearing(self) -> float:
        """Where the mark stands at the start, deg from downfield, + to the right."""
        return float(np.rad2deg(np.arctan2(*self._mark)))

    @property
    def covered(self) -> tuple[float, float]:
        """Lowest and highest bearing (deg) that a mark stops for a thrower who does not pivot."""
        low, high = covered_sector(0.0, 0.0, *self._mark, 0.0, MarkBody())
        return float(np.rad2deg(low)), float(np.rad2deg(high))

    @property
    def _mark(self) -> tuple[float, float]:
        mark = self.defence.mark
        x, y = start_of_mark(mark.force, mark.angle, mark.distance, self.open_side)
        return x, y


def pass_scene(
    distance: float, bearing: float, run: str, passing: Passing | None = None
) -> tuple[Scene, Looks]:
    """The scene of one pass, and the plan.

    Parameters
    ----------
    distance, bearing : m and deg of the spot from the thrower; 0 is downfield, + to the right.
    run : of the receiver through the spot: "back" to the thrower, "away", or across the line of
        the throw "to the open side" or "to the break side".

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
    places = p.defence.starts([q.at for q in attackers], [True, False], [0, 1], 0, side)
    defenders = tuple(
        Start(name, "defender", (float(x), float(y)), theirs, p.hand, guards=k)
        for k, (name, (x, y)) in enumerate(zip(("mark", "defender"), places, strict=True))
    )
    cut = ThroughSpot(
        wide=float(spot[0]) * side,
        depth=float(spot[1]),
        way=way * side,
        shape=p.shape,
        lasts=20.0,
        flight=_in_the_air(distance, p.shape),
    )
    plan = Looks(looks=(Look("receiver", cut, 1.0, 10.0),), picky=0.0, desperate=0.0, free=False)
    return Scene(FIELD, attackers, defenders, 0, stall=1.0, wind=p.wind, open_side=side), plan


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
    n : rehearsals for each spot and run. seed : the same luck is met at every spot.

    Returns
    -------
    One row a spot and run: distance_m, bearing_deg, run, estimate, low, high, n; thrown (how many
    were thrown at all), thought (the thrower's own estimate, mean), and a count for each outcome.
    """
    p = Passing() if passing is None else passing
    rows = []
    for distance, bearing, run in itertools.product(distances, bearings, runs):
        if distance >= NEAREST.get(run, 0.0):
            scene, plan = pass_scene(distance, bearing, run, p)
            record = rehearse(scene, plan, p.defence, np.arange(n), seed)
            spot = {"distance_m": distance, "bearing_deg": bearing, "run": run}
            rows.append(spot | _summary(record.columns()))
    return pd.DataFrame(rows)


@dataclass(frozen=True)
class Passes:
    """Single passes as the teams, force and wind of a situation make them, on an empty field.

    Attributes
    ----------
    situation : whose levels, force, thrower's hand, wind and man cover.
    passing : those.
    by_distance, by_bearing : as `by_throw` gives them, over distances into the open side, and round
        the thrower at one distance.
    """

    situation: Situation
    passing: Passing
    by_distance: pd.DataFrame
    by_bearing: pd.DataFrame


@known_keywords
def passes(situation: Situation, n: int = 200, seed: int = DEFAULT_SEED) -> Passes:
    """Rehearse passes of every distance and direction: n for each spot and run.

    A defence that is no man cover is taken for one with its defaults.
    """
    s, defence = situation, situation.defences[situation.defence].built
    ours, theirs = s.roster.offence, s.roster.defence
    side, hand = side_left_open(s, s.force, 0.0), HANDS[s.holder.hand]
    force = ("forehand" if side == hand else "backhand") if s.force in TO_A_SIDE else s.force
    p = Passing(
        ours.level,
        theirs.level,
        tuple(ours.given.items()),
        force=force,
        hand=hand,
        wind=Wind(s.wind.speed, np.deg2rad(s.wind.toward)),
        cover=defence if isinstance(defence, Man) else Man(),
    )
    ahead = by_throw(DISTANCES, [OFF * p.open_side], RUNS, p, n=n, seed=seed)
    return Passes(s, p, ahead, by_throw([RING], BEARINGS, RUNS[:3], p, n=n, seed=seed))


def _summary(table: dict[str, np.ndarray]) -> dict[str, float]:
    completed = table["completed"]
    thrown = ~np.isnan(table["release_s"])
    found = proportion(int(np.count_nonzero(completed)), len(completed))
    return {
        **found.columns(),
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
    flight = _in_the_air(distance, shape)
    time = SEEN + able.wind_up + flight
    lag = able.sprint_time * (1.0 - np.exp(-time / able.sprint_time))
    return able.top_speed * (time - lag)


def _in_the_air(distance: float, shape: str) -> float:
    """Seconds that a throw takes in the calm."""
    return duration(load_table(), 0, SHAPES.index(shape), distance, 0.0, 0.0)
