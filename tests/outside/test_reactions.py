"""Seeing, reacting and being fooled against published figures.

Each test says which kind its source is: published, or memory (a published value not re-read).
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from policies.covers import Cover
from policies.man import Man
from sim.ability import LEVELS, Ability
from sim.intent import run
from sim.possession import Possession
from tests.sim.plays import scene


def test_first_response_lies_between_the_light_and_the_choice() -> None:
    """0.278-0.40 s. Published: decision time to a change of direction 0.278 +- 0.036 s (light) and
    0.311 +- 0.047 s (video of a player), Henry 2011, IJSPP 6(4):534. Memory: two-choice reaction
    0.30-0.40 s."""
    for name, able in LEVELS.items():
        assert 0.278 <= able.reaction <= 0.40, name


def test_tracking_is_a_simple_reaction() -> None:
    """0.213-0.231 s. Published: simple visual reaction, Woods 2015, Front Hum Neurosci 9:131."""
    for name, able in LEVELS.items():
        assert 0.213 <= able.tracking <= 0.231, name
        assert able.tracking < able.reaction


def test_reactions_differ_between_players_as_much_as_published() -> None:
    """Published: Henry 2011, 0.036/0.278 and 0.047/0.311, so a relative spread of 0.13-0.15."""
    assert 0.036 / 0.278 - 0.005 <= Ability().reaction_spread <= 0.047 / 0.311


def test_right_first_decisions() -> None:
    """Published: Henry 2013, JSCR 27(11):3190: 94 +- 7 % right, 83 +- 20 % after a second
    stimulus."""
    assert 1.0 - Ability().misread == pytest.approx(0.94)
    assert 1.0 - Ability().misread_again == pytest.approx(0.83)


def runs(steps: int) -> Any:
    """A plan: one second of standing, `steps` false steps of 0.35 s (with their way back), a run."""

    def decide(me: Any, s: Any) -> Any:
        if me.slot != 1 or me.now < 1.0:
            return run(0.0, 0.0)
        step = int((me.now - 1.0) / 0.35)
        if step < max(2 * steps - 1, 0):
            return run(-8.0 if step % 2 == 0 else 8.0, 0.0)
        return run(8.0, 0.0)

    return type("Runs", (), {"decide": staticmethod(decide)})()


@cache
def turned(steps: int, n: int = 40) -> np.ndarray:
    """Seconds from the decisive step until the follower moves that way at 1 m/s, (n,)."""
    able = LEVELS["elite"]
    start = scene([(0.0, 20.0), (-3.0, 32.0)], [(0.0, 21.1), (-3.0, 33.5)], time_cap=6.0, able=able)
    found = []
    for number in range(n):
        cover = Man(handlers=Cover(stance="backing", cushion=1.5, tighten=0.0, turn_late=0.0))
        model = Possession(start, runs(steps), cover, number, 3)
        begins = 1.0 + 0.35 * max(2 * steps - 1, 0)
        while not model.over:
            model.step()
            g = model.game
            if g.play.now > begins and g.players[3].vx >= 1.0:
                break
        found.append(float(model.game.play.now) - begins)
    return np.array(found)


@pytest.mark.slow
def test_the_first_response_to_a_run_that_nobody_announced() -> None:
    """From the start to a follower at 1 m/s: the reaction (0.278-0.40 s, as above) and the time
    that legs take to 1 m/s, 0.13-0.25 s by the law of motion."""
    assert 0.35 <= np.median(turned(0)) <= 0.70


@pytest.mark.slow
def test_a_feint_costs_the_follower_what_was_published() -> None:
    """Henry 2012, J Sports Sci (published): +0.509 +- 0.243 s on the agility time; one false step
    against none, n 40 each, standard error below 0.05 s."""
    cost = turned(1).mean() - turned(0).mean()
    assert 0.509 - 0.243 - 0.15 <= cost <= 0.509 + 0.243 + 0.15
