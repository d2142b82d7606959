"""A thrower pictures a pass as it comes to be: the picture beside the play that followed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from experiments import load
from experiments.situations.lineup import line_up
from policies import looks
from policies.picturing import (
    STRIDE,
    UNSEEN,
    Picture,
    foresee,
    lag_after,
    running_for,
    seen_late,
)
from policies.reading import HELD_UP, as_meant, way_round
from sim import luck, play, throwing
from sim.ability import Ability
from sim.flight import load_table
from sim.intent import BACKHAND, FLAT, FLOATED, FOREHAND
from sim.motion import Moving
from sim.possession import Possession
from sim.settings import describe_settings
from sim.state import KNOTS

HELD = 0


def pictures(plan: str, monkeypatch: pytest.MonkeyPatch) -> np.ndarray:
    """How far off the picture was when both have noticed the throw.

    Columns: receiver, m; run in all, m; cover, m; by how much the cover's speed along the run was
    pictured too high, m/s.
    """
    ready = line_up(load("middle-reset").with_setting("plan", plan))
    found = []
    for number in range(8):
        last: dict[str, Any] = {}

        def spy(me: Any, team: Any, r: Any, *rest: Any, last: Any = last) -> Any:
            picture = foresee(me, team, r, *rest)
            last.update(seen=picture, who=me.call_who, at=me.now + me.release_in + r.late)
            return picture

        monkeypatch.setattr(looks, "foresee", spy)
        model = Possession(ready.scene, ready.offence, ready.defence, number, 3)
        where, decided = [], None
        while not model.over:
            model.step()
            p = model.game.play
            if p.phase != HELD and decided is None:
                decided = dict(last) if last.get("who") == p.receiver else {}
            if decided:
                g, shadow = model.game, decided["seen"].shadow
                runner, cover = g.players[decided["who"]], g.players[shadow]
                row = (p.now, runner.x, runner.y, cover.x, cover.y)
                where.append((*row, runner.vx, runner.vy, cover.vx, cover.vy))
        if decided and where[-1][0] > decided["at"]:
            seen, ways = decided["seen"], np.array(where, float)
            x, y, cx, cy, vx, vy, wx, wy = (
                np.interp(decided["at"], ways[:, 0], ways[:, k]) for k in range(1, 9)
            )
            speed = max(np.hypot(vx, vy), 1e-6)
            fast = ((seen.cover.vx - wx) * vx + (seen.cover.vy - wy) * vy) / speed
            off = np.hypot(x - seen.run.x, y - seen.run.y)
            far = np.hypot(*(ways[-1, 1:3] - ways[0, 1:3]))
            found.append((off, far, np.hypot(cx - seen.cover.x, cy - seen.cover.y), fast))
    return np.array(found)


@pytest.mark.slow
@pytest.mark.parametrize("plan", ["dump", "strike", "up-line", "swing"])
def test_the_runner_is_pictured_where_the_runner_is(
    plan: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A lag not made up for, or a release that comes later than reckoned with, is a metre off."""
    off, run, cover, fast = pictures(plan, monkeypatch).T
    assert len(off) >= 5
    assert run.mean() > 2.0, "they run"
    assert off.mean() < 0.5
    assert cover.mean() < 1.0
    assert abs(fast.mean()) < 1.0, "the cover comes as late as covers do"


def test_a_throw_is_judged_on_the_way_that_it_flies() -> None:
    """The picture's way is the one of `sim.throwing` without errors: the same points to the bit."""
    ready = line_up(load("middle-reset"))
    model = Possession(ready.scene, ready.offence, ready.defence, 0, 3)
    g, view = model.game, model.view
    play.look(g, view, 1)
    for kind in (BACKHAND, FOREHAND):
        for shape in (FLAT, FLOATED):
            way = np.zeros((KNOTS, 3))
            step = as_meant(view, load_table(), kind, shape, 8.0, 41.0, way)
            g.play.thrower, g.play.kind, g.play.curve, g.play.height = 1, kind, shape, 1.0
            g.play.aim_x, g.play.aim_y = 8.0, 41.0
            throwing._fly(g, load_table(), throwing.meant(g), throwing.WITHOUT_ERRORS)
            assert step == g.play.knot_step
            assert np.array_equal(way, np.asarray(g.knots))
            straight = np.abs(way[:, 0] - np.interp(way[:, 1], way[[0, -1], 1], way[[0, -1], 0]))
            assert straight.max() > 0.2, "no disc flies along a line"


def running(times: list[float], speed: float) -> np.ndarray:
    """Somebody who runs along x at one speed, in the rows that `seen_late` reads."""
    t = np.array(times)
    return np.column_stack([t, speed * t, 0.0 * t, speed + 0.0 * t, 0.0 * t])


@pytest.mark.parametrize("lag", [0.1, 0.22, 0.34])
def test_who_runs_on_evenly_is_seen_where_he_is_and_who_starts_is_seen_late(lag: float) -> None:
    """Carried on at the velocity seen: exact at an even speed; a start is missed by what was gained."""
    even = running([0.0, 0.1, 0.2, 0.3, 0.4, 0.5], 6.0)
    assert seen_late(even, 5, 0.45, lag, 9.0) == pytest.approx((6.0 * 0.45, 0.0, 6.0, 0.0))
    # at rest until 0.2 s before the first row, then even gain up to 2 m/s: x = v^2 / 2a there is 0.2 m
    begun = running([0.0], 2.0)
    begun[0, 1] = 0.2
    x, _, vx, _ = seen_late(begun, 0, 0.0, lag, 0.2)
    left = max(1.0 - lag / 0.2, 0.0)
    assert vx == pytest.approx(2.0 * left)
    assert x == pytest.approx(0.2 * left**2 + vx * lag)
    assert x < 0.2 + 1e-9


def test_a_defender_sees_a_run_later_at_its_start_and_never_sooner_than_tracking() -> None:
    body = Ability(reaction=0.34, tracking=0.22)
    lags = [lag_after(body, t) for t in (0.0, 0.33, 0.5, 2.0)]
    assert lags[:2] == [0.34, 0.34]
    assert 0.22 < lags[2] < 0.34
    assert lags[3] == 0.22


def test_strides_are_as_long_as_said_however_late_somebody_sees() -> None:
    """More than `UNSEEN` of them would find no room in the table, so they would be made longer."""
    highest = {row["name"]: row["high"] for row in describe_settings(Ability)}
    latest = highest["reaction"] * (1.0 + highest["reaction_spread"] * luck.MOST)
    assert highest["tracking"] < latest
    assert latest / STRIDE <= UNSEEN


def test_how_long_somebody_has_run_is_read_off_the_sprint_law() -> None:
    """v = vmax (1 - exp(-t / tau)), Furusawa 1927."""
    body = Ability()
    for t in (0.1, 0.5, 1.5):
        speed = body.top_speed * (1.0 - np.exp(-t / body.sprint_time))
        assert running_for(body, speed) == pytest.approx(t)


@pytest.mark.parametrize(
    ("place", "costs"),
    [((1.5, 0.0), 1.0), ((1.5, 0.5), 0.5), ((1.5, 1.2), 0.0), ((-1.0, 0.0), 0.0)],
)
def test_only_who_is_in_the_way_to_the_catch_has_to_be_gone_round(
    place: tuple[float, float], costs: float
) -> None:
    """Ahead, half aside, beside and behind a receiver who goes 6 m along x."""
    picture = Picture(6.0, 0.0, 1.0, 0.0, Moving(0.0, 0.0, 6.0, 0.0), 9, Moving(*place, 0.0, 0.0))
    assert way_round(picture) == pytest.approx(costs * HELD_UP)
