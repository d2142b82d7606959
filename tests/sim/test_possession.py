"""A possession: how it begins and ends, what is written down, and that company changes nothing."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest
from sim.world import FLYING, HELD, OVER, WIND_UP

from policies import Look, Looks, Man, Mark
from policies.cuts import Dump, Strike, Swing
from sim.ability import LEVELS
from sim.field import named
from sim.intent import BACKHAND, FOREHAND
from sim.possession import READY_AFTER, Possession
from sim.record import KEPT, OUTCOMES
from sim.scene import Scene, Wind
from tests.sim.rig import Script, lay_out, player, possession, sure

ABLE = LEVELS["club"]
AIM = (3.0, 32.0)


def pass_of(**more: Any) -> Scene:
    attackers = [player("thrower", (0.0, 20.0)), player("receiver", AIM)]
    marker = player("mark", (2.0, 18.5), role="defender", guards=0)
    return lay_out(attackers, [marker], **more)


def full_scene(flip: int = 1, until: str = "possession") -> Scene:
    """Three handlers and two cutters against five, a wind, both hands among them."""
    attackers = [
        ("left", "handler", (-10.0, 30.0), 1),
        ("middle", "handler", (0.0, 31.0), 1),
        ("right", "handler", (9.0, 30.0), -1),
        ("near", "cutter", (-4.0, 44.0), 1),
        ("deep", "cutter", (5.0, 50.0), 1),
    ]
    offence = [
        player(name, (flip * at[0], at[1]), ABLE, hand=flip * hand, role=role)
        for name, role, at, hand in attackers
    ]
    holder = 1
    places = Man(mark=Mark(force="forehand")).starts(
        np.array([p.at for p in offence]),
        np.array([p.role == "handler" for p in offence]),
        np.arange(5),
        holder,
        flip,
    )
    defence = [
        player(f"on {p.name}", (float(x), float(y)), ABLE, role="defender", guards=k)
        for k, (p, (x, y)) in enumerate(zip(offence, places, strict=True))
    ]
    wind = Wind(3.0, flip * 1.1)
    return lay_out(offence, defence, holder=holder, stall=3.0, until=until, wind=wind, time_cap=7.0)


PLAN = Looks(
    looks=(
        Look("break-handler", Strike(), 3.0, 7.0, 0, "strike"),
        Look("open-handler", Swing(), 2.0, 8.0, 0, "swing"),
        Look("nearest-handler", Dump(), 6.0, 10.0, 0, "dump"),
    )
)


def play(numbers: np.ndarray, flip: int = 1, **more: Any) -> pd.DataFrame:
    scene = full_scene(flip, **more)
    model = Possession(scene, PLAN, Man(), numbers, 11, open_side=flip)
    return pd.DataFrame(model.run().columns(PLAN.look_names))


# --- from decision to catch --------------------------------------------------------------------


def test_a_throw_goes_through_wind_up_and_flight_to_a_catch():
    """By hand: 0.35 s from the decision to the release; the row says where, how far, how long."""
    scene = pass_of()
    model = possession(scene, Script(aim=AIM, after=1.0))
    phases = []
    while model.world.phase[0] != OVER:
        model.step()
        phases.append((round(model.now, 2), int(model.world.phase[0])))
    winds_up = [t for t, phase in phases if phase == WIND_UP]
    assert {phase for t, phase in phases if t < 1.0} == {HELD}
    assert len(winds_up) == 7  # 0.35 s of 0.05 s ticks
    row = pd.DataFrame(model.record.columns()).iloc[0]
    assert row["outcome"] == "completed"
    assert (row["thrower"], row["receiver"], row["stopper"]) == ("thrower", "receiver", "")
    assert row["release_s"] == pytest.approx(1.35)
    assert row["stall_at_release"] == pytest.approx(2.35)
    assert row["distance_m"] == pytest.approx(np.hypot(3.0, 12.0))
    assert row["separation_m"] == pytest.approx(np.hypot(1.0, 13.5))
    assert row["gain_m"] == pytest.approx(row["end_y_m"] - 20.0)
    assert (row["start_x_m"], row["start_y_m"]) == (0.0, 20.0)
    assert (row["aim_x_m"], row["aim_y_m"]) == AIM
    assert 0.5 < row["flight_s"] < 1.5
    assert row["duration_s"] == pytest.approx(row["release_s"] + row["flight_s"])
    assert row["estimate"] == 0.5
    assert row["throws"] == 1


def test_a_catcher_needs_a_moment_before_the_next_wind_up_and_stops_first():
    """11.2. READY_AFTER s at least, and below 3 m/s."""

    class PassOn(Script):
        def decide(self, view):
            aim, to = ((0.0, 20.0), 0) if view.slot == 1 else (AIM, 1)
            run = {1: (6.0, 0.0)} if view.slot == 1 and not view.has_disc else {}
            return Script(aim=aim, thrower=view.slot, to=to, runs=run).decide(view)

    model = possession(pass_of(until="possession", time_cap=5.0), PassOn())
    caught = again = None
    while again is None:
        model.step()
        world = model.world
        if caught is None and world.holder[0] == 1 and world.phase[0] == HELD:
            caught = float(world.held_since[0])
        if caught is not None and world.phase[0] == WIND_UP:
            again = model.now - model.scene.tick
            speed = np.hypot(*world.vel[0, 1])
    assert again - caught >= READY_AFTER - 1e-9
    assert speed < 3.0


# --- how it ends -------------------------------------------------------------------------------


def test_until_throw_ends_with_the_first_catch():
    table = pd.DataFrame(possession(pass_of(), Script(aim=AIM), None, 20).run().columns())
    assert (table["outcome"] == "completed").all()
    assert (table["throws"] == 1).all()


def test_until_reset_ends_when_the_count_runs_again():
    """The next marker has to come within 3 m first: later than the catch."""
    attackers = [player("thrower", (0.0, 20.0)), player("receiver", AIM)]
    defenders = [
        player("mark", (2.0, 18.5), role="defender", guards=0),
        player("next", (AIM[0], AIM[1] + 9.0), role="defender", guards=1),
    ]
    scene = lay_out(attackers, defenders, until="reset", time_cap=12.0)
    come = Script(runs={3: (0.0, -6.0)})
    model = possession(scene, Script(aim=AIM), come)
    row = pd.DataFrame(model.run().columns()).iloc[0]
    assert row["outcome"] == "completed"
    near = model.world.pos[0, 3] - model.world.pos[0, 1]
    assert np.hypot(*near) <= 3.0
    assert row["duration_s"] > row["release_s"] + row["flight_s"] + 0.3


def test_a_rehearsal_that_hits_the_time_cap_is_counted_as_such():
    table = pd.DataFrame(possession(pass_of(time_cap=2.0), Script(), None, 7).run().columns())
    assert (table["outcome"] == "time cap").all()
    assert table["duration_s"].to_numpy() == pytest.approx(2.0)
    assert table["release_s"].isna().all()
    assert not table["completed"].any()


def test_every_rehearsal_ends_once_and_has_a_row_in_the_order_asked_for():
    numbers = np.array([5, 3, 90, 1, 44, 12])
    table = play(numbers)
    assert table["rehearsal"].tolist() == numbers.tolist()
    assert set(table["outcome"]) <= set(OUTCOMES)
    assert (table["completed"] == table["outcome"].isin(KEPT)).all()
    assert table["duration_s"].notna().all()


def test_trapped_is_a_catch_within_five_metres_of_a_sideline():
    for x, trapped in ((13.0, False), (14.5, True), (-14.5, True)):
        attackers = [player("thrower", (0.6 * x, 20.0)), player("receiver", (x, 30.0))]
        model = possession(lay_out(attackers), Script(aim=(x, 30.0)))
        row = pd.DataFrame(model.run().columns()).iloc[0]
        assert row["completed"]
        assert bool(row["trapped"]) == trapped, row["end_x_m"]


def test_seconds_near_the_sideline_are_added_up():
    """Held 2 s at 1 m from the line, and not at 9 m."""
    for x, seconds in ((17.5, 2.0), (9.0, 0.0)):
        scene = lay_out([player("thrower", (x, 20.0))], time_cap=2.0)
        row = pd.DataFrame(possession(scene, Script()).run().columns()).iloc[0]
        assert row["trapped_s"] == pytest.approx(seconds)


def test_a_play_without_defenders_is_played_too():
    """A walk-through on air: nobody counts, nobody is near, the looks are thrown and caught."""
    attackers = (player("left", (-10.0, 30.0)), player("middle", (0.0, 31.0)))
    scene = Scene(named("wfdf"), attackers, (), holder=1, time_cap=8.0)
    plan = Looks(looks=(Look("left", Swing(), 0.0, 8.0, 0, "swing"),))
    table = pd.DataFrame(possession(scene, plan, None, 5).run().columns(plan.look_names))
    assert (table["outcome"] == "completed").all()
    assert table["separation_m"].isna().all()
    assert (table["stall_at_release"] == 0.0).all()


# --- company, order and mirror -----------------------------------------------------------------


@pytest.mark.slow
def test_a_row_does_not_depend_on_what_is_rehearsed_beside_it():
    """The same bits alone, in pairs, in another order and in a crowd that ends at its own times."""
    crowd = play(np.arange(30))
    assert len(set(crowd["outcome"])) > 2
    order = np.array([21, 4, 17])
    some = play(order)
    pd.testing.assert_frame_equal(crowd.loc[order].reset_index(drop=True), some, check_exact=True)
    alone = pd.concat([play(np.array([k])) for k in order[:2]], ignore_index=True)
    pd.testing.assert_frame_equal(some[:2], alone, check_exact=True)


def test_the_seed_and_the_number_make_the_luck():
    attackers = [player("thrower", (0.0, 20.0), ABLE), player("receiver", AIM, ABLE)]

    def ends(seed: int, first: int = 0) -> np.ndarray:
        model = possession(lay_out(attackers), Script(aim=AIM), None, 20, seed=seed, first=first)
        return model.run().columns()["end_x_m"]

    assert (ends(1) == ends(1)).all()
    assert not np.isclose(ends(1), ends(2)).any()
    assert (ends(1)[5:] == ends(1, first=5)[:-5]).all()


@pytest.mark.slow
def test_the_mirrored_scene_with_the_same_luck_gives_the_mirrored_rows():
    """x, handedness and open side flipped: every number the same, x with the other sign; bits."""
    one, other = play(np.arange(40)), play(np.arange(40), flip=-1)
    for name in ("start_x_m", "end_x_m", "aim_x_m"):
        other[name] = -other[name]
    for name in one:
        if one[name].dtype == float:
            same = (one[name] == other[name]) | (one[name].isna() & other[name].isna())
            assert same.all(), name
        else:
            assert (one[name] == other[name]).all(), name
    assert (one["throws"] > 1).sum() >= 8  # more than the first throw was compared


@pytest.mark.parametrize("kind", [BACKHAND, FOREHAND])
def test_a_backhand_to_the_left_is_a_forehand_to_the_right_for_an_evenly_skilled_thrower(kind):
    """The mirror in the hand: same rows, x flipped, for a left-hander and a right-hander."""
    rows = []
    for flip in (1, -1):
        aim = (flip * 4.0, 33.0)
        able = sure(aim_error=2.0, pace_error=0.04, hands=0.9)
        attackers = [
            player("thrower", (0.0, 20.0), able, hand=flip),
            player("receiver", aim, able),
        ]
        model = possession(lay_out(attackers), Script(aim=aim, kind=kind), None, 100)
        rows.append(pd.DataFrame(model.run().columns()))
    assert (rows[0]["end_x_m"] == -rows[1]["end_x_m"]).all()
    assert (rows[0]["outcome"] == rows[1]["outcome"]).all()


def test_one_rehearsal_is_an_ordinary_mesa_model():
    model = possession(pass_of(), Script(aim=AIM))
    assert [type(agent).__name__ for agent in model.agents] == ["Handler", "Handler", "Defender"]
    while model.world.phase[0] != FLYING:
        model.step()
    assert model.agent_steps == 3 * model.ticks
    assert model.world.disc(model.now)[0, 2] > 0.5
