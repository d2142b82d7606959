"""`check_policy` passes what is good and says in plain words what is wrong with what is not."""

from __future__ import annotations

import dataclasses
import math
import random
import re

import numpy as np
import pytest
from policies.frame import unit

from policies import BUILT_IN, Man, Mark, check_policy
from policies.check import arena
from policies.cuts import Cut
from policies.marks import FORCES
from sim.intent import Intent, Throw
from sim.luck import Purpose
from sim.motion import limit

FITTING = [
    pytest.param(kind, name, id=f"{kind}-{name}")
    for kind in ("offence", "defence", "cut", "cover", "mark")
    for name in BUILT_IN[kind]
]


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "name"), FITTING)
def test_every_built_in_policy_passes(kind, name):
    side = kind if kind in ("offence", "defence") else None
    report = check_policy(BUILT_IN[kind][name](), side)
    assert report.ok, report
    assert not report.warnings, report
    assert report.decisions > 500


@pytest.mark.slow
@pytest.mark.parametrize("force", [force for force in FORCES if force != "forehand"])
def test_every_force_passes(force):
    report = check_policy(Mark(force=force))
    assert report.ok, report
    assert not report.warnings, report


class Waits:
    """Stands still; the others below do one thing more."""

    def decide(self, view):
        return Intent(run=self.run(view), throw=self.throw(view) if view.has_disc else None)

    def run(self, view):
        return np.zeros((len(view), 2))

    def throw(self, view):
        return None


class Chases(Waits):
    """Everybody runs to where the disc seems to be."""

    def run(self, view):
        return limit(4.0 * (view.disc - view.pos), 8.0)


class Throws(Waits):
    """Throws to the first other one, at once; `changes` overrule what is said of the throw."""

    def __init__(self, **changes):
        self.changes = changes

    def throw(self, view):
        rows = len(view)
        nil = np.zeros(rows, dtype=np.int64)
        to = nil + (view.slot == 0)
        whole = Throw(
            go=nil == 0,
            to=to,
            aim=view.seen(to).pos,
            kind=nil,
            shape=nil,
            over=nil > 0,
            look=nil - 1,
            estimate=np.ones(rows),
        )
        changes = {name: value(rows) for name, value in self.changes.items()}
        return dataclasses.replace(whole, **changes)


def test_simple_policies_pass_on_both_sides():
    for policy in (Chases(), Throws()):
        report = check_policy(policy, "offence")
        assert report.ok, report
    report = check_policy(Chases(), "defence")
    assert report.ok, report
    assert str(report).startswith("Chases, as defence: nothing wrong in ")


def complaints(policy, side="offence"):
    report = check_policy(policy, side)
    assert not report.ok
    assert " wrong in " in str(report)
    return "\n".join(report.complaints)


def running(run):
    """A policy with this run."""
    made = Waits()
    made.run = run
    return made


@pytest.mark.parametrize(
    ("run", "told"),
    [
        (lambda view: np.zeros(2), r"run has shape \(2,\) in a view of 1 rehearsal.* \(1, 2\)"),
        (lambda view: np.zeros((1, 2)), r"run has shape \(1, 2\) in a view of 5 rehearsals"),
        (lambda view: [[0.0, 0.0]] * len(view), "run is a list; it must be a numpy array"),
        (lambda view: np.full((len(view), 2), np.nan), "run holds nan, which is no finite"),
        (lambda view: np.full((len(view), 2), np.inf), "run holds inf"),
        (lambda view: np.zeros((len(view), 2), dtype=complex), "run holds complex128"),
        (lambda view: np.full((len(view), 2), 1e200), r"run holds 1e\+200; allowed are"),
    ],
)
def test_a_run_of_another_form_is_told(run, told):
    assert re.search(told, complaints(running(run))), told


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"go": np.ones}, "throw.go holds float64; it must hold true or false"),
        ({"go": lambda rows: True}, "throw.go is a bool; it must be a numpy array"),
        ({"to": lambda rows: np.ones(rows)}, "throw.to holds float64; it must hold whole"),
        ({"to": lambda rows: np.full(rows, 1)}, "throw.to is the thrower"),
        ({"to": lambda rows: np.full(rows, 9)}, "throw.to holds 9; allowed are 0 to 6"),
        ({"to": lambda rows: np.full(rows, -1)}, "throw.to holds -1; allowed are 0 to 6"),
        ({"kind": lambda rows: np.full(rows, 2)}, "throw.kind holds 2; allowed are 0 to 1"),
        ({"shape": np.zeros}, "throw.shape holds float64"),
        ({"shape": lambda rows: np.full(rows, 4)}, "throw.shape holds 4; allowed are 0 to 3"),
        ({"over": lambda rows: np.zeros(rows, dtype=int)}, "throw.over holds int64"),
        ({"aim": lambda rows: np.full((rows, 2), np.nan)}, "throw.aim holds nan"),
        ({"aim": lambda rows: np.zeros(rows)}, r"throw.aim has shape \(1,\)"),
        ({"estimate": lambda rows: np.full(rows, 80.0)}, "throw.estimate holds 80.0; .* 0.0 to"),
        ({"look": lambda rows: np.full(rows, -2)}, "throw.look holds -2; allowed are at least"),
    ],
)
def test_a_throw_of_another_form_is_told(changes, told):
    assert re.search(told, complaints(Throws(**changes))), told


def intent_of(**more):
    """A policy that waits, and says this beside."""

    class Says(Waits):
        def decide(self, view):
            said = {name: value(view) for name, value in more.items()}
            return Intent(run=np.zeros((len(view), 2)), **said)

    return Says()


@pytest.mark.parametrize(
    ("policy", "told"),
    [
        (intent_of(watch=lambda view: np.zeros(len(view))), "watch holds float64"),
        (intent_of(watch=lambda view: np.full(len(view), 14)), "watch holds 14; .* -1 to 13"),
        (intent_of(open_side=lambda view: np.zeros(len(view), int)), "open_side holds 0; allowed"),
        (intent_of(open_side=lambda view: np.ones(len(view), int)), "by a player who does not"),
        (intent_of(notes=lambda view: {"a": np.zeros(3)}), r"notes\['a'\] has shape \(3,\)"),
        (intent_of(notes=lambda view: {"a": 1.0}), r"notes\['a'\] has shape \(\)"),
        (intent_of(notes=lambda view: {"a": np.array(["b"] * len(view))}), "holds <U1"),
        (intent_of(notes=lambda view: [1]), "notes are a list"),
        (
            intent_of(
                notes=lambda view: {"a": np.zeros(len(view), int if view.now < 1 else float)}
            ),
            r"notes\['a'\] holds float64 of shape \(R,\), and held int64 of shape \(R,\) before",
        ),
        (intent_of(throw=lambda view: "hammer"), "throw is a str"),
        (intent_of(throw=Throws().throw), "it throws without the disc"),
    ],
)
def test_the_rest_of_an_intent_is_told(policy, told):
    assert re.search(told, complaints(policy, "defence")), told


def unfrozen(view):
    view.pos.flags.writeable = True
    view.pos[:] = 0.0
    return np.zeros((len(view), 2))


def behind(view):
    vars(view)["_world"].pos[:, view.slot] = 0.0
    return np.zeros((len(view), 2))


def renamed(view):
    view.remembered = view.now
    return np.zeros((len(view), 2))


def replaced(view):
    view.now = 3.0
    return np.zeros((len(view), 2))


def filled(view):
    view.pos[:] = 0.0
    return np.zeros((len(view), 2))


@pytest.mark.parametrize(
    ("run", "told"),
    [
        (filled, "read-only.*work on a copy"),
        (unfrozen, r"it wrote to view.pos"),
        (behind, "it wrote to pos"),
        (renamed, "it wrote to view.remembered"),
        (replaced, "it wrote to view.now"),
    ],
)
def test_changed_inputs_are_told(run, told):
    assert re.search(told, complaints(running(run))), told


@pytest.mark.parametrize(
    ("run", "told"),
    [
        (lambda view: np.random.rand(len(view), 2), "global generator of numpy.random"),  # noqa: NPY002
        (lambda view: np.full((len(view), 2), random.random()), "global generator of random"),
    ],
)
def test_global_randomness_is_told_and_left_as_it_was(run, told):
    of_numpy, of_python = np.random.get_state(), random.getstate()  # noqa: NPY002
    text = complaints(running(run))
    assert told in text
    assert "view.luck" in text
    after = np.random.get_state()  # noqa: NPY002
    assert all(np.array_equal(a, b) for a, b in zip(of_numpy, after, strict=True))
    assert random.getstate() == of_python


class OwnDice(Waits):
    def __init__(self):
        self.rng = np.random.default_rng(3)

    def run(self, view):
        return self.rng.normal(size=(len(view), 2))


class Counts(Waits):
    """Changes its mind with every tenth question, whoever asks."""

    asked = 0

    def run(self, view):
        self.asked += 1
        return np.full((len(view), 2), float(self.asked // 10 % 2))


class Remembers(Waits):
    """Keeps in itself what belongs into the notes."""

    def __init__(self):
        self.last = {}

    def run(self, view):
        before = self.last.get((view.slot, len(view)), view.disc)
        self.last[view.slot, len(view)] = view.disc
        return 10.0 * (view.disc - before)


class Forgets(Waits):
    """Goes another way from the third play on; a play begins when the clock goes back."""

    plays = now = 0

    def run(self, view):
        self.plays += view.now < self.now
        self.now = view.now
        return np.full((len(view), 2), 1.0 if self.plays >= 2 else 0.0)


@pytest.mark.parametrize("policy", [OwnDice(), Counts()])
def test_different_answers_for_the_same_view_are_told(policy):
    text = complaints(policy)
    assert "asked twice for the same view, its answer differs in run" in text
    assert "use the notes" in text


def test_state_outside_of_the_notes_is_told():
    assert "asked twice for the same view" in complaints(Remembers(), "defence")


def test_another_course_in_a_later_play_is_told():
    assert "played a second time" in complaints(Forgets())


@pytest.mark.parametrize(
    "run",
    [
        lambda view: view.pos - view.pos.mean(axis=0),
        lambda view: np.random.default_rng(1).normal(size=(len(view), 2)),
        lambda view: np.full((len(view), 2), float(len(view))),
        lambda view: np.zeros((len(view), 2)) + (np.arange(len(view)) == 0)[:, None],
    ],
)
def test_rehearsals_that_depend_on_each_other_are_told(run):
    text = complaints(running(run), "defence")
    assert "rehearsals must not depend on each other" in text


def at_present(view):
    world = vars(view)["_world"]
    return limit(world.pos[vars(view)["_rows"], 0] - view.pos, 5.0)


def behind_the_view(view):
    return limit(view._world.pos[view._rows, 0] - view.pos, 5.0)


def flight(view):
    world = vars(view)["_world"]
    return limit(world.aim[vars(view)["_rows"]] - view.pos, 5.0)


@pytest.mark.parametrize("run", [at_present, behind_the_view, flight])
def test_looking_at_the_present_is_told(run):
    text = complaints(running(run), "defence")
    assert "it looks at the present" in text
    assert "use view.seen" in text
    assert ("it reads view._world" in text) == (run is behind_the_view)


@pytest.mark.slow
def test_luck_that_is_not_the_players_own_is_told():
    def run(view):
        return np.full((len(view), 2), view.luck.normal(Purpose.THROW_ANGLE)[:, None])

    assert "it draws luck for THROW_ANGLE" in complaints(running(run), "defence")

    def fair(view):
        way = view.open_side * view.luck.uniform(Purpose.CHOICE, slot=view.slot)
        return np.stack([way, np.zeros(len(view))], axis=1)

    report = check_policy(running(fair), "defence")
    assert report.ok, report
    assert not report.warnings, report


@pytest.mark.parametrize(
    ("run", "told"),
    [
        (lambda view: view.pos if view.count > 3 else view.vel, "use numpy.where"),
        (lambda view: view.pos / math.sqrt(view.count), "use numpy's"),
        (lambda view: view.velocity, r"did you mean view.vel\?"),
        (lambda view: view.notes["place"], "use view.notes.get"),
        (lambda view: view.pos * view.count, r"a\[:, None\]"),
        (lambda view: 1 / 0, "ZeroDivisionError: division by zero, in <lambda>, line"),
    ],
)
def test_exceptions_are_told_in_words_with_the_line(run, told):
    text = complaints(running(run), "defence")
    assert "decide failed with" in text
    assert "in <lambda>, line" in text
    assert re.search(told, text), told


def test_what_is_no_policy_is_told():
    assert "give an object of it: Man()" in complaints(Man)
    assert "no method decide" in complaints(object())
    assert "decide returned None" in complaints(intent_none())
    with pytest.raises(ValueError, match="offence, defence and None"):
        check_policy(Man(), "referee")


def intent_none():
    class Nothing:
        def decide(self, view):
            return None

    return Nothing()


def test_starts_of_another_form_are_told():
    class Starts(Chases):
        def starts(self, attackers, handlers, guards, holder, open_side):
            return attackers[0]

    text = complaints(Starts(), None)
    assert "starts failed" in text
    assert "(7, 2)" in text


@pytest.mark.slow
def test_a_policy_that_is_not_the_same_in_the_mirror_is_warned_of():
    def right(view):
        return np.stack([np.full(len(view), 2.0), np.zeros(len(view))], axis=1)

    report = check_policy(running(right), "defence")
    assert report.ok
    assert "the mirrored play was not the mirror image" in report.warnings[0]


@pytest.mark.slow
def test_a_slow_policy_is_warned_of():
    class Loops(Waits):
        def run(self, view):
            total = np.zeros((len(view), 2))
            for row in range(len(view)):
                for _ in range(8):
                    total[row] += unit(view.disc[row : row + 1])[0]
            return limit(total * 0.0, 1.0)

    report = check_policy(Loops(), "defence")
    assert report.ok, report
    assert "it is slow" in " ".join(report.warnings)


def test_numpys_warnings_are_passed_on():
    report = check_policy(running(lambda view: view.pos * 0.0 * np.tanh(view.pos / 0.0)), "defence")
    assert "RuntimeWarning while deciding: divide by zero" in " ".join(report.warnings)


@pytest.mark.slow
def test_the_side_is_found_when_it_is_not_given():
    class Reads(Waits):
        def run(self, view):
            return np.zeros((len(view), 2)) + view.defenders[view.slot - len(view.attackers)] * 0

        def decide(self, view):
            if view.slot < len(view.attackers):
                raise RuntimeError("this is a defence")
            return super().decide(view)

    assert check_policy(Reads()).side == "defence"
    assert check_policy(Mark()).side == "defence"


def test_a_cut_is_checked_within_a_plan():
    @dataclasses.dataclass(frozen=True)
    class Flat(Cut):
        def heading(self, runner):
            return runner.speed * 1.0  # no direction

    assert "decide failed" in complaints(Flat(), None)


def test_a_start_of_play_of_ones_own_is_used():
    seen = []

    class Looks(Waits):
        def run(self, view):
            seen.append(view.scene.attackers[0].name)
            return np.zeros((len(view), 2))

    scene = arena.play(None)
    first = dataclasses.replace(scene.attackers[0], name="somebody")
    scene = dataclasses.replace(scene, attackers=(first, *scene.attackers[1:]), time_cap=1.0)
    assert check_policy(Looks(), "offence", scene=scene).ok
    assert set(seen) == {"somebody"}
