"""What completes a pass and what spoils it, against published figures and common practice.

Nothing in the simulator holds a chance of completion; these come out. Rates are of n rehearsals
with fixed seeds. The false-alarm rate beside a test is the chance that it would have failed, when
its seed was picked, although the simulator's long-run rate is what was measured over more seeds;
"no way to pass by chance" gives the rate at which it would pass if there were no effect.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest

from experiments import Situation
from experiments.batch import rehearse_rows
from experiments.by_throw import Passing, by_throw, together
from sim.ability import LEVELS
from sim.marking import MarkBody, clearance, pressure, release_point, slid, stop_chance
from sim.scene import Wind

ACROSS_AND_BACK = ("back", "to the break side", "to the open side")
OPEN = 30.0  # deg; downfield, on the open side of a forehand force
MARK = -40.0  # deg; where the mark stands, seen from the thrower
FORTY_YARDS = 40 * 0.9144


@cache
def rates(
    distances: tuple[float, ...],
    bearings: tuple[float, ...] = (OPEN,),
    passing: Passing | None = None,
    n: int = 300,
) -> pd.DataFrame:
    """Completion of runs across and back, by distance and bearing, all thrown whatever the chance.

    One row for each distance and bearing: 3 n rehearsals.
    """
    found = by_throw(distances, bearings, ACROSS_AND_BACK, passing, n=n, seed=4)
    found["spot"] = found["distance_m"].astype(str) + " m, " + found["bearing_deg"].astype(str)
    rows = together(found, "spot")
    order = [f"{d} m, {b}" for d in distances for b in bearings]
    return rows.set_index("spot").loc[order].reset_index()


# --- distance ----------------------------------------------------------------------------------


@pytest.mark.slow
def test_completion_falls_with_distance():
    """Published: pass length is one of the two main predictors of completion (about 7,000 league
    passes). Elite against man cover, 8, 25 and 50 m, runs across and back, which keep their
    defender behind at any distance. n 4,500 each; intervals of 95 % apart: no way to pass by chance
    beyond 1 in 10,000."""
    found = rates((8.0, 25.0, 50.0), n=1500)
    low, high = found["low"].to_numpy(), found["high"].to_numpy()
    assert (low[:-1] > high[1:]).all(), found[["spot", "estimate"]]


@pytest.mark.slow
def test_completion_falls_at_every_step():
    """The same, looked at closely: 20 and 22 m, n 600 each, the same luck, 2 points of slack."""
    near, far = rates((20.0, 22.0), n=200)["estimate"]
    assert far <= near + 0.02


def long_throw(shape: str, depth: float) -> Situation:
    """A cutter runs away from a stack `depth` m from the disc, a defender 1.5 m to the side."""
    look = {"who": "deep", "cut": "deep", "from": 2.0, "to": 9.0, "depth": 60.0, "wide": 6.0}
    return Situation.from_dict(
        {
            "stall": 1.0,
            "force": "forehand",
            "until": "throw",
            "plan": "deep",
            "defence": "man",
            "attackers": [
                {"name": "thrower", "role": "handler", "at": [0.0, 20.0], "disc": True},
                {"name": "deep", "role": "cutter", "at": [2.0, 20.0 + depth]},
            ],
            "defenders": [
                {"name": "mark", "guards": "thrower"},
                {"name": "on deep", "guards": "deep"},
            ],
            "plans": {
                "deep": {
                    "policy": "looks",
                    "picky": 0.1,
                    "looks": [look | {"shape": shape, "lasts": 8.0}],
                }
            },
            "defences": {"man": {"policy": "man"}},
        }
    )


def long_throws(*shapes: str) -> list[pd.DataFrame]:
    """400 rehearsals of each shape from each of three stacks."""
    return [
        rehearse_rows(long_throw(shape, depth), np.arange(400), 3)
        for shape in shapes
        for depth in (14.0, 16.0, 18.0)
    ]


@pytest.mark.slow
def test_throws_of_forty_yards_and_more_complete_near_half():
    """Published: about 53 %, one team, 2022. Elite against man cover, cutters who go deep from a
    stack 14-18 m from the disc, thrown with a bend round the defender (common practice both) as
    soon as the runner is at speed. n 2,400, those of 40 yd and more; 53 % +- 10 points. Measured
    with three seeds: 58, 62 and 63 %, so it stands at the upper end of the tolerance."""
    table = pd.concat(long_throws("outside-in", "inside-out"))
    long = table[table["distance_m"] >= FORTY_YARDS]
    assert len(long) > 1200
    assert long["completed"].mean() == pytest.approx(0.53, abs=0.10)


@pytest.mark.slow
@pytest.mark.xfail(
    strict=True,
    reason="flat and floated flights of 40 m peak at about 2 m, within the reach of a defender who "
    "trails: fewer than 4 in 10 completed; see MODEL.md",
)
def test_long_throws_without_a_bend_do_as_well():
    """The same figure for flat and floated throws."""
    table = pd.concat(long_throws("flat", "floated"))
    long = table[table["distance_m"] >= FORTY_YARDS]
    assert long["completed"].mean() == pytest.approx(0.53, abs=0.10)


# --- wind --------------------------------------------------------------------------------------


@pytest.mark.slow
def test_strong_wind_lowers_completion():
    """Published: goals per possession fall to 0.28 in severe wind (season lows, 2012, 2024), from
    0.40-0.60. 9 m/s from four sides at 25 m, the same luck as in the calm, n 600 each: fewer from
    every side, and 5 points on average (3 standard errors: no way to pass by chance beyond 1 in
    700)."""
    calm = float(rates((25.0,), n=200)["estimate"].iloc[0])
    winds = [Passing(wind=Wind(9.0, np.deg2rad(toward))) for toward in (0, 90, 180, 270)]
    windy = np.array([rates((25.0,), passing=p, n=200)["estimate"].iloc[0] for p in winds])
    assert (windy < calm).all(), windy
    assert calm - windy.mean() >= 0.05, windy


@pytest.mark.slow
def test_a_head_wind_lowers_completion_at_middle_distance():
    """Common practice: throwing into the wind is the hardest. The same at 20 m; n 600 each."""
    calm = float(rates((20.0,), n=200)["estimate"].iloc[0])
    against = Passing(wind=Wind(9.0, np.pi))
    assert float(rates((20.0,), passing=against, n=200)["estimate"].iloc[0]) < calm


# --- the mark ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("level", "points"), [("elite", 0.20), ("club", 0.35)])
def test_a_throw_past_the_mark_completes_far_less_than_the_same_throw_on_the_open_side(
    level, points
):
    """Common practice. 10 m at the bearing of the mark, and its mirror image on the open side; the
    thrower takes the better hand, low or over the top. n 450 each."""
    found = rates((10.0,), (MARK, -MARK), Passing(level), n=150)["estimate"]
    assert found[1] - found[0] >= points


def effective_sector(pivot: float) -> tuple[float, float]:
    """Degrees in which a mark stops (chance of 0.4 and more) and bothers (pressure of 0.1 and
    more) the better hand's throw, averaged over bites; 10 m throws, a mark at the usual place."""
    body = MarkBody()
    bearings = np.deg2rad(np.arange(-180.0, 180.0))
    aim = 10.0 * np.stack([np.sin(bearings), np.cos(bearings)], axis=-1)
    mark = np.broadcast_to(
        1.1 * np.array([np.sin(np.deg2rad(MARK)), np.cos(np.deg2rad(MARK))]), aim.shape
    )
    place = np.zeros_like(aim)
    time = np.full(len(aim), 0.35 - 0.22)  # wind-up less the mark's delay
    low_throw = np.zeros(len(aim), dtype=bool)
    stops, bothers = [], []
    for side in (1.0, -1.0):
        start = release_point(place, aim, np.full(len(aim), side), np.full(len(aim), pivot))
        stop, bother = 0.0, 0.0
        for bites, share in ((False, 1.0 - body.bite), (True, body.bite)):
            chest = slid(mark, start, aim, time, np.full(len(aim), bites), body)
            room = clearance(start, aim, chest, body)
            stop = stop + share * stop_chance(room, low_throw, body)
            bother = bother + share * pressure(room, body)
        stops.append(stop)
        bothers.append(bother)
    stop, bother = np.minimum(*stops), np.minimum(*bothers)
    return float((stop >= 0.4).sum()), float((bother >= 0.1).sum())


def test_a_mark_stops_about_ninety_degrees_of_a_thrower_who_does_not_pivot():
    """Common practice (published coaching newsletter, 2008-10): a good mark stops about 90 degrees
    and bothers 45-60 degrees more. Rough size: a thrower whose feet stay where they are."""
    stopped, bothered = effective_sector(pivot=0.0)
    assert 75.0 <= stopped <= 105.0
    assert bothered >= stopped + 45.0


@pytest.mark.xfail(
    strict=True,
    reason="an elite pivot of 0.9 m takes both hands past a mark that slides 0.26 m in the 0.13 s "
    "left of a wind-up after its delay: 7 degrees stopped, about 50 bothered",
)
def test_a_mark_stops_about_ninety_degrees_of_a_thrower_who_pivots():
    """The same rule of practice is said of throwers who do pivot."""
    stopped, bothered = effective_sector(pivot=0.9)
    assert 60.0 <= stopped <= 120.0
    assert bothered >= stopped + 30.0


# --- skill and the mirror ----------------------------------------------------------------------


@pytest.mark.slow
def test_a_skilled_roster_beats_a_club_and_a_club_beats_novices():
    """Published for goals per possession (0.60 elite club, 0.50 and 0.40 below); here both sides of
    the same level, passes of 15 m. n 900 each; intervals of 95 % apart: no way to pass by chance
    beyond 1 in 10,000."""
    done = []
    for level in LEVELS:
        done.append(rates((15.0,), passing=Passing(level), n=300).iloc[0])
    assert list(LEVELS) == ["elite", "club", "novice"]
    for better, worse in pairwise(done):
        assert better["low"] > worse["high"]


def test_left_handers_on_the_mirrored_ring_do_the_same_to_the_last_bit():
    """Forehand and backhand are mirror images in the left hand. n 40 a spot, counts equal."""
    one = by_throw((12.0,), (MARK, OPEN), n=40, seed=2)
    other = by_throw((12.0,), (-MARK, -OPEN), passing=Passing(hand=-1), n=40, seed=2)
    other["bearing_deg"] = -other["bearing_deg"]
    pd.testing.assert_frame_equal(one, other, check_exact=True)


@pytest.mark.slow
def test_an_evenly_skilled_thrower_does_as_well_with_either_hand():
    """Published: backhand and forehand equal in speed (Winograd & Engsberg). A forehand to the
    right past a forehand force, and a backhand to the left past a backhand force, both sides
    equally strong: 10 and 25 m, n 900 each, within 4 points (flights differ a little: the backhand
    spins more). False alarm below 1 in 50 for a true difference of 1 point."""
    even = (("weak_side", 1.0),)
    forehand = rates((10.0, 25.0), (OPEN,), Passing(changes=even))["estimate"]
    backhand = rates((10.0, 25.0), (-OPEN,), Passing(changes=even, force="backhand"))["estimate"]
    assert forehand.to_numpy() == pytest.approx(backhand.to_numpy(), abs=0.04)
