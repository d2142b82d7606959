"""A thrower pictures a pass as it comes to be: the picture beside the play that followed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from experiments import load
from experiments.situations.lineup import line_up
from policies import looks
from policies.picturing import foresee
from sim.possession import Possession

HELD = 0


def pictures(plan: str, monkeypatch: pytest.MonkeyPatch) -> np.ndarray:
    """How far off receivers were pictured when both have noticed the throw, and run in all, m."""
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
            play = model.game.play
            if play.phase != HELD and decided is None:
                decided = dict(last) if last.get("who") == play.receiver else {}
            if decided:
                runner = model.game.players[decided["who"]]
                where.append((float(play.now), float(runner.x), float(runner.y)))
        if decided and where[-1][0] > decided["at"]:
            times, x, y = np.array(where).T
            seen = decided["seen"]
            off = np.hypot(
                np.interp(decided["at"], times, x) - seen.run_x,
                np.interp(decided["at"], times, y) - seen.run_y,
            )
            found.append((off, np.hypot(x[-1] - x[0], y[-1] - y[0])))
    return np.array(found)


@pytest.mark.parametrize("plan", ["dump", "strike", "up-line", "swing"])
def test_the_runner_is_pictured_where_the_runner_is(
    plan: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A lag not made up for, or a release that comes later than reckoned with, is a metre off."""
    off, run = pictures(plan, monkeypatch).T
    assert len(off) >= 5
    assert run.mean() > 2.0, "they run"
    assert off.mean() < 0.5
