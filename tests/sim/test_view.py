"""The view: one's own present, the others' past, and nothing that can be written to."""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from sim.world import World

from sim.intent import Intent
from sim.perception import History
from sim.scene import Scene
from sim.view import View
from tests.sim.rig import Script, lay_out, player, possession, sure, world_of

THROWER, RUNNER, WATCHER = 0, 1, 2


def scene_of(**more: Any) -> Scene:
    return lay_out(
        [player("thrower", (0.0, 20.0)), player("runner", (0.0, 30.0))],
        [player("watcher", (0.0, 32.0), sure(reaction=0.3), role="defender", guards=RUNNER)],
        **more,
    )


def looking(n: int = 5) -> tuple[View, World, History]:
    """A view in the middle of things: everybody moved, after a second of ticks."""
    scene = scene_of()
    world = world_of(scene, n)
    history = History(world, scene)
    rng = np.random.default_rng(2)
    for _ in range(30):
        world.vel[:] = rng.uniform(-5, 5, size=world.vel.shape)
        world.pos += world.vel * scene.tick
        history.push(world)
    world.lag[:] = 0.3
    notes = {"plan": np.arange(float(n))}
    return View(scene, world, history, WATCHER, np.arange(n), 1.5, notes=notes), world, history


# Everything a view shows as an array, by introspection: a new one is tested as well.
NOT_ARRAYS = {"notes", "luck", "attackers", "defenders", "_all", "_then", "_any_fooled"}
ARRAYS = [
    name
    for name, value in vars(View).items()
    if isinstance(value, (cached_property, property)) and name not in NOT_ARRAYS
]


def test_the_list_of_what_is_shown_is_not_empty():
    assert {"pos", "vel", "count", "disc", "open_side"} <= set(ARRAYS)


@pytest.mark.parametrize("name", ARRAYS)
def test_what_a_view_shows_cannot_be_written_to_nor_reach_the_world(name):
    view, world, _ = looking()
    shown = getattr(view, name)
    assert len(shown) == len(view) == 5
    with pytest.raises(ValueError, match="read-only"):
        shown[...] = 0
    before = shown.copy()
    world.pos += 1.0
    world.vel += 1.0
    world.holder[:] = 1
    world.watch[:] = 0
    assert (getattr(view, name) == before).all()


def test_what_is_seen_and_noted_cannot_be_written_to_either():
    view, _, _ = looking()
    for shown in (*view.seen(RUNNER), view.timing(0), view.notes["plan"], view.spots_of(view.mark)):
        with pytest.raises(ValueError, match="read-only"):
            shown[...] = 0
    with pytest.raises(TypeError):
        view.notes["plan"] = np.zeros(5)  # type: ignore[index]


def test_oneself_is_seen_as_one_is_and_others_as_they_were():
    view, world, history = looking()
    assert (view.pos == world.pos[:, WATCHER]).all()
    assert (view.vel == world.vel[:, WATCHER]).all()
    past = history.ago(np.arange(5), np.full(5, RUNNER), np.full(5, 0.3))
    seen = view.seen(RUNNER)
    assert seen.vel == pytest.approx(past[:, 2:])
    assert seen.pos == pytest.approx(past[:, :2] + 0.3 * past[:, 2:])
    assert not np.allclose(seen.vel, world.vel[:, RUNNER])


def test_many_may_be_looked_at_at_once():
    view, _, _ = looking()
    both = view.seen(np.array([[THROWER, RUNNER]]))
    assert both.pos.shape == both.vel.shape == (5, 2, 2)
    for k, who in enumerate((THROWER, RUNNER)):
        assert (both.pos[:, k] == view.seen(who).pos).all()
    mixed = view.seen(np.array([0, 1, 0, 1, 0]))
    assert (mixed.pos[1] == both.pos[1, 1]).all()
    assert (mixed.pos[2] == both.pos[2, 0]).all()


def test_a_view_of_some_rehearsals_is_the_view_of_all_cut_down():
    whole, world, history = looking()
    rows = np.array([4, 1])
    part = View(whole.scene, world, history, WATCHER, rows, 1.5, notes={"plan": np.arange(5.0)})
    for name in ARRAYS:
        assert (getattr(part, name) == getattr(whole, name)[rows]).all(), name
    assert (part.seen(RUNNER).pos == whole.seen(RUNNER).pos[rows]).all()
    assert part.notes["plan"].tolist() == [4.0, 1.0]
    assert (part.luck.rehearsals == whole.luck.rehearsals[rows]).all()


def test_the_offence_learns_of_a_flipped_force_late_and_the_defence_at_once():
    view, world, history = looking()
    world.open_was[:], world.open_side[:], world.open_since[:] = 1, -1, 1.0
    rows = np.arange(5)
    for slot, now, side in (
        (WATCHER, 1.0, -1),
        (THROWER, 1.0, 1),
        (THROWER, 1.29, 1),
        (THROWER, 1.31, -1),
    ):
        seen = View(view.scene, world, history, slot, rows, now).open_side
        assert (seen == side).all(), (slot, now)


def test_slots_of_the_two_teams():
    view, _, _ = looking()
    assert view.attackers.tolist() == [0, 1]
    assert view.defenders.tolist() == [2]


# --- in play -----------------------------------------------------------------------------------


class Witness(Script):
    """A policy that writes down what it was shown."""

    def decide(self, view: View) -> Intent:
        seen = view.seen(RUNNER)
        note = np.concatenate([seen.pos, seen.vel, view.pos], axis=1)
        first = view.notes.get("first", np.full(len(view), view.now))
        told.append((view.slot, view.now, view.marking, view.has_disc, note, dict(view.notes)))
        intent = super().decide(view)
        return Intent(run=intent.run, notes={"first": np.asarray(first), "last": note})


told: list[tuple[int, float, bool, bool, np.ndarray, dict[str, np.ndarray]]] = []


def test_in_play_a_defender_sees_a_start_late_and_notes_come_back_at_the_next_tick():
    told.clear()
    offence = Script(runs={RUNNER: lambda view: np.tile([0.0, -8.0 * (view.now >= 1.0)], (2, 1))})
    possession(scene_of(time_cap=2.0), offence, Witness(), 2).run()
    times = np.array([now for _, now, *_ in told])
    speeds = np.array([note[0, 3] for *_, note, _ in told])
    first = times[np.flatnonzero(speeds < 0.0)[0]]
    assert 1.0 + 0.3 - 1e-9 <= first <= 1.0 + 0.3 + 2 * 0.05 + 1e-9
    for (*_, note, _), (*_, notes) in pairwise(told):
        assert (notes["last"] == note).all()
        assert (notes["first"] == 0.0).all()


def test_who_has_the_disc_and_who_marks_is_told():
    told.clear()
    scene = lay_out(
        [player("thrower", (0.0, 20.0)), player("runner", (0.0, 30.0))],
        [
            player("mark", (0.5, 21.0), role="defender", guards=0),
            player("other", (0.0, 32.0), role="defender", guards=1),
        ],
        time_cap=0.2,
    )
    possession(scene, Witness(), Witness()).run()
    assert {slot: (marking, disc) for slot, _, marking, disc, *_ in told} == {
        0: (False, True),
        1: (False, False),
        2: (True, False),
        3: (False, False),
    }
