"""The rules of play, by their numbers in the WFDF Rules of Ultimate 2021-24."""

from __future__ import annotations

import pytest

from sim import play, rules
from sim.possession import Possession
from sim.state import FLYING
from tests.sim.plays import Still, begun, place, scene

MARKED = [(0.0, 20.0), (8.0, 20.0)], [(0.0, 21.1), (8.0, 21.5)]


def test_the_count_starts_at_one_and_the_disc_is_lost_at_the_start_of_ten() -> None:
    """9.1, 13.2.2: never sooner than 9 s after "one"."""
    model = Possession(scene(*MARKED, time_cap=30.0), Still(), Still())
    model.run()
    assert model.game.play.outcome == play.STALLED
    assert model.game.play.ended == pytest.approx(9.0, abs=0.051)


def test_a_slower_count_takes_as_much_longer() -> None:
    """9.1: the interval between two numbers is at least a second; nine of 1.5 s to "ten"."""
    model = Possession(scene(*MARKED, time_cap=30.0, pace=1.5), Still(), Still())
    model.run()
    assert model.game.play.outcome == play.STALLED
    assert model.game.play.ended == pytest.approx(13.5, abs=0.051)


def test_a_catch_out_of_bounds_is_lost_and_one_in_the_end_zone_a_goal() -> None:
    """2.3, 14.1."""
    for x, y, outcome in (
        (18.6, 40.0, play.OUT),
        (18.4, 40.0, play.COMPLETED),
        (0.0, 65.0, play.GOAL),
    ):
        g = begun(scene(*MARKED, until="throw")).games[0]
        g.play.phase, g.play.thrower, g.play.receiver, g.play.events = FLYING, 0, 1, 1
        place(g, 1, x, y)
        play._catch(g, 1, 0.5)
        assert g.play.outcome == outcome


def test_who_has_caught_the_disc_comes_to_a_stop() -> None:
    """11.2: as soon as possible. From 6 m/s at a grip of 8 m/s2 no less than 2.25 m, no more than 4."""
    g = begun(scene(*MARKED)).games[0]
    place(g, 0, 0.0, 20.0, -6.0, 0.0)
    for _ in range(40):
        play.advance(g)
    assert abs(float(g.players[0].vx)) < 0.05
    assert 2.25 <= -float(g.players[0].x) <= 4.0


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


def test_a_thrower_carried_over_the_goal_line_pivots_on_it() -> None:
    """14.2: caught in front of the line, the disc is brought back to the nearest point of it."""
    g = begun(scene(*MARKED)).games[0]
    place(g, 0, 4.0, 65.5, 0.0, 5.0)
    rules.stay_in(g)
    assert (g.players[0].x, g.players[0].y, g.players[0].vy) == (4.0, 64.0, 0.0)


def test_a_play_without_defenders_has_no_count() -> None:
    model = Possession(scene([(0.0, 20.0), (8.0, 20.0)], [], time_cap=3.0), Still(), Still())
    model.run()
    assert model.game.play.outcome == play.TIME_CAP
