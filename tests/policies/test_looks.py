"""The thrower's read, who is meant by a look, and the shape that moves with the disc."""

from __future__ import annotations

import numpy as np
import pytest
from policies.frame import Frame

from experiments import load
from experiments.batch import rehearse_rows
from experiments.lineup import line_up
from policies import Look, Looks
from policies.cuts import Dump, Strike
from policies.shape import own_place
from policies.who import resolve
from sim.possession import Possession


def _model(situation, n=4):
    ready = line_up(situation)
    return Possession(
        ready.scene, ready.offence, ready.defence, np.arange(n), 7, open_side=ready.open_side
    )


def _view(model, slot, has_disc=False):
    return model.agents[slot]._view(np.arange(len(model.world)), has_disc)


@pytest.mark.parametrize(
    ("name", "who", "found"),
    [
        ("middle-reset", "break-handler", "left"),
        ("middle-reset", "open-handler", "right"),
        ("open-side-handler", "break-handler", "middle"),
        ("open-side-handler", "open-handler", None),
        ("break-side-handler", "break-handler", None),
        ("break-side-handler", "nearest-handler", "middle"),
        ("middle-reset", "wing-left", "wing-left"),
    ],
)
def test_a_role_word_means_the_handler_on_that_side_of_the_disc(name, who, found):
    model = _model(load(name))
    slot = resolve(_view(model, model.scene.holder, True), who)[0]
    assert (None if slot < 0 else model.scene.players[slot].name) == found


def test_cutters_take_turns_from_the_back_of_the_stack():
    model = _model(load("possession"))
    view = _view(model, model.scene.holder, True)
    names = [
        model.scene.players[resolve(view, w)[0]].name for w in ("first-cutter", "second-cutter")
    ]
    assert names == ["stack-4", "stack-3"]
    model.world.completions[:] = 1
    view = _view(model, model.scene.holder, True)
    assert model.scene.players[resolve(view, "first-cutter")[0]].name == "stack-3"


def test_an_unknown_role_word_is_refused_with_the_known_ones():
    model = _model(load("middle-reset"))
    with pytest.raises(ValueError, match="break-handler"):
        resolve(_view(model, 0), "the-tall-one")


def test_the_shape_moves_with_the_disc_and_the_handlers_share_the_lanes_out_again():
    """After the striker has caught the disc up the field, the lanes are filled by rank."""
    model = _model(load("middle-reset"))
    world = model.world
    world.completions[:] = 1
    striker = 0
    world.pos[:, striker] = world.spot[:, striker] = [5.0, 39.0]
    world.holder[:] = striker
    model.history.push(world)
    places = {}
    for slot in (1, 2, 3):
        view = _view(model, slot)
        frame = Frame(world.pos[:, striker].copy(), np.ones(len(world), dtype=np.int64))
        places[model.scene.players[slot].name] = own_place(view, frame)[0]
    assert places["middle"] == pytest.approx([-10.0, 39.0])
    assert places["right"] == pytest.approx([10.0, 39.0])
    assert places["wing-left"] == pytest.approx([-12.0, 55.0])


def test_a_picky_thrower_becomes_less_so_as_the_count_rises():
    model = _model(load("middle-reset"))
    plan = Looks(picky=0.8, desperate=0.2)
    asked = []
    for count in (4.0, 5.0, 7.0, 9.5):
        model.world.count_start[:] = -(count - 1.0)
        asked.append(plan.threshold(_view(model, model.scene.holder, True))[0])
    assert asked[0] == asked[1] == pytest.approx(0.8)
    assert asked[1] > asked[2] > asked[3] == pytest.approx(0.2)


def test_looks_are_read_in_order():
    """With two looks open at once, both good enough, the first is thrown."""
    situation = load("middle-reset")
    first = Look("left", Dump(), 4.0, 10.0, name="one")
    second = Look("right", Dump(), 4.0, 10.0, name="two")
    ids = np.arange(30)
    for looks in ((first, second), (second, first)):
        plan = Looks(looks=looks, picky=0.0, desperate=0.0)
        rows = rehearse_rows(situation, ids, 7, offence=plan)
        assert (rows["look"] == looks[0].name).mean() > 0.9


def test_a_look_for_the_second_pass_is_not_thrown_first():
    situation = load("middle-reset")
    looks = (
        Look("right", Dump(), 4.0, 10.0, on_pass=2, name="later"),
        Look("left", Dump(), 5.0, 10.0, on_pass=1, name="now"),
    )
    rows = rehearse_rows(situation, np.arange(30), 7, offence=Looks(looks=looks))
    assert set(rows["look"]) <= {"now", ""}
    assert (rows["look"] == "now").mean() > 0.9


def test_a_strike_is_over_in_time_and_stays_on_the_field():
    """A striker who gets no disc does not run on over the sideline."""
    situation = load("open-side-handler")
    ready = line_up(situation)
    plan = Looks(looks=(Look("middle", Strike(), 4.0, 20.0),), picky=1.0, desperate=1.0)
    furthest = []
    model = Possession(
        ready.scene,
        plan,
        ready.defence,
        np.arange(8),
        7,
        open_side=1,
        watch=lambda m: furthest.append(m.world.pos[:, 1, 0].max()),
    )
    model.run()
    assert max(furthest) < situation.playing_field.half_width + 0.5
    assert set(model.record.columns()["outcome"]) == {"stalled"}
