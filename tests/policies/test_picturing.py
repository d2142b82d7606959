"""A thrower pictures a pass as it comes to be: the picture beside the play that followed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from experiments import load
from experiments.situations.lineup import line_up
from policies import looks
from policies.picturing import foresee
from policies.reading import as_meant
from sim import play, throwing
from sim.intent import BACKHAND, FLAT, FLOATED, FOREHAND
from sim.possession import Possession
from sim.state import KNOTS
from sim.throwing import release_offset, side_of

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

        def spy(
            me: Any, team: Any, r: Any, look: int, who: int, *rest: Any, last: Any = last
        ) -> Any:
            picture = foresee(me, team, r, look, who, *rest)
            last.update(seen=picture, who=who, at=me.now + me.release_in + r.late)
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
            fast = ((seen.with_vx - wx) * vx + (seen.with_vy - wy) * vy) / speed
            off = np.hypot(x - seen.run_x, y - seen.run_y)
            far = np.hypot(*(ways[-1, 1:3] - ways[0, 1:3]))
            found.append((off, far, np.hypot(cx - seen.with_x, cy - seen.with_y), fast))
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
            step = as_meant(view, model.arena.table, kind, shape, 8.0, 41.0, way)
            g.play.thrower, g.play.kind, g.play.curve, g.play.height = 1, kind, shape, 1.0
            g.play.aim_x, g.play.aim_y = 8.0, 41.0
            off_x, off_y = release_offset(
                view.x, view.y, 8.0, 41.0, side_of(float(view.hand), kind), g.body[1].pivot
            )
            throwing._fly(
                g, model.arena.table, view.x + off_x, view.y + off_y, float(view.hand), 0.0, 0.0, 0.0,
                0.0, 0.0,
            )  # fmt: skip
            assert step == g.play.knot_step
            assert np.array_equal(way, np.asarray(g.knots))
            straight = np.abs(way[:, 0] - np.interp(way[:, 1], way[[0, -1], 1], way[[0, -1], 0]))
            assert straight.max() > 0.2, "no disc flies along a line"
