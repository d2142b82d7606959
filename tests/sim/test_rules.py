"""The rules in play, each with its number in the WFDF Rules of Ultimate 2021-24."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from sim.world import FLYING

from sim.field import named
from sim.motion import arrive
from sim.rules import find_marker, run_count
from sim.scene import Scene
from tests.sim.rig import Script, lay_out, player, possession, world_of

BESIDE = (0.8, 20.8)
TICK = 0.05


def held(
    marks: list[tuple[float, float]] | None = None,
    watching: list[int] | None = None,
    field: str = "wfdf",
    **more: Any,
) -> Scene:
    """The disc in a hand at (0, 20), and defenders at `marks` who attend to `watching`."""
    marks = [BESIDE] if marks is None else marks
    watching = [0] * len(marks) if watching is None else watching
    defenders = [
        player(f"d{k}", at, role="defender", guards=whom)
        for k, (at, whom) in enumerate(zip(marks, watching, strict=True))
    ]
    attackers = [player("thrower", (0.0, 20.0)), player("other", (5.0, 25.0))]
    return lay_out(attackers, defenders, field=named(field), time_cap=40.0, **more)


def outcome_of(
    scene: Scene, defence: Any = None, offence: Any = None, **more: Any
) -> tuple[str, float]:
    model = possession(scene, Script() if offence is None else offence, defence, **more)
    columns = model.run().columns()
    return str(columns["outcome"][0]), float(columns["duration_s"][0])


# --- stall -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "pace", "seconds"),
    [("wfdf", 1.0, 9.0), ("usau", 1.0, 9.0), ("wfdf", 1.2, 10.8), ("indoor", 1.0, 7.0)],
)
@pytest.mark.parametrize("tick", [0.05, 0.1, 0.02])
def test_ten_is_never_sooner_than_nine_seconds_after_one(field, pace, seconds, tick):
    """9.1, 13.2.2: ten numbers, at least 1 s apart, out at the start of the last. Indoor: eight."""
    scene = held(field=field, pace=pace, tick=tick)
    outcome, duration = outcome_of(scene)
    assert outcome == "stalled"
    assert seconds - 1e-9 <= duration <= seconds + tick


def test_a_count_faster_than_the_rule_is_refused():
    """9.1: at least one second between the starts of numbers."""
    with pytest.raises(ValueError, match=r"9\.1"):
        held(pace=0.9)


@pytest.mark.parametrize("said", [1.0, 4.0, 6.5])
def test_the_count_goes_on_from_the_number_last_said(said):
    outcome, duration = outcome_of(held(stall=said))
    assert outcome == "stalled"
    assert duration == pytest.approx(10.0 - said, abs=TICK + 1e-9)


@pytest.mark.parametrize(
    ("away", "counts"), [(2.99, True), (3.0, True), (3.01, False), (8.0, False)]
)
def test_only_a_marker_within_three_metres_may_count(away, counts):
    """9.3."""
    outcome, _ = outcome_of(held([(0.0, 20.0 + away)]))
    assert outcome == ("stalled" if counts else "time cap")


def test_the_radius_is_ten_feet_under_usa_ultimate_rules():
    assert outcome_of(held([(0.0, 23.02)], field="usau"))[0] == "stalled"
    assert outcome_of(held([(0.0, 23.02)], field="wfdf"))[0] == "time cap"


def test_the_count_starts_again_when_the_marker_has_been_away():
    """9.3, 9.4: gone at about 4 s, back at about 6 s; out 9 s after that, not 9 s after the start.

    The marker runs off, stops, and comes back.
    """

    def away_and_back(view):
        place = np.array([0.0, 26.0 if 3.5 <= view.now < 5.0 else 21.0])
        able = view.scene.players[view.slot].ability
        return arrive(view.pos, view.vel, place, able.top_speed, able.sprint_time, able.grip)

    defence = Script(runs={2: away_and_back})
    model = possession(held([(0.0, 21.0)]), Script(), defence)
    counts, near = [], []
    while model.now < 39.0 and (model.world.phase != 3).any():
        model.step()
        counts.append(float(model.world.count(model.now, 1.0)[0]))
        gap = model.world.pos[0, 2] - model.world.pos[0, 0]
        near.append(np.hypot(*gap) <= 3.0)
    counts, near = np.array(counts), np.array(near)
    came_back = np.flatnonzero(~near)[-1] + 1
    assert counts[np.flatnonzero(~near)[2:]].max() == 0.0  # nobody counts from out there
    assert counts[came_back + 2] == pytest.approx(1.0, abs=3 * TICK)
    assert (len(counts) - came_back) * TICK == pytest.approx(9.0, abs=3 * TICK)


def test_a_new_marker_starts_again_at_one():
    """9.4: another defender takes over at 4 s; both stand within 3 m all the time."""

    class HandOver:
        def decide(self, view):
            from sim.intent import Intent

            mine = (view.slot == 2) == (view.now < 4.0)
            whom = np.full(len(view), 0 if mine else 1)
            return Intent(run=np.zeros((len(view), 2)), watch=whom)

    outcome, duration = outcome_of(held([BESIDE, (-0.8, 20.8)], [0, 1]), HandOver())
    assert outcome == "stalled"
    assert duration == pytest.approx(4.0 + 9.0, abs=2 * TICK)


def test_the_marker_is_whoever_attends_to_the_thrower_else_the_nearest():
    scene = held([(3.0, 24.0), (0.5, 20.5)], [0, 1])
    assert find_marker(world_of(scene), scene).tolist() == [2]  # attends, though further
    scene = held([(3.0, 24.0), (0.5, 20.5)], [1, 1])
    assert find_marker(world_of(scene), scene).tolist() == [3]
    scene = held([(1.5, 20.0), (0.5, 20.5)], [0, 0])
    assert find_marker(world_of(scene), scene).tolist() == [3]


def test_nobody_counts_while_the_disc_flies():
    scene = held()
    world = world_of(scene)
    run_count(world, scene, 0.0)
    assert world.counting.all()
    world.phase[:] = FLYING
    run_count(world, scene, 0.05)
    assert not world.counting.any()
    assert (world.count(0.05, 1.0) == 0.0).all()


def test_a_release_just_before_ten_stands():
    """13.2.2: out only if unreleased at the start of ten."""
    aim = (0.0, 30.0)
    attackers = [player("thrower", (0.0, 20.0)), player("receiver", aim)]
    marker = player("mark", (2.5, 18.5), role="defender", guards=0)
    for last, outcome in ((8.60, "completed"), (8.70, "stalled")):  # and a wind-up of 0.35 s
        scene = lay_out(attackers, [marker])
        assert outcome_of(scene, offence=Script(aim=aim, after=last))[0] == outcome


def caught_at(place: tuple[float, float], thrower: tuple[float, float]) -> str:
    """How it ends when a receiver nailed to a place catches a throw to it."""

    def nail(model):
        model.world.pos[:, 1], model.world.vel[:, 1], model.world.want[:, 1] = place, 0.0, 0.0

    attackers = [player("thrower", thrower), player("receiver", place)]
    return outcome_of(lay_out(attackers), offence=Script(aim=place), watch=nail)[0]


# --- lines -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("side", "velocity"), [(1, (8.0, 0.0)), (-1, (-7.0, 4.0))])
def test_a_catcher_carried_over_the_line_pivots_where_it_was_crossed(side, velocity):
    """11.3.2.1, and 12.1: the catch was in, so it stands; play goes on from the line.

    The pivot is the crossing to within the way of one tick.
    """
    catch = (side * 18.0, 30.0)
    attackers = [player("thrower", (side * 12.0, 20.0)), player("receiver", catch)]
    scene = lay_out(attackers, until="possession", time_cap=3.0)
    model = possession(scene, Script(aim=catch))
    while model.world.phase[0] != 0 or model.world.holder[0] != 1:
        model.step()
    model.world.vel[0, 1] = velocity  # as if caught at full speed
    start = model.world.pos[0, 1].copy()
    for _ in range(12):
        model.step()
    place = model.world.pos[0, 1]
    x, y = scene.field.where_crossed(*start, *(start + np.array(velocity)))
    assert abs(place[0]) == pytest.approx(scene.field.half_width)
    assert float(x) == pytest.approx(place[0])
    assert float(y) == pytest.approx(place[1], abs=abs(velocity[1]) * TICK + 0.05)
    assert (model.world.vel[0, 1] == 0.0).all()
    assert model.world.holder[0] == 1


def test_a_catch_out_of_bounds_is_a_turnover_and_the_line_is_out():
    """2.3: perimeter lines are not part of the field."""
    for x, outcome in ((18.45, "completed"), (18.5, "out of bounds"), (19.0, "out of bounds")):
        assert caught_at((x, 30.0), thrower=(10.0, 20.0)) == outcome


def test_the_goal_line_belongs_to_the_central_zone():
    """2.4, 14.1: a catch on the line is no goal; just behind it, it is. The back line is out."""
    for y, outcome in (
        (63.9, "completed"),
        (64.0, "completed"),
        (64.01, "goal"),
        (81.9, "goal"),
        (82.0, "out of bounds"),
    ):
        assert caught_at((0.0, y), thrower=(0.0, 56.0)) == outcome, y


def test_a_disc_on_the_ground_outside_is_out_and_inside_is_missed():
    for aim, outcome in (((14.0, 30.0), "missed"), ((18.0, 24.0), "out of bounds")):
        attackers = [player("thrower", (14.0, 20.0)), player("receiver", (-17.0, 0.0))]
        assert outcome_of(lay_out(attackers), offence=Script(aim=aim))[0] == outcome
