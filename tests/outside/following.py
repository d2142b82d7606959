"""A cutter who strikes, with or without false steps first, and the defender who has to follow."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from experiments import Situation
from policies.looks import JITTER
from sim.possession import Possession
from tests.outside.rehearsed import one_look, situation, watched

N_WATCHED = 300
GOES = 1.0  # stall count at which the cutter goes, early enough for three false steps
GATE = 4.0  # m of the run after which the follower's time is taken
RUNNER = 0  # slot of the handler on the break side


def strike_after(false_steps: int) -> Situation:
    """The strike with so many false steps before it, with time for all of them."""
    start = situation("middle-reset", stall=GOES)
    return one_look(start, **{"from": GOES, "false_steps": false_steps})


@dataclass(frozen=True)
class Following:
    """What a follower did, one entry a rehearsal; times from the runner's decisive step.

    Attributes
    ----------
    lag : s behind the present the follower saw at that step.
    turned : s until the follower moved the runner's way at 1 m/s; NaN if not before the throw.
    gate : s until the follower was `GATE` m further along the run than at the start of the play.
    """

    lag: np.ndarray
    turned: np.ndarray
    gate: np.ndarray


@lru_cache(maxsize=4)
def follow(false_steps: int) -> Following:
    """Rehearse the strike and watch the defender of the one who strikes."""
    start = strike_after(false_steps)
    cut = start.plans["tried"].looks[0].built
    guard = len(start.attackers) + [player.guards for player in start.defenders].index("left")
    assert start.attackers[RUNNER].name == "left"
    way = np.array([np.sin(np.deg2rad(cut.angle)), np.cos(np.deg2rad(cut.angle))])
    decisive = np.zeros(N_WATCHED)  # when the runner takes the decisive step, s
    origin = np.zeros(N_WATCHED)
    lag, turned, gate = (np.full(N_WATCHED, np.nan) for _ in range(3))

    def look_on(model: Possession) -> None:
        world, row = model.world, model.world.row
        place = world.pos[:, guard, 0] * way[0] + world.pos[:, guard, 1] * way[1]
        speed = world.vel[:, guard, 0] * way[0] + world.vel[:, guard, 1] * way[1]
        if model.ticks == 0:
            decisive[row] = JITTER * np.abs(world.timing[:, RUNNER]) + cut.delay
            origin[row] = place
        since = model.now - decisive[row]
        for found, now in (
            (lag, np.ones(len(row), dtype=bool)),
            (turned, speed > 1.0),
            (gate, place - origin[row] > GATE),
        ):
            due = now & (since >= 0.0) & np.isnan(found[row])
            found[row[due]] = (world.lag[:, guard] if found is lag else since)[due]

    watched(start, look_on, N_WATCHED)
    return Following(lag, turned, gate)
