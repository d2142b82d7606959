"""`check_policy` passes what is good and says in plain words what is wrong with what is not."""

from __future__ import annotations

import random
import sys
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from policies import BUILT_IN, Man, check_policy
from policies.cuts import Cut
from policies.marks import FORCES, Mark
from policies.moves import sprint, stand_at
from sim.intent import Intent, run
from sim.settings import setting

CALLS: list[int] = []


def running(text: Any) -> Any:
    """A policy with this rule."""
    return type("Mine", (), {"decide": staticmethod(text)})()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("kind", "name"), [(kind, name) for kind, named in BUILT_IN.items() for name in named]
)
def test_every_built_in_policy_passes(kind: str, name: str) -> None:
    report = check_policy(BUILT_IN[kind][name]())
    assert report.ok and not report.warnings, report
    assert report.decisions > 300


@pytest.mark.slow
@pytest.mark.parametrize("force", FORCES)
def test_a_mark_of_every_force_is_its_own_mirror_image(force: str) -> None:
    report = check_policy(Man(mark=Mark(force=force)))
    assert report.ok and not report.warnings, report


@dataclass(frozen=True)
class Zigzag(Cut):
    """Zigzag: to one side, then to the other."""

    turn: float = setting(0.6, low=0.1, high=2.0, unit="s")

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """First to the break side, then to the open side."""
        if me.since < s.turn:
            return sprint(me, -0.5, 0.8, s.pace, -1.0)
        return sprint(me, 1.0, 0.3, s.pace, me.since - s.turn)


def test_a_cut_of_ones_own_with_ifs_passes() -> None:
    report = check_policy(Zigzag())
    assert report.ok and not report.warnings, report
    assert "nothing wrong" in str(report)


def typo(me: Any, s: Any) -> Intent:
    """Asks for something that is not there."""
    return stand_at(me, me.to_opne, 30.0)


def no_intent(me: Any, s: Any) -> Any:
    """Returns a pair."""
    return (1.0, 2.0)


def not_finite(me: Any, s: Any) -> Intent:
    """Runs at nan."""
    return run(float("nan"), 0.0)


def much_too_fast(me: Any, s: Any) -> Intent:
    """Thinks in something else than metres a second."""
    return run(5000.0, 0.0)


def writes(me: Any, s: Any) -> Intent:
    """Moves the others about."""
    me.seen[0].x = 3.0
    return run(0.0, 0.0)


def tosses(me: Any, s: Any) -> Intent:
    """Leaves it to chance."""
    return run(random.random(), 0.0)


def draws(me: Any, s: Any) -> Intent:
    """The same by numpy."""
    return run(float(np.random.random()), 0.0)  # noqa: NPY002


def remembers(me: Any, s: Any) -> Intent:
    """Keeps something outside of the memory."""
    CALLS.append(1)
    return run(0.001 * len(CALLS), 0.0)


def divides(me: Any, s: Any) -> Intent:
    """By nothing."""
    return run(1.0 / int(me.now * 0.0), 0.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (typo, "did you mean to_open"),
        (no_intent, "must return an Intent"),
        (not_finite, "finite number"),
        (much_too_fast, "m/s"),
        (writes, "only me.memory"),
        (tosses, "random generator"),
        (draws, "random generator"),
        (remembers, "outside of me.memory"),
        (divides, "guard the division"),
    ],
)
def test_what_is_wrong_is_told(text: Any, said: str) -> None:
    report = check_policy(running(text), "defence")
    assert not report.ok
    assert said in str(report), report


def test_the_line_of_a_failure_is_named() -> None:
    assert "stand_at(me, me.to_opne, 30.0)" in str(check_policy(running(typo), "defence"))


def test_shape_of_the_class() -> None:
    assert "give an object of it" in str(check_policy(Man))
    assert "no function decide" in str(check_policy(object()))
    not_static = type("Mine", (), {"decide": lambda self, view: run(0.0, 0.0)})()
    assert "@staticmethod" in str(check_policy(not_static))
    with pytest.raises(ValueError, match="allowed are offence, defence"):
        check_policy(Man(), "referee")


def test_what_is_not_the_same_in_the_mirror_is_warned_of() -> None:
    report = check_policy(running(lambda me, s: run(1.0, 0.0)), "defence")
    assert report.ok
    assert "mirror image" in str(report)


def writes_text(me: Any, s: Any) -> Intent:
    """Fine in Python, and nothing that numba compiles."""
    return run(0.0, float(f"{me.now:.1f}") * 0.0)


def test_what_cannot_be_compiled_is_named_and_played_all_the_same() -> None:
    report = check_policy(running(writes_text), "defence")
    assert report.ok
    assert "cannot be compiled" in str(report) and "slower" in str(report)


def test_the_side_is_found_by_what_fits() -> None:
    assert check_policy(Man()).side == "defence"
    assert check_policy(Zigzag()).side == "offence"


def test_chance_is_left_as_it_was() -> None:
    random.seed(5)
    expected = random.Random(5).random()
    check_policy(running(tosses), "defence")
    assert random.random() == expected
    assert "policies.check" in sys.modules
