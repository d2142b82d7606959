"""Tells the author of a policy, in plain words, what is wrong with it."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from policies.check import arena, words
from policies.check.arena import Arena, Paths
from policies.check.probe import Probe, Stopped, Timed, generators_kept
from policies.check.report import Findings, Report
from sim.scene import DEFENCE, OFFENCE, Scene

SIDES = (OFFENCE, DEFENCE)
TOGETHER = 5  # rehearsals played together
TIMED, USUAL = 200, 4000  # rehearsals timed, and in a study of the usual size
SLOW = 30.0  # s of one processor for a study of the usual size; the built-in ones take 2 to 5

__all__ = ["Report", "check_policy"]


def check_policy(
    policy: Any, side: str | None = None, *, scene: Scene | None = None, open_side: int = 1
) -> Report:
    """What is wrong with a policy.

    It is played, one rehearsal and several at once, against a built-in opponent. Every decision is
    looked at; many are asked for again, for some of the rehearsals alone, in another order, and
    with another present behind the same view. Takes a few seconds.

    Parameters
    ----------
    policy : an offence or defence policy; or a cut, cover or mark, which is checked within the
        built-in policy that uses it.
    side : "offence" or "defence"; None to judge by what the policy looks like, or else to try
        offence first and report defence if that fits better.
    scene : the start of play to check it in, such as ``line_up(situation).scene``, for a policy
        that is made for one; a seven-a-side reset from the middle if None.
    open_side : +1 or -1, the side that the force leaves open in that scene.

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
    policy = policy if isinstance(policy, type) else arena.whole(policy)
    if not callable(getattr(policy, "decide", None)):
        findings.complain("it has no method decide(self, view) that returns an Intent")
    if findings.complaints:
        return findings.report(name, side or OFFENCE)
    side = side or arena.likely_side(policy)
    with generators_kept():
        best = side or OFFENCE
        findings = _checked(policy, best, scene, open_side)
        if side is None and findings.complaints:
            other = _checked(policy, DEFENCE, scene, open_side)
            if len(other.complaints) < len(findings.complaints):
                best, findings = DEFENCE, other
    return findings.report(name, best)


def _checked(policy: Any, side: str, scene: Scene | None, open_side: int) -> Findings:
    findings = Findings()
    try:
        if scene is None:
            scene = arena.play(policy if side == DEFENCE else None)
    except Exception as error:  # whatever goes wrong in somebody else's code
        findings.complain(words.in_words(error, "starts"))
        return findings
    scene = dataclasses.replace(
        scene, until="possession", time_cap=min(scene.time_cap, arena.LONGEST)
    )
    place = Arena(scene, side, open_side)
    probe, ids = Probe(policy, findings), np.arange(TOGETHER)
    alone: Paths = {}
    paths: Paths = {}
    try:
        alone = place.paths(probe, ids[:1])
        paths = place.paths(probe, ids)
    except Stopped:
        pass  # the findings say why
    if not findings.complaints:
        try:
            _whole_plays(policy, place, alone, paths, findings)
            _speed(policy, place, findings)
        except Exception as error:  # it must have been hidden until now
            findings.complain(words.in_words(error))
    return findings


def _whole_plays(
    policy: Any, place: Arena, alone: Paths, together: Paths, findings: Findings
) -> None:
    """Compare a whole play with plays that should be the same."""
    ids = np.array([*together])
    if not _alike(together, place.paths(policy, ids)):
        findings.complain(
            "the same rehearsals went another way when played a second time: it remembers "
            "something outside of the notes of Intent, or leaves something to chance"
        )
        return
    if not _alike(alone, together):
        findings.complain(
            "a rehearsal went another way when played alone: rehearsals must not depend on each "
            "other"
        )
        return
    mirrored = place.mirrored().paths(policy, ids)
    flip = np.array([-1.0, 1.0])
    if not _alike(together, {rehearsal: path * flip for rehearsal, path in mirrored.items()}):
        findings.warn(
            "the mirrored play was not the mirror image: measure sideways from view.open_side, "
            "as policies.frame.Frame does, and bearings by arctan2(x, y)"
        )


def _alike(one: Paths, other: Paths) -> bool:
    return all(np.array_equal(path, other[rehearsal]) for rehearsal, path in one.items())


def _speed(policy: Any, place: Arena, findings: Findings) -> None:
    timed = Timed(policy)
    scene = dataclasses.replace(place.scene, until="throw")
    Arena(scene, place.side, place.open_side).model(timed, np.arange(TIMED)).run()
    usual = timed.seconds * USUAL / TIMED
    if usual > SLOW:
        findings.warn(
            f"it is slow: {USUAL:,} rehearsals up to the first throw would keep one processor busy "
            f"for about {usual:.0f} s in this policy alone; let numpy work on all rehearsals at "
            "once instead of looping over them"
        )
