"""The contest: whose hand can be there, whose is first, and that nobody lowers a catch for free."""

from __future__ import annotations

import dataclasses

import numpy as np
import pandas as pd
import pytest
from sim.world import FLYING, KNOTS, World

from sim.ability import LEVELS
from sim.contest import (
    BLOCKED,
    CAUGHT,
    DROPPED,
    Hands,
    Verdict,
    chase,
    choose_meetings,
    easy_reach,
    full_reach,
    resolve,
)
from sim.scene import Scene
from tests.sim.rig import Script, fits, lay_out, player, possession, sure, world_of

HANDS = Hands()
N = 4000
ARM = 0.75


# --- how far a hand reaches --------------------------------------------------------------------


def reaches(height: float, level: str = "elite") -> tuple[float, float]:
    able = LEVELS[level]
    easy = easy_reach(np.array(height), np.array(able.arm), np.array(able.standing_reach))
    full = full_reach(
        np.array(height),
        np.array(able.arm),
        np.array(able.standing_reach),
        np.array(able.jump),
        np.array(able.dive),
    )
    return float(easy), float(full)


def test_reach_by_height_by_hand():
    """Elite: arm 0.75, standing reach 2.25, jump 0.50, dive 1.1 m; shoulder at 1.3 m."""
    assert reaches(1.0) == pytest.approx((0.75, 0.75 + 1.1))  # laid out below the shoulder
    assert reaches(1.3)[0] == pytest.approx(0.75)
    half = 1.3 + 0.5 * (2.25 - 1.3)  # half way up: a quarter circle of arm
    assert reaches(half)[0] == pytest.approx(0.75 * np.sqrt(0.75))
    assert reaches(2.25) == pytest.approx((0.0, 0.75 * np.sqrt(1 - (0.95 / 1.45) ** 2)))
    assert reaches(2.75) == (0.0, 0.0)
    assert reaches(4.0) == (0.0, 0.0)


@pytest.mark.parametrize("level", LEVELS)
def test_reach_only_falls_with_height_and_a_jump_or_a_dive_only_adds(level):
    height = np.linspace(0.0, 3.5, 351)
    found = np.array([reaches(h, level) for h in height])
    assert (np.diff(found, axis=0) <= 1e-12).all()
    assert (found[:, 1] >= found[:, 0]).all()
    able = LEVELS[level]
    assert (found[height >= able.standing_reach + able.jump] == 0.0).all()
    assert (found[height < able.standing_reach, 0] > 0.0).all()


def test_better_levels_reach_further_at_every_height():
    for height in np.linspace(0.2, 2.4, 12):
        elite, club, novice = (reaches(height, level)[1] for level in ("elite", "club", "novice"))
        assert elite > club > novice or elite == club == novice == 0.0


# --- one disc, two players, one tick -----------------------------------------------------------


def passing_disc(
    n: int,
    receiver: tuple[float, float],
    defender: tuple[float, float],
    *,
    height: float = 1.2,
    velocity: dict[int, tuple[float, float]] | None = None,
    catcher: dict[str, float] | None = None,
) -> tuple[World, Scene]:
    """The disc flies 0.5 m up the y axis in one tick, past players who stand still."""
    scene = lay_out(
        [player("thrower", (0.0, 0.0)), player("receiver", receiver, sure(**(catcher or {})))],
        [player("defender", defender, role="defender", guards=1)],
    )
    world = world_of(scene, n)
    world.phase[:], world.thrower[:], world.receiver[:], world.throws[:] = FLYING, 0, 1, 1
    world.pos += [0.0, 20.0]
    for slot, speed in (velocity or {}).items():
        world.vel[:, slot] = speed
    return world, scene


def judge(world: World, scene: Scene, height: float = 1.2, hands: Hands = HANDS) -> Verdict:
    n = len(world)
    ends = [np.tile([0.0, 20.0 + y, height], (n, 1)) for y in (10.0, 10.5)]
    return resolve(
        world, scene, hands, np.arange(n), world.pos.copy(), *ends, np.full(n, 1.0)
    )  # fmt: skip


def test_two_hands_that_arrive_together_share_the_disc_half_and_half():
    """N 4000, false alarm below 1e-6; with `touch` at 1 the first hand of a defender stops it."""
    world, scene = passing_disc(N, (0.4, 10.3), (-0.4, 10.3))
    verdict = judge(world, scene, hands=dataclasses.replace(HANDS, touch=1.0, crowd=0.0))
    assert len(verdict.rows) == N
    assert fits(int((verdict.what == BLOCKED).sum()), N, 0.5)
    assert set(verdict.what) == {CAUGHT, BLOCKED}
    assert (verdict.who == np.where(verdict.what == CAUGHT, 1, 2)).all()


@pytest.mark.parametrize("late", [0.02, 0.05, 0.08])
def test_a_hand_that_comes_later_is_first_as_rarely_as_the_logistic_says(late):
    """Logistic in time with the sd of `timing`, the form of Spearman 2017. N 4000, alarm 1e-6."""
    further = late * HANDS.closing
    world, scene = passing_disc(N, (ARM, 10.25), (-ARM - further, 10.25))
    verdict = judge(world, scene, hands=dataclasses.replace(HANDS, touch_stretched=1.0, touch=1.0))
    rate = 1.0 / (1.0 + np.exp(np.pi * late / (np.sqrt(3.0) * HANDS.timing)))
    assert fits(int((verdict.who == 2).sum()), N, rate)


def test_a_defender_whose_hand_is_first_blocks_and_else_the_disc_flies_on():
    """`touch` of the time (N 4000, false alarm below 1e-6), the receiver far from it meanwhile."""
    world, scene = passing_disc(N, (0.0, 16.0), (0.3, 10.3))
    verdict = judge(world, scene)
    assert (verdict.what == BLOCKED).all()
    assert (verdict.who == 2).all()
    assert fits(len(verdict.rows), N, HANDS.touch)
    assert world.tried[:, 2].all()  # also those who missed it: nobody tries twice
    assert not len(judge(world, scene).rows)


def test_a_rival_further_than_room_from_a_touch_changes_nothing():
    alone, scene = passing_disc(N, (0.3, 10.3), (9.0, 0.0), catcher={"hands": 0.9})
    beyond = -ARM - HANDS.rival_room - 0.01
    with_him, other = passing_disc(N, (0.3, 10.3), (beyond, 10.3), catcher={"hands": 0.9})
    one, two = judge(alone, scene), judge(with_him, other)
    assert (one.rows == two.rows).all()
    assert (one.what == two.what).all()
    assert (one.who == two.who).all()


def test_hands_hold_as_often_as_they_are_said_to():
    """Easy, and laid out on the run; N 4000, false alarm below 1e-6 each."""
    world, scene = passing_disc(N, (0.3, 10.3), (9.0, 0.0), catcher={"hands": 0.9})
    assert fits(int((judge(world, scene).what == CAUGHT).sum()), N, 0.9)
    catcher = {"stretch_hands": 0.6}
    world, scene = passing_disc(
        N, (ARM + 0.6, 10.3), (9.0, 0.0), catcher=catcher, velocity={1: (-6.0, 0.0)}
    )
    verdict = judge(world, scene)
    assert fits(int((verdict.what == CAUGHT).sum()), N, 0.6)
    assert ((verdict.what == CAUGHT) | (verdict.what == DROPPED)).all()


def test_a_rivals_hand_at_the_disc_costs_some_catches():
    """`crowd` of them; N 4000, false alarm below 1e-6."""
    never = dataclasses.replace(HANDS, touch=0.0, touch_stretched=0.0, timing=0.01)
    world, scene = passing_disc(N, (0.5, 10.0), (-ARM - 0.1, 10.0))
    verdict = judge(world, scene, hands=never)
    caught, all_of_his = int((verdict.what == CAUGHT).sum()), int((verdict.who == 1).sum())
    assert all_of_his > 0.9 * N
    assert fits(caught, all_of_his, 1.0 - HANDS.crowd)


def test_nobody_lays_out_from_a_standstill():
    for speed, tries in ((0.0, False), (HANDS.run_up - 0.1, False), (HANDS.run_up + 0.1, True)):
        world, scene = passing_disc(5, (ARM + 0.6, 10.3), (9.0, 0.0), velocity={1: (-speed, 0.0)})
        assert bool(len(judge(world, scene).rows)) == tries


def test_a_disc_over_everybody_flies_on():
    world, scene = passing_disc(5, (0.1, 10.3), (-0.1, 10.3))
    assert not len(judge(world, scene, height=2.8).rows)


def test_the_thrower_may_not_catch_the_own_throw_and_a_late_eye_sees_nothing():
    world, scene = passing_disc(5, (9.0, 0.0), (9.0, 1.0))
    world.pos[:, 0] = [0.0, 30.3]
    assert not len(judge(world, scene).rows)
    world, scene = passing_disc(5, (0.3, 10.3), (9.0, 0.0))
    n, ends = 5, [np.tile([0.0, 20.0 + y, 1.2], (5, 1)) for y in (10.0, 10.5)]
    early = resolve(world, scene, HANDS, np.arange(n), world.pos, *ends, np.full(n, 0.1))
    assert not len(early.rows)  # 0.1 s is less than anybody needs to see it


# --- where to meet it --------------------------------------------------------------------------


def test_everyone_takes_the_soonest_point_that_can_be_reached_in_time():
    """A disc at 10 m/s over 30 m, 25 knots: checked against every knot by the sprint law's own."""
    scene = lay_out(
        [player("thrower", (0.0, 0.0)), player("receiver", (6.0, 22.0))],
        [player("beside", (1.0, 15.0), role="defender"), player("far", (-15.0, 15.0))],
    )
    world = world_of(scene)
    world.phase[:], world.thrower[:], world.receiver[:] = FLYING, 0, 1
    world.release_at[:], world.knot_step[:] = 0.0, 3.0 / (KNOTS - 1)
    world.knots[0] = np.stack(
        [np.zeros(KNOTS), np.linspace(0, 30, KNOTS), np.full(KNOTS, 1.2)], axis=-1
    )
    choose_meetings(world, scene, HANDS, np.array([0]), 0.25)
    assert world.plays[0].tolist() == [False, True, True, False]
    # The defender beside the line can wait for it: the nearest knots but one, none later.
    assert world.meet[0, 2, 1] <= 15.1
    # The receiver cannot be at the level of 22 m sooner than the disc passes; nobody goes back.
    arrival = world.meet[0, 1, 1] / 10.0 - 0.25
    gap = np.hypot(6.0, world.meet[0, 1, 1] - 22.0) - ARM
    assert gap <= 8.8 * arrival
    assert world.meet_at[0, 1] == pytest.approx(world.meet[0, 1, 1] / 10.0)


def test_a_throw_is_chased_once_it_has_been_seen_and_a_helper_leaves_no_man_for_nothing():
    """The receiver's own defender goes up to 0.3 s too late, another one only if in time."""
    scene = lay_out(
        [player("thrower", (0.0, 0.0)), player("receiver", (0.5, 25.0))],
        [
            player("own", (-5.8, 18.0), role="defender", guards=1),
            player("other", (5.8, 18.0), role="defender"),
        ],
    )
    world = world_of(scene)
    world.phase[:], world.thrower[:], world.receiver[:] = FLYING, 0, 1
    world.release_at[:], world.knot_step[:] = 0.0, 2.4 / (KNOTS - 1)
    world.knots[0] = np.stack(
        [np.zeros(KNOTS), np.linspace(0, 24, KNOTS), np.full(KNOTS, 1.2)], axis=-1
    )
    rows, both = np.array([0]), []
    for now in np.arange(0.0, 2.4, 0.05):  # both stand where they are, later and later
        choose_meetings(world, scene, HANDS, rows, now)
        assert world.plays[0, 1]
        both.append(world.plays[0, 2:].tolist())
    assert both[0] == [True, True]
    assert both[-1] == [False, False]
    assert both.count([True, False]) == pytest.approx(HANDS.plays_if_late / 0.05, abs=1.5)
    assert [False, True] not in both
    choose_meetings(world, scene, HANDS, rows, 0.1)
    for now, runs in ((0.1, False), (0.3, True)):
        world.want[:] = 0.0
        chase(world, scene, rows, now)
        assert (world.want[0, 2] != 0.0).any() == runs


# --- whole throws ------------------------------------------------------------------------------


def table_of(scene: Scene, offence: Script, defence: Script, n: int) -> pd.DataFrame:
    return pd.DataFrame(possession(scene, offence, defence, n, seed=3).run().columns())


def test_an_unopposed_receiver_at_the_aim_catches_as_often_as_the_hands_are_good():
    """The whole way: wind-up, flight, hands. N 4000, false alarm below 1e-6."""
    aim = (4.0, 38.0)
    attackers = [player("thrower", (0.0, 20.0)), player("receiver", aim, sure(hands=0.9))]
    table = table_of(lay_out(attackers), Script(aim=aim), Script(), N)
    assert set(table["outcome"]) == {"completed", "dropped"}
    assert fits(int(table["completed"].sum()), N, 0.9)


@pytest.mark.parametrize("behind", [2.0, 4.0])
def test_a_trailing_defender_without_a_play_on_the_disc_does_not_lower_a_catch(behind):
    """The same luck twice, with him two steps behind and far away: identical rows.

    The receiver runs across in front of the thrower; everybody errs, drops and reacts as the
    elite roster does. The defender runs after the receiver at the same speed, 2 m or 4 m behind.
    """
    able = LEVELS["elite"]
    offence = Script(aim=(1.0, 32.0), runs={1: (7.0, 0.0)}, after=0.6)
    rows = []
    for trailer in ((-6.0 - behind, 32.0), (-17.0, -17.0)):
        scene = lay_out(
            [player("thrower", (0.0, 20.0), able), player("receiver", (-6.0, 32.0), able)],
            [player("trailer", trailer, able, role="defender")],
        )
        rows.append(table_of(scene, offence, Script(runs={2: (7.0, 0.0)}), 1000))
    near, far = (row.drop(columns="separation_m") for row in rows)
    assert rows[0]["separation_m"].to_numpy() == pytest.approx(behind)
    assert near["completed"].mean() > 0.5
    assert not near["completed"].all()
    pd.testing.assert_frame_equal(near, far)


def test_a_defender_in_the_lane_does():
    """The control of the test above: the same defender in front of the receiver stops throws."""
    able = LEVELS["elite"]
    offence = Script(aim=(1.0, 32.0), runs={1: (7.0, 0.0)}, after=0.6)
    done = []
    for place in ((0.0, 29.0), (-17.0, -17.0)):
        scene = lay_out(
            [player("thrower", (0.0, 20.0), able), player("receiver", (-6.0, 32.0), able)],
            [player("defender", place, able, role="defender")],
        )
        done.append(table_of(scene, offence, Script(), 300)["completed"].mean())
    assert done[0] < done[1] - 0.4
