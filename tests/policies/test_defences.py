"""Defences: where they stand, when they help, switch and flip, and what a cup leaves open."""

from __future__ import annotations

import numpy as np
import pytest
from policies.frame import Frame, length

from experiments import load
from experiments.lineup import line_up
from policies import Cover, Cup, Help, Man, Mark
from policies.marks import open_side
from sim.possession import Possession


def _watch(situation, until, defence=None, n=3, every=None):
    """Play a situation for `until` seconds and return the model, with some state kept per tick."""
    ready = line_up(situation)
    kept = []

    def keep(model):
        if every is not None and len(model.world):
            kept.append(every(model))

    model = Possession(
        ready.scene,
        ready.offence,
        ready.defence if defence is None else defence,
        np.arange(n),
        7,
        open_side=ready.open_side,
        watch=keep,
    )
    while model.now < until - 1e-9 and len(model.world):
        model.step()
    return model, kept


@pytest.mark.parametrize(
    ("force", "hand", "x", "side"),
    [
        ("forehand", 1, 0.0, 1),
        ("forehand", -1, 0.0, -1),
        ("backhand", 1, 0.0, -1),
        ("middle", 1, 8.0, -1),
        ("middle", 1, -8.0, 1),
        ("sideline", 1, 8.0, 1),
        ("sideline", 1, -8.0, -1),
    ],
)
def test_a_force_leaves_the_side_open_that_its_name_says(force, hand, x, side):
    assert open_side(force, np.array([hand]), np.array([x]))[0] == side


def test_the_mark_stands_on_the_break_side_and_a_straight_up_mark_in_front():
    left_open = Mark().off(np.array([-1.0]))[0]
    right_open = Mark().off(np.array([1.0]))[0]
    assert right_open[0] < 0.0 < left_open[0]
    assert Mark(force="straight-up").off(np.array([1.0]))[0][0] == pytest.approx(0.0)


@pytest.mark.parametrize("stance", ["tight", "fronting", "siding", "backing"])
def test_a_cover_stands_at_its_cushion_on_its_side(stance):
    man, disc = np.array([[-10.0, 30.0]]), np.array([[0.0, 30.0]])
    place = Cover(stance=stance, cushion=1.5).place(man, disc, np.array([1.0]))
    lean = (place - man)[0]
    assert np.hypot(*lean) == pytest.approx(1.5)
    if stance == "fronting":
        assert lean == pytest.approx([1.5, 0.0])
    if stance == "backing":
        assert lean == pytest.approx([0.0, 1.5])
    if stance == "siding":
        assert lean[0] > abs(lean[1])


def test_a_flip_changes_the_open_side_when_the_count_gets_there():
    situation = load("flipped-force").with_setting("plan", "strike")
    _, sides = _watch(
        situation, 1.6, every=lambda m: (m.world.count(m.now, 1.0)[0], int(m.world.open_side[0]))
    )
    before = {side for count, side in sides if count < 4.95}
    after = {side for count, side in sides if count > 5.1}
    assert before == {1}
    assert after == {-1}


def test_an_attacker_learns_of_a_flip_later_than_the_defence():
    situation = load("flipped-force").with_setting("plan", "strike")

    def views(model):
        runner = model.agents[0]
        rows = np.arange(len(model.world))
        view = runner._view(rows, False)
        return int(model.world.open_side[0]), int(view.open_side[0])

    _, sides = _watch(situation, 2.0, every=views)
    world = [ours for ours, _ in sides].index(-1)
    known = [theirs for _, theirs in sides].index(-1)
    assert known > world


def test_a_poacher_leaves_the_far_handler_for_the_lane():
    situation = load("middle-reset").with_setting("defence", "poach").with_setting("plan", "dump")
    model, _ = _watch(situation, 0.7)
    slot = next(s for s, p in enumerate(model.scene.players) if p.name == "on right")
    lane = Help().lane(Frame(np.array([[0.0, 30.0]]), np.array([1.0])))[0]
    start = np.array(model.scene.players[slot].at)
    assert np.hypot(*(model.world.pos[0, slot] - lane)) < np.hypot(*(start - lane)) - 0.2


def test_defenders_who_switch_swap_the_attackers_who_cross():
    base = load("middle-reset").to_dict()
    base["plans"]["strike"]["looks"] = [
        {"who": "left", "cut": "strike", "from": 4.0, "to": 9.5, "depth": 3.0, "angle": 80.0},
        {"who": "right", "cut": "strike", "from": 4.0, "to": 9.5, "depth": 3.0, "angle": 80.0,
         "toward": "break"},
    ]  # fmt: skip
    base["defences"]["man"]["switches"] = True
    situation = type(load("middle-reset")).from_dict(base)
    names = [d.name for d in situation.defenders]
    first = len(situation.attackers)
    left, right = first + names.index("on left"), first + names.index("on right")
    _, watched = _watch(situation, 3.6, every=lambda m: m.world.watch[0, [left, right]].tolist())
    assert watched[0] == [0, 2]
    assert [2, 0] in watched


def test_a_cup_keeps_its_off_marks_legal_and_near():
    """Off-marks 3-4 m from the disc (common practice), never a double team (rule 18.1.1.5)."""
    situation = load("cup").with_setting("plan", "dump")
    model, _ = _watch(situation, 0.8)
    disc = model.world.pos[:, model.scene.holder]
    first = len(model.scene.attackers)
    for off_mark in (first + 1, first + 2):
        away = length(model.world.pos[:, off_mark] - disc)
        assert np.all((away >= 3.0) & (away <= 4.2))


def test_the_defences_say_where_every_defender_starts():
    attackers = np.array([[0.0, 30.0], [10.0, 30.0], [0.0, 45.0]])
    handlers = np.array([True, True, False])
    for defence in (Man(), Cup()):
        places = defence.starts(attackers, handlers, np.array([0, 1, 2]), 0, 1)
        assert places.shape == (3, 2)
        assert np.all(np.isfinite(places))
