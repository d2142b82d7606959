"""A policy that asks another one, in every way that must not matter, and notes what does."""

from __future__ import annotations

import random
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from policies.check import form, trace, words
from policies.check.report import Findings
from sim.intent import Intent
from sim.view import View

EVERY = 4  # ticks between two decisions of a player that are asked for in all ways
PATIENCE = 200  # decisions to look on for once something is wrong


class Stopped(Exception):
    """The policy cannot be played any further; why is in the findings."""


class Probe:
    """Plays a policy and looks at every decision.

    Parameters
    ----------
    policy : anything with `decide`.
    findings : where to note what is wrong.
    thorough : ask again, in parts and in another order; False to check the form only.
    """

    def __init__(self, policy: Any, findings: Findings, *, thorough: bool = True) -> None:
        self.policy, self.findings, self.thorough = policy, findings, thorough
        self._wrong = 0
        self._notes: dict[tuple[int, str], tuple[Any, ...]] = {}

    def decide(self, view: View) -> Intent:
        """The policy's intent, unless it is one that the game cannot take."""
        self.findings.decisions += 1
        where = _place(view)
        before, pristine, traced = trace.kept(view), trace.again(view), trace.TracedView(view)
        intent = self._asked(traced, where)
        self._inputs(traced, pristine, before, where)
        problems = [*form.problems_of(intent, pristine)]
        if not problems:
            problems += self._changed_notes(pristine, intent)
        for problem in problems:
            self.findings.complain(problem, where)
        if problems:
            raise Stopped
        throws = intent.throw is not None and intent.throw.go.any()
        ticks = round(view.now / view.scene.tick)
        if self.thorough and (throws or (ticks + view.slot) % EVERY == 0):
            self._in_every_way(pristine, intent, where)
        if self.findings.complaints:
            self._wrong += 1
            if self._wrong > PATIENCE:
                raise Stopped
        return intent

    def _asked(self, view: View, where: str) -> Intent:
        """One decision, with what it does beside deciding noted."""
        before = _generators()
        try:
            with warnings.catch_warnings(record=True) as heard:
                warnings.simplefilter("always")
                intent: Intent = self.policy.decide(view)
        except Exception as error:  # whatever goes wrong in somebody else's code
            self.findings.complain(words.in_words(error), where)
            raise Stopped from error
        for warning in heard:
            name = type(warning.message).__name__
            self.findings.warn(f"{name} while deciding: {warning.message}", where)
        for which, state in _generators().items():
            if state == before[which]:
                continue
            self.findings.complain(
                f"it draws from the global generator of {which}, so that no result can be had "
                "twice: draw from view.luck, as view.luck.uniform(Purpose.CHOICE)",
                where,
            )
        return intent

    def _inputs(
        self, view: trace.TracedView, pristine: View, before: dict[str, np.ndarray], where: str
    ) -> None:
        for name in trace.changes(view, pristine, before):
            self.findings.complain(
                f"it wrote to {name}; what a policy is given is not its own: work on a copy", where
            )
        for name in sorted(trace.prying(view)):
            self.findings.complain(
                f"it reads view.{name}, which is behind the view: a player knows what the public "
                "names of the view say and no more",
                where,
            )
        for purpose in sorted(trace.foreseen(view)):
            self.findings.complain(
                f"it draws luck for {purpose}, which decides what happens to the play; its own "
                f"luck is {', '.join(p.name for p in trace.OWN_LUCK)}",
                where,
            )

    def _changed_notes(self, view: View, intent: Intent) -> list[str]:
        """Notes that are not of the kind they were before; the game keeps the first kind."""
        found = []
        for key, value in intent.notes.items():
            array = np.asarray(value)
            kind = (array.dtype, *array.shape[1:])
            first = self._notes.setdefault((view.slot, key), kind)
            if kind != first:
                found.append(f"notes[{key!r}] holds {_kind(kind)}, and held {_kind(first)} before")
        return found

    def _in_every_way(self, view: View, intent: Intent, where: str) -> None:
        rows = np.arange(len(view))
        if not self._same(trace.again(view), view, intent, rows, where, _TWICE):
            return  # the other questions would only say so again
        one = rows[[round(view.now / view.scene.tick) % len(rows)]]
        for ask in (rows[::-1], one) if len(rows) > 1 else ():
            if not self._same(trace.of_rows(view, ask), view, intent, ask, where, _TOGETHER):
                return
        self._same(trace.with_another_present(view), view, intent, rows, where, _PRESENT)

    def _same(
        self, asked: View, view: View, intent: Intent, rows: np.ndarray, where: str, meaning: str
    ) -> bool:
        """Whether the policy answers `asked` as it answered those rows of `view`."""
        try:
            answer = self._asked(asked, where)
        except Stopped:
            self.findings.complain(meaning.format("fails"), where)
            raise
        if next(form.problems_of(answer, asked), None) is not None:
            self.findings.complain(meaning.format("has another form"), where)
            raise Stopped
        whole, part = _meant(intent, view), _meant(answer, asked)
        for name in sorted(whole.keys() | part.keys()):
            one = whole[name][rows] if name in whole else _as_before(name, asked, part[name])
            other = part[name] if name in part else _as_before(name, asked, one)
            if not trace.equal(one, other):
                self.findings.complain(meaning.format(f"differs in {name}"), where)
                return False
        return True


_NOTE = "note "
_TWICE = (
    "asked twice for the same view, its answer {}: it must depend on the view alone; to remember "
    "something use the notes of Intent, and for chance view.luck"
)
_TOGETHER = (
    "asked for some of the rehearsals alone or in another order, its answer {}: rehearsals must "
    "not depend on each other (no sums, means or draws over the rehearsals)"
)
_PRESENT = (
    "it looks at the present: with the same past and another present its answer {}; use view.seen"
)


def _meant(intent: Intent, view: View) -> dict[str, np.ndarray]:
    """What an intent amounts to, so that two ways of saying the same are equal."""
    rows, throw = len(view), intent.throw
    meant = {
        "run": intent.run,
        "watch": view.watching if intent.watch is None else intent.watch,
        "open_side": view.open_side if intent.open_side is None else intent.open_side,
    }
    go = np.zeros(rows, dtype=bool) if throw is None else throw.go
    meant["throw.go"] = go
    for name in ("to", "aim", "kind", "shape", "over", "look", "estimate"):
        value = np.zeros((rows, 2) if name == "aim" else rows)
        if throw is not None:
            given = getattr(throw, name)
            value = np.where(go if given.ndim == 1 else go[:, None], given, value)
        meant[f"throw.{name}"] = value
    return meant | {f"{_NOTE}{key}": np.asarray(value) for key, value in intent.notes.items()}


def _as_before(name: str, view: View, like: np.ndarray) -> np.ndarray:
    """The value of a note that an intent says nothing about: the game keeps the one it has."""
    kept = view.notes.get(name.removeprefix(_NOTE))
    return np.zeros_like(like) if kept is None else kept


class Timed:
    """A policy, and the processor time it takes."""

    def __init__(self, policy: Any) -> None:
        self.policy, self.seconds = policy, 0.0

    def decide(self, view: View) -> Intent:
        """The policy's intent."""
        began = time.process_time()
        intent: Intent = self.policy.decide(view)
        self.seconds += time.process_time() - began
        return intent


def _place(view: View) -> str:
    name = view.scene.players[view.slot].name
    what = " with the disc" if view.has_disc else " marking" if view.marking else ""
    rows = len(view)
    return f"{name!r}{what} at {view.now:.2f} s, {rows} rehearsal{'' if rows == 1 else 's'}"


def _kind(kind: tuple[Any, ...]) -> str:
    dtype, *shape = kind
    return f"{dtype} of shape ({', '.join(['R', *map(str, shape)])}{',' if not shape else ''})"


def _generators() -> dict[str, tuple[Any, ...]]:
    """The states of the global generators, by module."""
    state: Any = np.random.get_state()  # noqa: NPY002 - to see who draws from it
    kind, key, *rest = state
    return {"numpy.random": (kind, key.tobytes(), *rest), "random": random.getstate()}


@contextmanager
def generators_kept() -> Iterator[None]:
    """Leave the global generators as they were, whatever a policy does to them."""
    of_numpy, of_python = np.random.get_state(), random.getstate()  # noqa: NPY002
    try:
        yield
    finally:
        np.random.set_state(of_numpy)  # noqa: NPY002
        random.setstate(of_python)
