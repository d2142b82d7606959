"""The mark's hands: where they reach, how late they follow, and what they stop."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim import marking, play, throwing
from sim.flight import load_table
from sim.intent import BACKHAND, FOREHAND
from sim.laws import MarkBody
from tests.sim.plays import begun, place, scene

LAW = MarkBody()
PAIR = [(0.0, 20.0), (0.0, 32.0)], [(0.0, 21.1), (3.0, 33.0)]


def gap(x: float, y: float, z: float = 1.0, lean: float = 0.0) -> float:
    """The gap of a point from the hands of a mark straight in front of the thrower."""
    return marking.gap_to_hands(x, y, z, 0.0, 1.0, lean, LAW.low_hand, LAW.high_hand)


def test_the_hands_cover_a_strip_from_hip_to_shoulder() -> None:
    assert gap(0.0, 0.0) == gap(0.44, 0.0) == 0.0
    assert gap(0.75, 0.0) == pytest.approx(0.30)
    assert gap(0.0, 0.0, 2.0) == pytest.approx(0.3), "over the hands"
    assert gap(0.0, 0.0, 0.2) == pytest.approx(0.3), "under them"
    assert gap(0.75, 0.0, lean=0.3) == 0.0 and gap(-0.75, 0.0, lean=0.3) > 0.5
    assert gap(0.0, -1.0) == pytest.approx(0.75), "before the disc comes to the mark"


def test_stops_and_bothers_the_less_the_further_off() -> None:
    gaps = [0.0, 0.05, 0.1, 0.2, 0.4, 0.6]
    for measure in (marking.stop_chance, marking.pressure):
        values = [measure(g, LAW) for g in gaps]
        assert values == sorted(values, reverse=True) and values[-1] == 0.0
    assert marking.stop_chance(0.0, LAW) == LAW.stop


def test_the_arms_follow_the_disc_late() -> None:
    arena = begun(scene(*PAIR))
    g = arena.games[0]
    g.play.mark = 2
    leans = []
    g.play.reach_x, g.play.reach_y = 0.8, 0.0
    for _ in range(16):
        play.perception.remember(g)
        throwing.bring_out(g)
        marking.stretch(g)
        g.play.tick += 1
        leans.append(float(g.players[2].lean))
    late = sum(value == 0.0 for value in leans)
    assert late * g.ground.tick >= g.players[2].tracking - 0.05
    assert leans[-1] > 0.3, "to the right of the line from the thrower"


def follow(g, seconds: float) -> list[float]:  # type: ignore[no-untyped-def]
    """How far the mark's arms are carried, tick by tick, the disc staying where it is held."""
    leans = []
    for _ in range(round(seconds / g.ground.tick)):
        play.perception.remember(g)
        marking.stretch(g)
        g.play.tick += 1
        g.play.now += g.ground.tick
        leans.append(float(g.players[2].lean))
    return leans


def test_the_arms_are_no_faster_than_a_lunge() -> None:
    """However fast the disc: half a metre at 3 m/s (a hand and a step; judgement) takes a sixth of a
    second, no tick more than its share."""
    g = begun(scene(*PAIR)).games[0]
    g.play.mark, g.play.hand_x = 2, 0.8
    steps = np.diff([0.0, *follow(g, 1.0)])
    assert steps.max() <= 3.0 * g.ground.tick + 1e-9
    assert 0.4 < steps.sum() < 0.75


def test_a_mark_that_has_bitten_is_out_of_it_longer_than_one_that_has_only_followed() -> None:
    """Common practice, no source: a fake that is taken holds the arm out for a third of a second and
    more after the disc is back."""
    out = {}
    for bite in (0.0, 1.0):
        g = begun(scene(*PAIR)).games[0]
        g.laws.mark.bite = bite
        g.play.mark, g.play.hand_x = 2, 0.7
        followed = follow(g, 0.3)
        marking.meet_fake(g)
        g.play.hand_x = 0.0
        back = [*followed, *follow(g, 1.5)][len(followed) :]
        assert abs(back[-1]) < 0.05, "and comes back"
        out[bite] = sum(lean > 0.3 for lean in back) * g.ground.tick
    assert out[1.0] > out[0.0] + 0.3


def sector(angle: float, level_pivot: float = 0.9, hand: int = 1) -> tuple[float, float]:
    """Degrees that a mark at a bearing (deg) stops more often than not, and bothers besides.

    The thrower brings the disc out and throws to every bearing from the better side; the mark's
    arms follow what they see.
    """
    stopped = bothered = 0
    for bearing in range(-180, 180, 3):
        best = -1.0
        for kind in (BACKHAND, FOREHAND):
            arena = begun(scene(*PAIR))
            g = arena.games[0]
            place(
                g, 2, 1.1 * math.sin(math.radians(angle)), 20 + 1.1 * math.cos(math.radians(angle))
            )
            g.play.mark, g.play.thrower, g.play.kind, g.play.curve = 2, 0, kind, 0
            g.play.height, g.body[0].pivot, g.body[0].hand = 1.0, level_pivot, hand
            b = math.radians(bearing)
            g.play.aim_x, g.play.aim_y = 10 * math.sin(b), 20 + 10 * math.cos(b)
            side = throwing.side_of(hand, kind)
            off = throwing.release_offset(0.0, 20.0, g.play.aim_x, g.play.aim_y, side, level_pivot)
            g.play.reach_x, g.play.reach_y = off
            wind_up = max(0.35, math.hypot(*off) / g.laws.release.pivot_speed)
            for _ in range(round(wind_up / g.ground.tick)):
                play.perception.remember(g)
                throwing.bring_out(g)
                marking.stretch(g)
                g.play.tick += 1
            throwing._fly(g, load_table(), throwing.meant(g), throwing.WITHOUT_ERRORS)
            best = max(best, marking.clearance(g))
        stopped += 3 * (marking.stop_chance(best, LAW) > 0.5)
        bothered += 3 * (marking.stop_chance(best, LAW) <= 0.5 and marking.pressure(best, LAW) > 0)
    return float(stopped), float(bothered)


def test_a_mark_stops_and_bothers_a_thrower_who_cannot_pivot_as_common_practice_has_it() -> None:
    """About 90 degrees stopped and 45-60 more bothered (coaching newsletter, 2008-10), within 30."""
    stopped, bothered = sector(0.0, level_pivot=0.15)
    assert 60.0 <= stopped <= 120.0
    assert 15.0 <= bothered <= 90.0


def test_a_pivot_opens_what_the_mark_had_closed() -> None:
    stopped, _ = sector(0.0, level_pivot=0.15)
    with_pivot, _ = sector(0.0, level_pivot=0.9)
    assert with_pivot < stopped


def test_a_fake_that_is_bitten_on_holds_the_arm_out_for_a_while() -> None:
    bitten = 0
    for rehearsal in range(200):
        arena = begun(scene(*PAIR), rehearsal=rehearsal)
        g = arena.games[0]
        g.play.mark, g.play.hand_x = 2, 0.7
        marking.meet_fake(g)
        if g.players[2].lunge_until > g.play.now:
            bitten += 1
            assert g.players[2].lunge_to > 0.0, "toward the disc that was shown"
    assert 0.3 * 200 - 28 < bitten < 0.3 * 200 + 28, "binomial, false alarm below 0.001"
