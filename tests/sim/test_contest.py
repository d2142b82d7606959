"""Discs in the air: who goes, whose hand is first, and what hands do."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sim import contest, play
from sim.ability import ability
from sim.state import FLYING
from tests.sim.plays import begun, place, scene

THREE = [(0.0, 20.0), (0.0, 35.0)], [(15.0, 20.0), (15.0, 35.0)]


def in_flight(rehearsal: int = 0, height: float = 1.2, speed: float = 12.0, **more):  # type: ignore[no-untyped-def]
    """A disc level at a height from the thrower straight at the receiver, just released."""
    arena = begun(scene(*THREE, **more), rehearsal=rehearsal)
    g = arena.games[0]
    g.play.phase, g.play.thrower, g.play.receiver, g.play.throws = FLYING, 0, 1, 1
    g.play.release_at, g.play.knot_step = 0.0, 0.1
    for k in range(25):
        g.knots[k, 0], g.knots[k, 1], g.knots[k, 2] = 0.0, 20.0 + speed * 0.1 * k, height
    contest.read_flight(g)
    return g


def outcome(g) -> int:  # type: ignore[no-untyped-def]
    """Play the flight to its end; the outcome."""
    while g.play.phase == FLYING:
        play.see(g)
        play.go_on(g, None)
        play.advance(g)
    return int(g.play.outcome)


def share(what: int, n: int = 120, **more) -> float:  # type: ignore[no-untyped-def]
    """How often a flight ends in an outcome."""
    prepare = more.pop("prepare", lambda g: None)
    count = 0
    for r in range(n):
        g = in_flight(r, **more)
        prepare(g)
        count += outcome(g) == what
    return count / n


def test_a_receiver_alone_catches_as_often_as_the_hands_hold() -> None:
    poor = dataclasses.replace(ability(), hands=0.7)
    assert share(play.COMPLETED) > 0.94
    assert share(play.COMPLETED, able=poor) == pytest.approx(0.7, abs=0.16)


def test_low_discs_and_crowds_are_harder() -> None:
    """Over the same luck a hand never holds a low or crowded disc that it would drop otherwise."""
    held = {"chest": 0, "knee": 0, "crowd": 0}
    for r in range(1500):
        g = in_flight(r)
        held["chest"] += contest._hold(g, 1, True, False, 1.2) == contest.CAUGHT
        held["knee"] += contest._hold(g, 1, True, False, 0.4) == contest.CAUGHT
        held["crowd"] += contest._hold(g, 1, True, True, 1.2) == contest.CAUGHT
    assert held["knee"] < 0.96 * held["chest"]
    assert held["crowd"] < 0.97 * held["chest"]


@pytest.mark.parametrize(("further", "low", "high"), [(0.0, 0.4, 0.6), (0.6, 0.0, 0.1)])
def test_of_two_hands_at_once_each_is_first_half_of_the_time(
    further: float, low: float, high: float
) -> None:
    """One at 0.7 m to the left of the disc, the rival as far to the right, or further; n 600, five
    standard errors."""
    rival = 0
    for r in range(600):
        g = in_flight(r)
        for q, x in ((1, -0.7), (3, 0.7 + further)):
            place(g, q, x, 25.0)
            g.before[q, 0], g.before[q, 1] = x, 25.0
            g.players[q].notice_at = -1.0
        who, _, _ = contest._whose_hand(g, 1, True, 0.5, 0.0, 24.7, 0.0, 25.3, 1.2)
        rival += who == 3
    assert low < rival / 600 < high or (further > 0.0 and rival == 0)


@pytest.mark.parametrize(
    ("short", "speed", "low", "high"),
    [(0.2, 6.0, 0.3, 1.0), (0.9, 6.0, 0.02, 0.3), (0.2, 0.0, 0.0, 0.0), (0.2, -6.0, 0.0, 0.0)],
)
def test_a_defender_at_a_run_lays_out_for_a_catch_just_out_of_reach(
    short: float, speed: float, low: float, high: float
) -> None:
    """The nearer the surer; nobody from a standstill or running the other way."""
    bids = 0
    for r in range(300):
        g = in_flight(r)
        place(g, 3, 0.0, 25.0 - g.body[3].arm - short, 0.0, speed)
        g.before[3, 0], g.before[3, 1] = g.players[3].x, g.players[3].y
        g.players[3].plays, g.players[3].notice_at = 1, -1.0
        bids += contest._who_lays_out(g, 0.0, 0.0, 25.0) == 3
    assert low <= bids / 300 <= high


def test_too_high_to_reach_is_not_caught() -> None:
    assert share(play.COMPLETED, 40, height=4.0) == 0.0


def test_a_defender_in_the_line_blocks_and_one_far_behind_changes_nothing() -> None:
    def before(g) -> None:  # type: ignore[no-untyped-def]
        g.players[3].watch = 1
        place(g, 3, 0.0, 32.0)

    def behind(g) -> None:  # type: ignore[no-untyped-def]
        g.players[3].watch = 1
        place(g, 3, 0.0, 45.0)

    assert share(play.BLOCKED, 100, prepare=before) > 0.5
    assert share(play.BLOCKED, 100, prepare=behind) == 0.0


def test_eyes_on_the_man_alone_see_the_throw_late() -> None:
    def guard(eyes: int):  # type: ignore[no-untyped-def]
        def set_it(g) -> None:  # type: ignore[no-untyped-def]
            g.players[3].watch, g.players[3].eyes = 1, eyes
            place(g, 3, 1.6, 31.5)
            contest.read_flight(g)

        return set_it

    both = share(play.BLOCKED, 100, prepare=guard(0), speed=14.0)
    man = share(play.BLOCKED, 100, prepare=guard(1), speed=14.0)
    assert man < both


def test_where_it_comes_down_is_a_guess_that_sharpens() -> None:
    """The place chosen early in the flight is further from the flight than the one chosen late."""
    early, late = [], []
    for r in range(80):
        g = in_flight(r)
        for age, kept in ((0.2, early), (1.0, late)):
            g.play.now = age
            contest.choose_meetings(g)
            kept.append(abs(float(g.players[1].meet_x)))
    assert np.mean(late) < 0.6 * np.mean(early)
    assert np.mean(early) > 0.0, "nobody knows it at once"


def test_reach_is_an_arm_low_and_nothing_above_the_jump() -> None:
    assert contest.easy_reach(1.0, 0.75, 2.25, 1.3) == 0.75
    assert contest.easy_reach(2.25, 0.75, 2.25, 1.3) == 0.0
    assert contest.full_reach(1.0, 0.75, 2.25, 0.5, 1.1, 1.3) == pytest.approx(1.85)
    assert contest.full_reach(2.6, 0.75, 2.25, 0.5, 1.1, 1.3) > 0.0
    assert contest.full_reach(2.8, 0.75, 2.25, 0.5, 1.1, 1.3) == 0.0
    reaches = [contest.full_reach(h, 0.75, 2.25, 0.5, 1.1, 1.3) for h in (1.3, 1.8, 2.3, 2.7)]
    assert reaches == sorted(reaches, reverse=True)
