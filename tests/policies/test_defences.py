"""Defences: covers stand on the side they take away, tighten with the count; cups keep the count."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from experiments import load
from experiments.situations.lineup import line_up
from policies.covers import STANCES, lean
from policies.marks import FORCES, open_side
from sim import play, rules
from sim.possession import Possession
from sim.rehearsing import rehearse
from sim.taping import tape


def ready(name: str = "middle-reset", **settings: Any) -> Any:
    """A shipped situation with some settings changed, ready to be played."""
    situation = load(name)
    for path, value in settings.items():
        situation = situation.with_setting(path.replace("__", "."), value)
    return line_up(situation)


def test_every_stance_stands_on_the_side_it_takes_away() -> None:
    """A handler 10 m to the break side of a disc at the origin, open side to the right."""

    def way(stance: str) -> np.ndarray:
        return np.array(lean(STANCES.index(stance), -10.0, 0.0, 0.0, 0.0, 1.0, 0.0))

    disc, goal, dump = np.array([1.0, 0.0]), np.array([0.0, 1.0]), np.array([0.8, -0.6])
    assert way("fronting") @ disc > 0.99
    assert way("backing") @ goal > 0.99
    assert way("deny-dump") @ dump > 0.8 and way("deny-dump")[1] < 0.0
    assert way("deny-up-line")[1] > 0.5 and way("deny-up-line")[0] > 0.0
    assert way("inside")[0] > 0.5 and way("inside")[1] > 0.3
    assert way("siding")[0] > 0.9
    assert way("tight")[0] > 0.0 and way("tight")[1] > 0.0
    for stance in STANCES:
        assert np.hypot(*way(stance)) == pytest.approx(1.0)
        mirrored = lean(STANCES.index(stance), 10.0, 0.0, 0.0, 0.0, -1.0, 0.0)
        assert (-mirrored[0], mirrored[1]) == tuple(way(stance))


def gap(model: Possession, attacker: int, defender: int) -> float:
    """Distance of two players, m."""
    a, b = model.game.players[attacker], model.game.players[defender]
    return float(np.hypot(a.x - b.x, a.y - b.y))


def test_a_cover_tightens_and_turns_toward_the_dump_with_the_count() -> None:
    looks = {"plans__swing__looks__0__from": 9.8, "plans__swing__last_call": 10.0}
    r = ready(plan="swing", plans__swing__free=False, defences__man__handlers__cushion=2.0, **looks)
    model = Possession(r.scene, r.offence, r.defence, 0, 5)
    gaps, behind = {}, {}
    while not model.over and rules.count_of(model.game) < 8.4:
        model.step()
        count = round(float(rules.count_of(model.game)), 2)
        gaps[count] = gap(model, 0, 7)
        behind[count] = float(model.game.players[7].y - model.game.players[0].y)
    assert gaps[max(gaps)] < 0.8 * gaps[4.5]
    assert behind[max(gaps)] < behind[4.5]


def test_a_helper_sags_by_as_much_as_is_said() -> None:
    places = []
    for sag in (0.0, 0.4, 0.8):
        r = ready(defence="poach", defences__poach__help__sag=sag, plan="dump")
        model = Possession(r.scene, r.offence, r.defence, 0, 5)
        for _ in range(12):
            model.step()
        places.append(gap(model, 2, 9))
    assert places == sorted(places) and places[2] > places[0] + 1.0


def test_the_last_back_keeps_behind_all() -> None:
    behind: dict[str, list[float]] = {"nobody": [], "last-back": []}
    for off, gaps in behind.items():
        r = ready("possession", defences__man__help__off=off)
        for number in range(12):
            seen = tape(r.scene, r.offence, r.defence, number, 5)
            then = (seen.times > 2.0) & (seen.times < 5.0) & (seen.holder >= 0)
            down = seen.positions[then, :, 1]
            gaps += list(down[:, 7:].max(axis=1) - down[:, :7].max(axis=1))
    assert np.mean(behind["last-back"]) > np.mean(behind["nobody"]) + 0.5


def test_the_sides_that_forces_leave_open() -> None:
    for hand in (1.0, -1.0):
        assert open_side(FORCES.index("forehand"), hand, 5.0) == hand
        assert open_side(FORCES.index("backhand"), hand, 5.0) == -hand
        for home, bench in enumerate((1.0, -1.0)):
            assert open_side(FORCES.index("home"), hand, 5.0, home) == bench
            assert open_side(FORCES.index("away"), hand, 5.0, home) == -bench
    assert open_side(FORCES.index("middle"), 1.0, 5.0) == -1.0
    assert open_side(FORCES.index("sideline"), 1.0, 5.0) == 1.0


def test_the_mark_flips_turns_and_keeps_its_distance() -> None:
    quiet = {"plans__swing__looks__0__from": 9.8, "plans__swing__last_call": 10.0}
    r = ready(plan="swing", defence="flip", plans__swing__free=False, **quiet)
    model = Possession(r.scene, r.offence, r.defence, 0, 5)
    sides, far = {}, []
    while not model.over and rules.count_of(model.game) < 7.5:
        model.step()
        sides[round(float(rules.count_of(model.game)), 2)] = int(model.game.play.open_side)
        far.append(gap(model, 1, 8))
    assert sides[4.5] == 1 and sides[max(sides)] == -1, "flip_at = 5"
    assert min(far) > 0.6, "disc space: never into the thrower"
    assert np.median(far) == pytest.approx(1.1, abs=0.25)


@pytest.mark.parametrize("name", ["cup", "middle-reset", "trapped-sideline"])
def test_the_count_of_the_file_holds_from_the_start(name: str) -> None:
    r = ready(name)
    model = Possession(r.scene, r.offence, r.defence, 0, 5)
    for k in range(10):
        model.decide()
        assert rules.count_of(model.game) == pytest.approx(r.scene.stall + 0.05 * k)
        play.advance(model.game)


def test_the_cup_stands_inside_the_lines_and_moves_with_the_disc() -> None:
    r = ready("cup")
    tapes = [tape(r.scene, r.offence, r.defence, number, 5) for number in range(20)]
    for seen in tapes:
        assert (np.abs(seen.positions[:, 7:14, 0]) <= r.scene.field.half_width + 0.6).all()
    marks = {int(mark) for seen in tapes for mark in seen.mark}
    assert marks - {-1}
    assert marks <= {-1, 7, 8, 9}, "one of the three marks"


def test_a_switch_takes_the_one_who_comes_nearer() -> None:
    from policies.switching import after_switch
    from tests.sim.plays import Still, begun, place, scene

    arena = begun(
        scene([(0.0, 20.0), (-1.0, 30.0), (1.0, 30.0)], [(0.0, 21.0), (-3.0, 31.0), (3.0, 31.0)]),
        offence=Still(),
    )
    g, view = arena.games[0], arena.views[0]
    place(g, 1, 1.2, 30.0)
    place(g, 2, -1.2, 30.0)
    for _ in range(20):
        play.perception.remember(g)
        g.play.tick += 1
    play.look(g, view, 4)
    assert after_switch(view, 1) == 2
    play.look(g, view, 5)
    assert after_switch(view, 2) == 1


def test_who_defends_matters() -> None:
    """The dump is completed least against the cover that takes it away, by more than luck."""
    shares = {}
    for stance in ("tight", "fronting", "backing", "deny-dump", "deny-up-line", "sagging"):
        r = ready(plan="dump", defences__man__handlers__stance=stance)
        rows = rehearse(r.scene, r.offence, r.defence, np.arange(600), 5).results
        shares[stance] = float((rows["outcome"] < 2).mean())
    # 600 each; the difference of two such shares has a standard error of 0.011 at most
    assert min(shares, key=lambda stance: shares[stance]) == "deny-dump"
    assert shares["deny-dump"] < shares["tight"] - 0.034, shares
