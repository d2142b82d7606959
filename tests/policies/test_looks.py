"""The plan: looks are called, heard, run, thrown or waved off; nobody is thrown to who does not run."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from experiments import load
from experiments.situations.lineup import line_up
from policies.cuts import CUTS
from policies.looks import Look, Looks
from policies.shape import own_place
from sim import play
from sim.possession import Possession
from sim.rehearsing import rehearse
from sim.state import FLYING, WIND_UP
from sim.taping import tape

N = 300


def ready(name: str = "middle-reset", **settings: Any) -> Any:
    """A shipped situation with some settings changed, ready to be played."""
    situation = load(name)
    for path, value in settings.items():
        situation = situation.with_setting(path.replace("__", "."), value)
    return line_up(situation)


def events(r: Any, n: int = N, seed: int = 5) -> dict[str, np.ndarray]:
    """What was called, waved off, faked and thrown in n rehearsals."""
    record = rehearse(r.scene, r.offence, r.defence, np.arange(n), seed)
    return record.events(r.offence.look_names)


def table(r: Any, n: int = N, seed: int = 5) -> dict[str, np.ndarray]:
    """The rows of n rehearsals."""
    return rehearse(r.scene, r.offence, r.defence, np.arange(n), seed).columns(r.offence.look_names)


def test_a_look_is_called_at_its_count_and_run_a_reaction_later() -> None:
    r = ready()
    looks = (dataclasses.replace(r.offence.looks[0], start=5.0),)
    model = Possession(r.scene, dataclasses.replace(r.offence, looks=looks), r.defence, 0, 5)
    called, ran = None, None
    while not model.over:
        model.step()
        p = model.game.play
        if called is None and p.call_look == 0:
            called = float(p.now)
        if ran is None and np.hypot(model.game.players[0].vx, model.game.players[0].vy) > 0.5:
            ran = float(p.now)
    assert called == pytest.approx(1.0, abs=0.11), "count 5 is a second after count 4"
    assert 0.2 < ran - called < 0.9


def test_nobody_is_thrown_to_who_is_not_running_what_was_called_or_standing_open() -> None:
    for name in ("middle-reset", "possession"):
        found = events(ready(name), 150)
        thrown = np.flatnonzero(found["event"] == "thrown")
        for k in thrown:
            if found["stall"][k] >= 8.0 or found["look"][k] == "open player":
                continue
            before = [
                j
                for j in range(k)
                if found["rehearsal"][j] == found["rehearsal"][k] and found["event"][j] == "called"
            ]
            last = before[-1]
            assert found["look"][last] == found["look"][k]
            assert found["receiver"][last] == found["receiver"][k]
            assert found["at_s"][k] - found["at_s"][last] > 0.4, "heard, and run"


@pytest.mark.slow
def test_a_cutter_stuck_in_a_crowd_is_not_thrown_to_as_if_running() -> None:
    """At the moment of the decision a runner is seen on the way, or is meant to stand."""
    r = ready("week-end-zone-pair", plan="handler-goes")
    speeds = []
    for number in range(12):
        model, thrown = Possession(r.scene, r.offence, r.defence, number, 5), 0
        while not model.over:
            model.step()
            p = model.game.play
            if p.phase == WIND_UP and p.throws == thrown and p.look >= 0:
                thrown += 1
                runner = model.game.players[int(p.receiver)]
                speeds.append(float(np.hypot(runner.vx, runner.vy)))
    assert len(speeds) > 10
    assert np.min(speeds) > 1.0


def test_a_covered_look_is_waved_off_and_the_next_one_called() -> None:
    r = ready("possession")
    found = events(r)
    waved = np.flatnonzero(found["event"] == "waved off")
    assert waved.size > 10
    later = [
        k + 1
        for k in waved
        if k + 1 < len(found["event"]) and found["rehearsal"][k + 1] == found["rehearsal"][k]
    ]
    after = {str(found["event"][k]) for k in later}
    assert "called" in after


@pytest.mark.slow
def test_somebody_waved_off_does_not_stand_in_the_covered_spot() -> None:
    r = ready(defence="siding", plan="strike")
    moving = []
    for number in range(6):
        model = Possession(r.scene, r.offence, r.defence, number, 5)
        waved = None
        while not model.over:
            model.step()
            g = model.game
            for event in g.events[: g.play.events]:
                if event.event == 2:
                    waved = float(event.at)
            if waved is not None and 0.4 < g.play.now - waved < 1.0 and g.play.phase == 0:
                moving.append(float(np.hypot(g.players[0].vx, g.players[0].vy)))
    assert moving and np.mean(moving) > 0.8


@pytest.mark.slow
def test_a_run_goes_on_to_the_side_it_was_called_for_when_the_mark_flips() -> None:
    """The force flips while the swing is run: the runner goes on to where the disc was called."""
    apart, flipped = [], 0
    for number in range(5):
        runs = []
        for defence in ("man", "flip"):
            r = ready(plan="swing", defence=defence)
            model, way = Possession(r.scene, r.offence, r.defence, number, 5), []
            while not model.over and model.game.play.phase < FLYING:
                model.step()
                runner = model.game.players[2]
                way.append((float(runner.x), float(runner.y)))
            flipped += int(model.game.play.open_side != r.scene.open_side)
            runs.append(np.array(way))
        k = min(len(run) for run in runs) - 1
        assert np.hypot(*(runs[0][k] - runs[0][0])) > 0.8, "on the run"
        apart.append(float(np.hypot(*(runs[0][k] - runs[1][k]))))
    assert flipped >= 3, "before the release"
    assert np.max(apart) < 0.3


def test_cutters_draw_together_before_the_back_line_and_not_into_one_place() -> None:
    r = ready("possession")
    model = Possession(r.scene, r.offence, r.defence, 0, 5)
    g, view = model.game, model.view
    g.play.completions = 1
    for down in (40.0, 62.0):
        for slot in range(7):
            g.players[slot].y += down - g.players[1].y
        play.keep_spots(g)
        play.set_scene(g, view)
        for _ in range(int(g.ground.depth)):
            play.perception.remember(g)
            g.play.tick += 1
        places = []
        for slot in range(3, 7):
            play.look(g, view, slot)
            places.append(own_place(view))
        gaps = np.diff(np.array(places)[:, 1])
        assert np.all(gaps > 1.0), "one behind the other"
        assert np.array(places)[:, 1].max() < 80.0, "with room behind the deepest"


def test_a_pickier_thrower_throws_later_and_to_better_chances() -> None:
    early, late = (table(ready(plan="around", plans__around__picky=p)) for p in (0.5, 0.95))
    assert np.nanmean(late["release_s"]) > np.nanmean(early["release_s"])
    assert np.nanmean(late["estimate"]) > np.nanmean(early["estimate"])


def test_last_call_is_a_bail_out_and_hardly_anybody_stalls() -> None:
    r = ready(plan="around", plans__around__picky=0.99)
    found = table(r)
    assert (found["outcome"] == "stalled").mean() < 0.05
    assert (found["stall_at_release"] > 8.0).any()


def test_fakes_are_shown_first_and_cost_time() -> None:
    plain = ready(plan="dump")
    faked = dataclasses.replace(plain, offence=dataclasses.replace(plain.offence, fakes=2))
    found = events(faked)
    assert (found["event"] == "faked").sum() >= N
    assert np.nanmean(table(faked)["release_s"]) > np.nanmean(table(plain)["release_s"])


def test_windows_and_passes_of_looks_hold() -> None:
    looks = (
        Look("left", CUTS["dump"](), 4.0, 10.0, on_pass=2, name="second"),
        Look("right", CUTS["swing"](), 5.0, 10.0, on_pass=1, name="first"),
    )
    r = ready()
    found = events(dataclasses.replace(r, offence=Looks(looks=looks, free=False)))
    called = found["event"] == "called"
    assert set(found["look"][called]) == {"first"}
    assert found["stall"][called].min() >= 5.0 - 1e-9


def test_the_last_thrower_changes_at_the_catch() -> None:
    r = ready("possession", time_cap=8.0)
    model = Possession(r.scene, r.offence, r.defence, 1, 5)
    while not model.over:
        model.step()
        p = model.game.play
        if p.completions == 0:
            assert p.last_thrower == -1
        elif p.phase == 0:
            assert p.last_thrower != p.holder


def test_the_shape_is_filled_again_after_a_strike() -> None:
    """With refill three handlers stand across the field again; without, the space stays empty."""
    wide = {}
    for refill in (True, False):
        r = ready(until="possession", time_cap=7.0, plans__strike__refill=refill)
        spans = []
        for number in range(12):
            seen = tape(r.scene, r.offence, r.defence, number, 5)
            caught = seen.times[1:][(seen.holder[:-1] < 0) & (seen.holder[1:] >= 0)]
            if len(caught) and seen.times[-1] >= caught[0] + 2.0:
                then = int(np.searchsorted(seen.times, caught[0] + 2.0))
                spans.append(np.ptp(seen.positions[then, :3, 0]))
        assert spans
        wide[refill] = np.mean(spans)
    assert wide[True] > wide[False]
