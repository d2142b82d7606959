"""Who is first where, against cases with a known answer."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from experiments.tapes.openness import abilities_of, openness
from sim.ability import ability
from sim.field import named
from sim.motion import Legs, Moving
from sim.reach import reach_time


def two(velocity: tuple[float, float] = (0.0, 0.0)) -> SimpleNamespace:
    """One of each team, 10 m apart on the long axis of symmetry x = 0."""
    positions = np.array([[[-5.0, 30.0], [5.0, 30.0]]])
    velocities = np.array([[velocity, (0.0, 0.0)]])
    return SimpleNamespace(
        times=np.array([0.0]),
        positions=positions,
        velocities=velocities,
        names=("a", "b"),
        teams=("offence", "defence"),
        field=named("wfdf"),
    )


def test_equal_players_share_the_field_at_the_line_between_them() -> None:
    """Standing still with equal legs, each is first on its own half (a Voronoi diagram)."""
    found = openness(two(), [ability()] * 2, 0.0)
    assert (found.margin[:, found.x < 0] > 0).all()
    assert (found.margin[:, found.x > 0] < 0).all()
    np.testing.assert_allclose(found.margin[:, found.x == 0], 0.0, atol=1e-9)


def test_mirrored_players_give_the_mirrored_field() -> None:
    one = openness(two(), [ability()] * 2, 0.0)
    tape = two()
    tape.positions = tape.positions * [-1.0, 1.0]
    other = openness(tape, [ability()] * 2, 0.0)
    np.testing.assert_array_equal(one.margin, other.margin[:, ::-1])


def test_a_faster_player_is_first_on_more_of_the_field() -> None:
    level = openness(two(), [ability()] * 2, 0.0)
    fast = openness(two(), [ability(top_speed=9.5), ability(top_speed=7.5)], 0.0)
    assert (fast.margin > 0).mean() > (level.margin > 0).mean() + 0.02


def test_running_already_counts() -> None:
    """At 6 m/s toward +x the offence is first at the middle, and later behind its back."""
    still = openness(two(), [ability()] * 2, 0.0)
    running = openness(two((6.0, 0.0)), [ability()] * 2, 0.0)
    row = int(np.argmin(np.abs(still.y - 30.0)))
    assert running.margin[row, np.argmin(np.abs(still.x))] > 0.3
    assert running.soonest[row, 0] > still.soonest[row, 0]


def test_times_are_those_of_the_law_of_motion() -> None:
    abilities = [ability("club"), ability("novice")]
    found = openness(two(), abilities, 0.0)
    target = np.array([found.x[3], found.y[40]])
    expected = reach_time(
        Moving(-5.0, 30.0, 0.0, 0.0), Legs(8.0, 1.10, abilities[0].grip), *target, 0.0
    )
    assert found.soonest[40, 3] == pytest.approx(float(expected), abs=1e-12)
    assert found.first[40, 3] == 0


def test_mistakes_are_named() -> None:
    tape = two()
    with pytest.raises(ValueError, match="3 abilities were given for 2 players"):
        openness(tape, [ability()] * 3, 0.0)
    with pytest.raises(ValueError, match=r"runs from 0\.00 to 0\.00 s; 5 s is outside"):
        openness(tape, [ability()] * 2, 5.0)
    tape.teams = ("offence", "offence")
    with pytest.raises(ValueError, match="players of both teams"):
        openness(tape, [ability()] * 2, 0.0)


def test_abilities_come_in_the_order_of_the_tape() -> None:
    situation = SimpleNamespace(
        attackers=("a1", "a2"), defenders=("d1",), ability_of=lambda player: player.upper()
    )
    assert abilities_of(situation) == ["A1", "A2", "D1"]
