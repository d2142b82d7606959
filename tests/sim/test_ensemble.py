"""One text, three ways: compiled rows are those of the plain model, whatever is played beside."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from experiments import load, shipped
from experiments.situations.lineup import line_up
from sim import machine_code
from sim.possession import Possession, rehearse_plain
from sim.rehearsing import rehearse
from sim.taping import tape

# of a row, what changes its sign in the mirror
ACROSS = {"end_x", "aim_x"}


def rows(ready, numbers, seed=5):  # type: ignore[no-untyped-def]
    """Results of the rehearsals with these numbers."""
    return rehearse(ready.scene, ready.offence, ready.defence, np.array(numbers), seed).results


def same(first, second, mirrored: bool = False) -> None:  # type: ignore[no-untyped-def]
    """Fail unless two sets of results are the same to the bit, or the mirror image."""
    for name in first.dtype.names:
        other = -second[name] if mirrored and name in ACROSS else second[name]
        np.testing.assert_array_equal(first[name], other, err_msg=name)


# Plain plays of every situation; three of them for a quick look.
QUICK = ("middle-reset", "cup", "possession")
ALL = [pytest.param(name, marks=[pytest.mark.slow] * (name not in QUICK)) for name in shipped()]


@pytest.mark.parametrize("name", ALL)
def test_compiled_and_plain_are_the_same_to_the_bit(name: str) -> None:
    """Over every shipped situation; the plain one is stepped agent by agent."""
    ready = line_up(load(name))
    if ready.scene.until == "possession":
        ready = dataclasses.replace(ready, scene=dataclasses.replace(ready.scene, time_cap=8.0))
    compiled = rows(ready, [0, 1])
    for number in (0, 1):
        model = Possession(ready.scene, ready.offence, ready.defence, number, 5)
        while not model.over:
            model.step()
        same(model.record().results, compiled[number : number + 1])


@pytest.mark.parametrize("name", shipped())
def test_the_mirror_image_is_played_as_the_mirror_image(name: str) -> None:
    """Every plan and defence of every shipped situation, to the bit."""
    situation = load(name)
    for plan in situation.plans:
        for defence in situation.defences:
            changed = situation.with_setting("plan", plan).with_setting("defence", defence)
            same(
                rows(line_up(changed), range(12)),
                rows(line_up(changed.mirrored()), range(12)),
                mirrored=True,
            )


def test_a_row_depends_on_nothing_that_is_played_beside_it() -> None:
    ready = line_up(load("possession"))
    whole = rows(ready, range(30))
    backward = rows(ready, range(29, -1, -1))
    same(whole, backward[::-1])
    same(whole[7:8], rows(ready, [7]))
    rows(line_up(load("cup")), range(3))
    same(whole[7:9], rows(ready, [7, 8]))


def test_a_tape_ends_as_its_row_says() -> None:
    for name in ("middle-reset", "cup"):
        ready = line_up(load(name))
        looks = ready.offence.look_names
        record = rehearse(ready.scene, ready.offence, ready.defence, np.arange(4), 5)
        table = record.columns(looks)
        for number in range(4):
            path = tape(ready.scene, ready.offence, ready.defence, number, 5, looks=looks)
            for column, values in table.items():
                a, b = path.row[column], values[number]
                assert a == b or (a != a and b != b), column


def test_played_plain_all_is_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    ready = line_up(load("middle-reset"))
    given = (ready.scene, ready.offence, ready.defence, np.arange(2), 5)
    plain = rehearse_plain(*given)
    same(plain.results, rows(ready, [0, 1]))
    monkeypatch.setenv(machine_code.OFF, "0")
    off = rehearse(*given)
    same(plain.results, off.results)
    assert len(off.log) == len(plain.log)


def test_the_log_tells_each_throw_to_whom_and_how_it_ended() -> None:
    ready = line_up(load("possession"))
    record = rehearse(ready.scene, ready.offence, ready.defence, np.arange(40), 5)
    events = record.events(ready.offence.look_names)
    thrown = events["event"] == "thrown"
    assert thrown.sum() == record.results["throws"].sum()
    assert (events["receiver"][thrown] != "").all() and (events["cover"][thrown] != "").all()
    ended = events["outcome"][thrown]
    flying = record.results["outcome"] == 8
    assert (ended == "").sum() <= flying.sum(), "only a throw cut off by the cap has no end"
    assert np.isfinite(events["estimate"][thrown]).all()


@pytest.mark.slow
def test_results_do_not_hang_on_the_tick() -> None:
    """People decide every 0.05 s at a tick of 0.05 or of 0.0125 s: completion within 0.01 and luck.

    Strike, dump and cup; the difference is paired, its false alarm 0.001.
    """
    for name, plan in (("middle-reset", "strike"), ("middle-reset", "dump"), ("cup", "swing")):
        ready = line_up(load(name).with_setting("plan", plan))
        fine = dataclasses.replace(ready.scene, tick=0.0125)
        numbers = np.arange(3000)
        first, second = (
            rehearse(scene, ready.offence, ready.defence, numbers, 9).results["outcome"] < 2
            for scene in (ready.scene, fine)
        )
        gap = first.astype(float) - second
        assert abs(gap.mean()) < 0.01 + 3.3 * gap.std() / np.sqrt(len(gap)), (name, plan)
