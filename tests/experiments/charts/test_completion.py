"""Completion by distance and by bearing: numbers at their places, at both sizes, and the ring."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from experiments.charts.completion import LOOKS, completion_by_bearing, completion_by_distance
from experiments.charts.style import Style
from experiments.studies.completion import DISC, RUNS, Passes, Passing, by_throw, pass_scene
from sim.flight.lookup import duration, load_table
from sim.record import OUTCOMES
from tests.experiments.looking import by_gid, cut_off, overlapping, points, smallest_text, words
from tests.experiments.results import SITUATION

STYLES = [Style(), Style(size="clinic"), Style(units="yd")]


def rows(distances: list[float], bearings: list[float]) -> pd.DataFrame:
    """Invented completion over a ring."""
    found = [
        {"distance_m": d, "bearing_deg": b, "run": run, "estimate": 0.95 - d / 100 - 0.1 * k}
        for d in distances
        for b in bearings
        for k, run in enumerate(RUNS)
    ]
    frame = pd.DataFrame(found)
    return frame.assign(low=frame["estimate"] - 0.03, high=frame["estimate"] + 0.02, n=200)


FOUND = Passes(
    SITUATION,
    Passing("club", "elite"),
    rows([5.0, 20.0, 40.0], [20.0]),
    rows([10.0], [-180.0, -90.0, 0.0, 90.0, 180.0]),
)


def drawn(style: Style) -> list:
    return [draw(FOUND, style=style) for draw in (completion_by_distance, completion_by_bearing)]


@pytest.mark.parametrize("style", STYLES, ids=["page", "clinic", "yards"])
def test_nothing_overlaps_is_cut_or_too_small(style):
    for ax in drawn(style):
        assert overlapping(ax.figure) == []
        assert cut_off(ax.figure) == []
        assert smallest_text(ax.figure) >= style.sizes.text


def test_each_run_is_a_line_of_its_numbers_with_its_intervals():
    frame = FOUND.by_distance
    ax = completion_by_distance(FOUND, style=Style(units="yd"))
    for run in RUNS:
        own = frame[frame["run"] == run]
        np.testing.assert_allclose(points(ax, f"curve {run}")[:, 0], own["distance_m"] / 0.9144)
        np.testing.assert_allclose(points(ax, f"curve {run}")[:, 1], own["estimate"])
        (band,) = by_gid(ax, f"band {run}")
        heights = band.get_paths()[0].vertices[:, 1]
        assert (heights.min(), heights.max()) == pytest.approx(
            (own["low"].min(), own["high"].max())
        )
    assert "yards" in words(ax.figure)


def test_runs_can_be_told_apart_without_colour():
    for trait in ("marker", "linestyle"):
        assert len({look[trait] for look in LOOKS.values()}) == len(RUNS)


def test_the_mark_and_what_it_stops_are_where_they_are():
    _, ax = drawn(Style())
    (covered,) = by_gid(ax, "covered")
    low, high = FOUND.passing.covered
    assert covered.get_x() == low
    assert covered.get_width() == pytest.approx(high - low)
    (mark,) = by_gid(ax, "mark")
    assert mark.get_xdata()[0] == FOUND.passing.mark_bearing


# --- the numbers behind it ---------------------------------------------------------------------


@pytest.mark.parametrize("run", RUNS)
@pytest.mark.parametrize("bearing", [0.0, 130.0, -60.0])
def test_the_run_leads_through_the_spot_when_a_disc_would_be_there(run, bearing):
    """By hand for the elite: 8.8 m/s, 1.15 s; 0.8 s to see it, 0.35 s of wind-up, the flight."""
    scene, _ = pass_scene(36.0, bearing, run)
    spot = np.array(DISC) + 36.0 * np.array(
        [np.sin(np.radians(bearing)), np.cos(np.radians(bearing))]
    )
    time = 0.8 + 0.35 + duration(load_table(), 0, 0, 36.0, 0.0, 0.0)
    way = spot - np.array(scene.attackers[1].at)
    assert np.hypot(*way) == pytest.approx(8.8 * (time - 1.15 * (1 - np.exp(-time / 1.15))))
    outward = (spot - np.array(DISC)) / 36.0
    along = float(way @ outward) / np.hypot(*way)
    expected = {"back": -1.0, "away": 1.0}.get(run, 0.0)
    assert along == pytest.approx(expected, abs=1e-9)
    if expected == 0.0:
        assert np.sign(way[0]) == (1.0 if run == "to the open side" else -1.0)


def test_a_row_of_the_ring_counts_every_rehearsal_and_aims_at_the_spot():
    frame = by_throw((12.0, 36.0), (20.0,), ("back", "away"), n=25)
    assert frame[["distance_m", "run"]].to_numpy().tolist() == [
        [12.0, "back"],
        [36.0, "back"],
        [36.0, "away"],  # a nearer run away would begin beside the thrower
    ]
    assert (frame[list(OUTCOMES)].sum(axis=1) == 25).all()
    assert (frame["thrown"] == 25).all()
    assert (frame["estimate"] * 25).to_numpy() == pytest.approx(
        (frame["completed"] + frame["goal"]).to_numpy()
    )
    assert ((frame["low"] <= frame["estimate"]) & (frame["estimate"] <= frame["high"])).all()


def test_the_mark_covers_the_side_the_force_takes_away():
    low, high = Passing().covered
    assert low < -40.0 < high
    assert Passing(hand=-1).covered == (-high, -low)
    assert Passing(force="backhand").covered == (-high, -low)


def test_words_that_are_not_known_are_refused():
    with pytest.raises(ValueError, match="shape is 'bent'"):
        Passing(shape="bent")
    with pytest.raises(ValueError, match="run is 'up'"):
        pass_scene(10.0, 0.0, "up")
