"""A rule looked at while it is played: what it is given, what it answers, what it leaves changed."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from policies.check.report import Findings
from policies.check.words import in_words
from sim.intent import Intent
from sim.scene import Scene

ABSURD = 40.0  # m/s; the legs cut a wish down, but nobody means this
# of a view, what a rule has no business to write to
_WATCHED = ("seen", "body", "spots", "watched")


class Stopped(Exception):
    """The rule has failed; the findings say how."""


def watched_rule(rule: Callable[..., Any], findings: Findings, where: str) -> Callable[..., Any]:
    """The rule, with each of its answers looked at."""

    def ask(me: Any, row: Any, team: Any) -> Any:
        findings.decisions += 1
        before = [np.array(me[name], copy=True) for name in _WATCHED]
        try:
            answer = rule(me, row, team)
        except Exception as error:  # whatever goes wrong in somebody else's code
            findings.complain(in_words(error), where)
            raise Stopped from error
        if any(
            not np.array_equal(me[name], old) for name, old in zip(_WATCHED, before, strict=True)
        ):
            findings.complain(
                "it wrote into what it was shown: only me.memory may be written", where
            )
            raise Stopped
        fault = fault_of(answer)
        if fault:
            findings.complain(fault, where)
            raise Stopped
        return answer

    return ask


def fault_of(answer: Any) -> str:
    """What is wrong with an answer; empty if nothing is."""
    if not isinstance(answer, Intent):
        return (
            f"decide returned {type(answer).__name__}; it must return an Intent, such as "
            "sim.intent.run(ux, uy) or policies.moves.stand_at(me, x, y)"
        )
    for name in ("ux", "uy", "reach_x", "reach_y", "height", "aim_x", "aim_y"):
        value = getattr(answer, name)
        if not isinstance(value, (int, float, np.number)) or not math.isfinite(value):
            return f"{name} of the Intent is {value!r}; it must be a finite number"
    if math.hypot(answer.ux, answer.uy) > ABSURD * 10.0:
        return (
            f"it wants to run at {math.hypot(answer.ux, answer.uy):.0f} m/s; velocities are in m/s"
        )
    for name in ("watch", "call", "call_who", "throw_to", "kind", "shape", "look", "open_side"):
        value = getattr(answer, name)
        if not isinstance(value, (int, np.integer)):
            return f"{name} of the Intent is {value!r}; it must be a whole number"
    return ""


@contextmanager
def chance_trapped(findings: Findings, where: str) -> Iterator[None]:
    """Note if the global generators are used, and leave them as they were."""
    state, numbers = random.getstate(), np.random.get_state(legacy=False)  # noqa: NPY002
    try:
        yield
        now = np.random.get_state(legacy=False)  # noqa: NPY002
        same = numbers["state"]["pos"] == now["state"]["pos"] and np.array_equal(
            numbers["state"]["key"], now["state"]["key"]
        )
        if random.getstate() != state or not same:
            findings.complain(
                "it leaves something to a global random generator, so that no result can be had "
                "twice: use sim.view.chance(me, occasion)",
                where,
            )
    finally:
        random.setstate(state)
        np.random.set_state(numbers)  # noqa: NPY002


def path_of(
    scene: Scene, sides: tuple[Any, Any], mine: int, findings: Findings, where: str
) -> np.ndarray:
    """Play one rehearsal plain, with the rules of one side looked at; (ticks, P, 2) m."""
    from sim.possession import Possession  # Mesa, which most studies do without

    model = Possession(scene, *sides, rehearsal=3, seed=17)
    for agent in model.agents:
        if (agent.slot >= len(scene.attackers)) == bool(mine):
            agent._rule = watched_rule(agent._rule, findings, where)
    path = []
    while not model.over:
        model.step()
        path.append([(p.x, p.y) for p in model.game.players[: len(scene.players)]])
    return np.array(path)
