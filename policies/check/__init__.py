"""Tells the author of a policy, in plain words, what is wrong with it."""

from __future__ import annotations

from typing import Any

import numpy as np

from policies.check import arena
from policies.check.report import Findings, Report
from policies.check.watching import Stopped, chance_trapped, path_of
from policies.check.words import in_words
from sim.rehearsing import why_not_compiled
from sim.rulebook import rule_text
from sim.scene import DEFENCE, OFFENCE, Scene

SIDES = (OFFENCE, DEFENCE)

__all__ = ["Report", "check_policy"]


def check_policy(policy: Any, side: str | None = None, *, scene: Scene | None = None) -> Report:
    """What is wrong with a policy.

    It is first played as ordinary Python, in plays with and without the disc, marking and covering,
    under both forces and in the mirror; every answer is looked at. Then it is compiled; what cannot
    be is named with its line, and played uncompiled.

    Parameters
    ----------
    policy : an offence or defence policy; or a cut, cover or mark, which is checked within the
        built-in policy that uses it.
    side : "offence" or "defence"; None tries offence first and reports defence if that fits better.
    scene : a further start of play to check it in, such as ``line_up(situation).scene``.

    Raises
    ------
    ValueError : `side` is something else.
    """
    if side is not None and side not in SIDES:
        raise ValueError(f"side is {side!r}; allowed are {OFFENCE}, {DEFENCE} and None")
    name = policy.__name__ if isinstance(policy, type) else type(policy).__name__
    findings = Findings()
    if isinstance(policy, type):
        findings.complain(f"this is the class; give an object of it: {name}()")
        return findings.report(name, side or OFFENCE)
    try:
        rule_text(type(policy))
    except TypeError as error:
        findings.complain(str(error))
        return findings.report(name, side or OFFENCE)
    played, known = arena.whole(policy)
    side = known or side or (DEFENCE if hasattr(policy, "starts") else None)
    found = _checked(played, side or OFFENCE, scene)
    if side is None and found.complaints:
        other = _checked(played, DEFENCE, scene)
        if not other.complaints:
            side, found = DEFENCE, other
    return found.report(name, side or OFFENCE)


def _checked(policy: Any, side: str, scene: Scene | None) -> Findings:
    findings, mine = Findings(), SIDES.index(side)
    other = arena.opponent(side)
    sides = (policy, other) if mine == 0 else (other, policy)
    try:
        starts = arena.scenes(sides[1])
    except Exception as error:  # whatever goes wrong in somebody else's code
        findings.complain(in_words(error, "starts"))
        return findings
    starts += [("in the scene given", scene)] if scene is not None else []
    try:
        for where, start in starts:
            with chance_trapped(findings, where):
                path = path_of(start, sides, mine, findings, where)
                again = path_of(start, sides, mine, findings, where)
                swapped = (arena.benches_swapped(sides[0]), arena.benches_swapped(sides[1]))
                mirror = path_of(arena.mirrored(start), swapped, mine, findings, where)
            if not np.array_equal(path, again):
                findings.complain(
                    "the same rehearsal went another way a second time: it remembers something "
                    "outside of me.memory, or leaves something to chance or to the clock",
                    where,
                )
            if path.shape != mirror.shape or not np.array_equal(path * (-1.0, 1.0), mirror):
                findings.warn(
                    "the mirrored play was not the mirror image: measure sideways in the frame of "
                    "the disc (me.to_open, me.open), and bearings by sim.elementary.bearing",
                    where,
                )
    except Stopped:
        return findings
    except Exception as error:  # settings out of range, parts that are no policies
        findings.complain(in_words(error))
        return findings
    why = why_not_compiled(policy)
    if why:
        findings.warn(f"{why}; it is played as ordinary Python, some hundred times slower")
    return findings
