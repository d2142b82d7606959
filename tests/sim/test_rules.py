"""The rules of play, by their numbers in the WFDF Rules of Ultimate 2021-24."""

from __future__ import annotations

import pytest

from sim import play, rules
from sim.possession import Possession
from tests.sim.plays import Still, begun, place, scene

MARKED = [(0.0, 20.0), (8.0, 20.0)], [(0.0, 21.1), (8.0, 21.5)]


def test_the_count_starts_at_one_and_the_disc_is_lost_at_the_start_of_ten() -> None:
    """9.1, 13.2.2: never sooner than 9 s after "one"."""
    model = Possession(scene(*MARKED, time_cap=30.0), Still(), Still())
    model.run()
    assert model.game.play.outcome == play.STALLED
    assert model.game.play.ended == pytest.approx(9.0, abs=0.051)


def test_a_play_starts_at_the_count_of_its_file() -> None:
    g = begun(scene(*MARKED, stall=4.0)).games[0]
    assert rules.count_of(g) == 4.0
    rules.run_count(g)
    assert rules.count_of(g) == 4.0, "the first marker does not restart it"


def test_only_within_three_metres_and_a_new_marker_starts_again() -> None:
    """9.3, 9.4."""
    g = begun(scene(*MARKED, stall=4.0)).games[0]
    rules.run_count(g)
    g.play.now = 2.0
    place(g, 2, 0.0, 23.5)
    rules.run_count(g)
    assert rules.count_of(g) == 0.0, "beyond 3 m nobody counts"
    place(g, 2, 0.0, 22.0)
    rules.run_count(g)
    assert rules.count_of(g) == 1.0
    g.play.now = 4.0
    assert rules.count_of(g) == 3.0
    g.players[2].watch, g.players[3].watch = -1, 0
    place(g, 3, 0.5, 21.0)
    rules.run_count(g)
    assert g.play.mark == 3 and rules.count_of(g) == 1.0


def test_a_marker_who_stays_is_not_replaced_by_one_who_comes_nearer() -> None:
    g = begun(scene(*MARKED, stall=4.0)).games[0]
    rules.run_count(g)
    g.players[3].watch = 0
    place(g, 3, 0.0, 20.8)
    rules.run_count(g)
    assert g.play.mark == 2


def test_lines() -> None:
    """2.3, 2.4, 14.1: lines are out, the goal line belongs to the central zone."""
    g = begun(scene(*MARKED)).games[0]
    assert rules.inside(g, 18.49, 0.0) and not rules.inside(g, 18.5, 0.0)
    assert not rules.inside(g, 0.0, 82.0) and not rules.inside(g, 0.0, -18.0)
    assert rules.in_end_zone(g, 0.0, 64.01) and not rules.in_end_zone(g, 0.0, 64.0)
    assert not rules.in_end_zone(g, 18.5, 70.0)


def test_a_thrower_carried_out_pivots_where_the_line_was_crossed() -> None:
    """11.3.2.1."""
    g = begun(scene(*MARKED)).games[0]
    place(g, 0, 18.9, 20.0, 5.0, 0.0)
    rules.stay_in(g)
    assert (g.players[0].x, g.players[0].vx) == (18.5, 0.0)


def test_a_play_without_defenders_has_no_count() -> None:
    model = Possession(scene([(0.0, 20.0), (8.0, 20.0)], [], time_cap=3.0), Still(), Still())
    model.run()
    assert model.game.play.outcome == play.TIME_CAP
