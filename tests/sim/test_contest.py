"""Discs in the air: who goes, whose hand is first, and what hands do."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from sim import contest, play
from sim.ability import ability
from sim.contest import Touch
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


@pytest.mark.slow
def test_a_receiver_alone_catches_as_often_as_the_hands_hold() -> None:
    poor = dataclasses.replace(ability(), hands=0.7)
    assert share(play.COMPLETED) > 0.94
    assert share(play.COMPLETED, able=poor) == pytest.approx(0.7, abs=0.16)


@pytest.mark.slow
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


@pytest.mark.slow
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
        who, _, _ = contest._whose_hand(g, Touch(1, True, 0.5, 0.0, 25.0, 1.2, 1.2))
        rival += who == 3
    assert low < rival / 600 < high or (further > 0.0 and rival == 0)


@pytest.mark.slow
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
        bids += contest._who_lays_out(g, Touch(1, True, 0.0, 0.0, 25.0, 1.2, 1.2)) == 3
    assert low <= bids / 300 <= high


@pytest.mark.slow
def test_too_high_to_reach_is_not_caught() -> None:
    assert share(play.COMPLETED, 40, height=4.0) == 0.0


@pytest.mark.slow
def test_a_defender_in_the_line_blocks_and_one_far_behind_changes_nothing() -> None:
    def before(g) -> None:  # type: ignore[no-untyped-def]
        g.players[3].watch = 1
        place(g, 3, 0.0, 32.0)

    def behind(g) -> None:  # type: ignore[no-untyped-def]
        g.players[3].watch = 1
        place(g, 3, 0.0, 45.0)

    assert share(play.BLOCKED, 100, prepare=before) > 0.5
    assert share(play.BLOCKED, 100, prepare=behind) == 0.0


@pytest.mark.slow
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
    """The place chosen early in the flight is further from the flight than the one chosen late, and no
    thrower's friend knows it at once: some tenths of a metre, with a second still to fly."""
    early, late = [], []
    for r in range(80):
        g = in_flight(r)
        for age, kept in ((0.2, early), (1.0, late)):
            g.play.now = age
            contest.choose_meetings(g)
            kept.append(abs(float(g.players[1].meet_x)))
    assert np.mean(early) > 0.05
    assert np.mean(late) < 0.6 * np.mean(early)


def test_when_it_comes_down_is_a_guess_too() -> None:
    """Of the time still to fly: who misjudges it by a twentieth is late by a tenth of a second far off,
    and by next to nothing at hand."""
    early, late = [], []
    for r in range(80):
        g = in_flight(r)
        g.laws.eyes.flight_error = 0.0
        for age, kept in ((0.1, early), (1.0, late)):
            g.play.now = age
            contest.choose_meetings(g)
            me = g.players[1]
            kept.append(float(me.meet_at) - (float(me.meet_y) - 20.0) / 12.0)
    assert 0.02 < np.std(early) < 0.1
    assert np.std(late) < 0.6 * np.std(early)


def goes(g, q: int, x: float, y: float) -> bool:  # type: ignore[no-untyped-def]
    """Whether a defender who stands somewhere goes for the disc, misjudging nothing."""
    g.laws.eyes.flight_error = g.laws.eyes.flight_timing = 0.0
    place(g, q, x, y)
    contest.choose_meetings(g)
    return bool(g.players[q].plays)


def test_nobody_leaves_a_man_for_a_disc_that_the_receiver_has_first() -> None:
    """Common practice, no source: help comes before the receiver or not at all."""
    g = in_flight()
    assert g.players[2].watch == 0
    assert goes(g, 2, 1.0, 28.0)
    assert not goes(g, 2, 0.0, 42.0)


def test_a_receiver_meets_the_disc_in_the_field_however_late() -> None:
    """A disc caught out of bounds is lost (rule 2.3), so nobody waits for it there."""
    g = in_flight(speed=18.0)
    for k in range(25):
        g.knots[k, 0], g.knots[k, 1] = 1.8 * k, 35.0
    g.laws.eyes.flight_error = 0.0
    place(g, 1, 24.0, 35.0)
    contest.choose_meetings(g)
    assert g.players[1].meet_x < g.ground.half_width


def first_hands(other: float, n: int = 800) -> float:
    """How often the receiver's hand is first, a rival's being `other` m further from the disc."""
    g, first = in_flight(), 0
    place(g, 1, 0.8, 35.0)
    place(g, 3, -0.8 - other, 35.0)
    for q in (1, 3):
        g.before[q, 0], g.before[q, 1] = g.players[q].x, g.players[q].y
    g.play.now = 1.0
    touch = Touch(1, True, 0.5, 0.0, 35.0, 1.0, 1.0)
    for r in range(n):
        g.luck.low = r
        first += contest._whose_hand(g, touch)[0] == 1
    return first / n


def test_the_nearer_hand_is_first_as_often_as_its_lead_in_time_says() -> None:
    """Even hands are first half the time; of two whose times differ by a normal error, the one an sd
    ahead is first in 0.84 of cases (0.86 of a logistic one). False alarm 0.001 of 800."""
    sd = 0.06 * 6.0  # s, m/s: the setting times the speed of a hand
    assert first_hands(0.0) == pytest.approx(0.5, abs=0.058)
    assert first_hands(sd) == pytest.approx(0.85, abs=0.05)


def test_a_catch_at_full_stretch_is_held_less_often() -> None:
    """Common practice, no source; not held, it flies on, since fingertips hardly stop it."""
    g = in_flight()
    held = {True: 0, False: 0}
    for r in range(600):
        g.luck.low = r
        for easily in held:
            held[easily] += contest._hold(g, 1, easily, False, 1.2) == contest.CAUGHT
    assert held[False] < 0.9 * held[True]


@pytest.mark.parametrize(
    ("speed", "lays_out"), [(6.0, True), (1.0, False), (-6.0, False)], ids=["at", "walking", "away"]
)
def test_only_a_defender_on_the_run_to_the_disc_lays_out(speed: float, lays_out: bool) -> None:
    """Common practice, no source: a bid is a run at the disc, not a fall from a stand."""
    g = in_flight()
    g.play.now, g.players[3].plays = 1.0, 1
    place(g, 3, 1.2, 35.0, -speed, 0.0)
    g.before[3, 0], g.before[3, 1] = 1.2, 35.0
    bids = 0
    for r in range(200):
        g.luck.low = r
        bids += contest._who_lays_out(g, Touch(1, True, 1.0, 0.0, 35.0, 1.2, 1.2)) == 3
    assert (bids > 20) == lays_out and (lays_out or bids == 0)


def test_nobody_touches_a_disc_before_a_simple_reaction_to_its_release() -> None:
    """0.213 s at the least (Woods 2015, published): 2 m from the hand a disc at 12 m/s has passed."""

    def in_the_way(g) -> None:  # type: ignore[no-untyped-def]
        place(g, 3, 0.0, 21.6)

    assert share(play.BLOCKED, 20, prepare=in_the_way) == 0.0


def test_reach_is_an_arm_low_and_nothing_above_the_jump() -> None:
    body = ability(arm=0.75, standing_reach=2.25, jump=0.5, dive=1.1)
    assert contest.easy_reach(1.0, 0.75, 2.25, 1.3) == 0.75
    assert contest.easy_reach(2.25, 0.75, 2.25, 1.3) == 0.0
    assert contest.full_reach(1.0, body, 1.3) == pytest.approx(1.85)
    assert contest.full_reach(2.6, body, 1.3) > 0.0
    assert contest.full_reach(2.8, body, 1.3) == 0.0
    reaches = [contest.full_reach(h, body, 1.3) for h in (1.3, 1.8, 2.3, 2.7)]
    assert reaches == sorted(reaches, reverse=True)


def lateness(slot: int, aside: float) -> tuple[float, bool]:
    """How late a defender so far to the side of the flight is, s, and whether that one goes for it."""
    g = in_flight()
    for q in (2, 3):
        place(g, q, 60.0, 20.0)
        g.players[q].judge_x = g.players[q].judge_y = g.players[q].judge_t = 0.0
    place(g, slot, aside, 40.0 if slot == 3 else 28.0)
    contest.choose_meetings(g)
    plays = bool(g.players[slot].plays)
    before = 1e9 if g.players[slot].watch == 1 else float(g.players[1].meet_at)
    return float(contest._best_meeting(g, slot, False, before)), plays


def test_a_cover_a_little_late_goes_all_the_same_and_nobody_else_does() -> None:
    """Common practice, no source: the receiver's own (slot 3) goes, others keep with their men."""
    own = [lateness(3, 0.25 * k) for k in range(8, 120)]
    other = [lateness(2, 0.25 * k) for k in range(8, 120)]
    a_little = [plays for late, plays in own if 0.02 < late < 0.28]
    assert a_little
    assert all(a_little)
    assert not any(plays for late, plays in own if late > 0.3)
    assert [late for late, _ in other if 0.02 < late < 0.28] and any(p for _, p in other)
    assert not any(plays for late, plays in other if late > 0.02)
