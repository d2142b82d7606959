"""Seeing, reacting and arriving against published figures.

Each test says which kind its source is: published, or memory (a published value not re-read).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from sim.world import World
from tests.sim.rig import Script, lay_out, player

from policies import Man, reading
from sim.ability import LEVELS, Ability
from sim.motion import advance
from sim.perception import WRONG_STEP, History
from sim.possession import Possession
from sim.reach import reach_time
from sim.view import View

N = 400


def test_first_response_lies_between_the_light_and_the_choice():
    """0.278-0.40 s. Published: decision time to a change of direction 0.278 +- 0.036 s (light) and
    0.311 +- 0.047 s (video of a player), Henry 2011, IJSPP 6(4):534. Memory: two-choice reaction
    0.30-0.40 s."""
    for name, able in LEVELS.items():
        assert 0.278 <= able.reaction <= 0.40, name


def test_tracking_is_a_simple_reaction():
    """0.213-0.231 s. Published: simple visual reaction, Woods 2015, Front Hum Neurosci 9:131."""
    for name, able in LEVELS.items():
        assert 0.213 <= able.tracking <= 0.231, name
        assert able.tracking < able.reaction


def test_reactions_differ_between_players_as_much_as_published():
    """Published: Henry 2011, 0.036/0.278 and 0.047/0.311, so a relative spread of 0.13-0.15."""
    assert 0.036 / 0.278 - 0.005 <= Ability().reaction_spread <= 0.047 / 0.311


def test_right_first_decisions():
    """Published: Henry 2013, JSCR 27(11):3190: 94 +- 7 % right, 83 +- 20 % after a second
    stimulus."""
    assert 1.0 - Ability().misread == pytest.approx(0.94)
    assert 1.0 - Ability().misread_again == pytest.approx(0.83)


@cache
def responses(level: str, warned: bool = False) -> np.ndarray:
    """Seconds from a runner's unannounced start to the first change of the defender's motion, (N,).

    A rehearsal with the start is held against one of the same luck without it. The runner stands,
    then runs; `warned` puts a false step the other way before it.
    """
    able = LEVELS[level]
    attackers = [player("thrower", (0.0, 20.0), able), player("runner", (-4.0, 30.0), able)]
    defenders = [
        player("mark", (-0.7, 20.85), able, role="defender", guards=0),
        player("defender", (-3.0, 30.5), able, role="defender", guards=1),
    ]
    scene = lay_out(attackers, defenders, stall=1.0, time_cap=3.0)
    go = 1.5

    def moves(runs: bool) -> np.ndarray:
        def run(view):
            false_step = warned and go - 0.7 <= view.now < go - 0.35
            back = warned and go - 0.35 <= view.now < go
            speed = -7.0 if false_step else 7.0 if back else 9.0 if view.now >= go and runs else 0.0
            return np.tile([speed, 0.0], (len(view), 1))

        kept: list[np.ndarray] = []
        model = Possession(
            scene,
            Script(runs={1: run}),
            Man(),
            np.arange(N),
            5,
            watch=lambda m: kept.append(m.world.want[:, 3].copy()),
        )
        while model.now < go + 1.2:
            model.step()
        return np.array(kept)

    with_start, without = moves(True), moves(False)
    differs = (np.abs(with_start - without) > 1e-9).any(axis=2)
    assert differs.any(axis=0).all()
    return np.argmax(differs, axis=0) * scene.tick - go


@pytest.mark.parametrize("level", LEVELS)
def test_a_defender_answers_an_unannounced_start_as_late_as_people_do(level):
    """0.278-0.40 s on average. Published: Henry 2011 (0.278 and 0.311 s); memory: two-choice
    reaction 0.30-0.40 s. Measured from outside: first change of the wanted run, N 400, ticks of
    0.05 s, so half a tick either way."""
    found = responses(level)
    assert 0.278 - 0.025 <= found.mean() <= 0.40 + 0.025
    assert found.std() / found.mean() == pytest.approx(0.13, abs=0.04)
    assert found.min() > 0.15  # nobody is quicker than a nerve


def test_an_announced_one_is_answered_sooner_but_not_sooner_than_a_simple_reaction():
    """Published: Woods 2015, simple visual reaction 0.213-0.231 s."""
    found = responses("elite", warned=True)
    assert found.mean() < responses("elite").mean() - 0.03
    assert found.mean() >= 0.213 - 0.025


def test_a_misread_feint_costs_about_half_a_second():
    """Published: Henry 2012, J Sports Sci: a feint costs 0.509 +- 0.243 s on the agility time.

    The model's misread defender steps the wrong way for `WRONG_STEP` and has to come back. Time
    lost to a point 5 m away, where the runner goes: rehearsed by the motion law alone.
    """
    able = LEVELS["elite"]
    legs = (able.sprint_time, able.grip)
    still = np.zeros(2)
    goal = np.array([5.0, 0.0])
    straight = float(reach_time(still, still, goal, able.top_speed, *legs))
    place, speed = advance(still, still, np.array([-able.top_speed, 0.0]), *legs, WRONG_STEP)
    fooled = WRONG_STEP + float(reach_time(place, speed, goal, able.top_speed, *legs))
    assert 0.509 - 0.243 <= fooled - straight <= 0.509 + 0.243


@pytest.mark.parametrize(
    ("late", "chance"), [(-1.0, 0.0175), (-0.5, 0.1176), (0.0, 0.5), (0.5, 0.8824), (1.0, 0.9825)]
)
def test_what_a_thrower_expects_of_a_race_is_the_logistic_in_time(late, chance):
    """P = 1/(1 + exp(-pi T/(sqrt(3) sigma))), sigma 0.45 s. Published: Spearman 2017, as quoted by
    third parties, with these five values.

    Asked of the thrower's reading: a defender beyond the aim who will be T seconds late at it, by
    the reading's own reckoning of the time (5 m/s less a quarter of the flight).
    """
    flight = 6.0
    beyond = LEVELS["elite"].arm + reading.CLOSING * (late + 0.25 * flight)
    attackers = [player("thrower", (0.0, 20.0)), player("receiver", (0.0, 40.0))]
    defenders = [
        player("mark", (-17.0, -17.0), role="defender", guards=0),
        player("defender", (0.0, 40.0 + beyond), role="defender", guards=1),
    ]
    scene = lay_out(attackers, defenders)
    world = World.begin(scene, np.arange(1), 1, 1)
    world.marker[:] = 2
    view = View(scene, world, History(world, scene), 0, np.arange(1), 0.0, has_disc=True)
    found = reading._unreached(view, np.array([[0.0, 40.0]]), np.array([0.35]), np.array([flight]))
    assert found == pytest.approx(chance, abs=6e-5)
