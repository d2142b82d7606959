"""Many rehearsals of a scene, compiled; without Mesa, whose import takes half a second."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np

from sim import machine_code
from sim.ensemble import Arena, play_scene
from sim.laws import Judgements
from sim.luck import luck_of
from sim.record import Record
from sim.rulebook import cannot_compile, parts_of
from sim.scene import Scene


def rehearse(
    scene: Scene,
    offence: Any,
    defence: Any,
    rehearsals: np.ndarray,
    seed: int,
    *,
    judgements: Judgements | None = None,
) -> Record:
    """Play many rehearsals of a scene, compiled; a row a rehearsal, in the order of `rehearsals`.

    A rule that cannot be compiled is played as ordinary Python, some hundred times slower, with a
    warning.

    Parameters
    ----------
    rehearsals : (R,) int64, the numbers of the rehearsals, not negative.
    """
    numbers = np.ascontiguousarray(rehearsals, dtype=np.int64)
    if numbers.size and numbers.min() < 0:
        raise ValueError(f"rehearsals are numbered from 0; found {numbers.min()}")
    why = why_not_compiled(offence, defence) if machine_code.wanted() else ""
    if why:
        slow = "it is played uncompiled, some hundred times slower: about a second a play"
        warnings.warn(f"{why}; {slow}", stacklevel=2)
    if why or not machine_code.wanted():
        from sim.possession import rehearse_plain  # Mesa, for plays as ordinary Python

        return rehearse_plain(scene, offence, defence, numbers, seed, judgements=judgements)
    arena = Arena(scene, offence, defence, judgements, luck_of(seed, 0))
    return Record(scene, *play_scene(arena, numbers))


def why_not_compiled(*policies: Any) -> str:
    """Why the rules of these policies cannot be compiled, in words; empty if they can."""
    for policy in policies:
        for part in [policy, *parts_of(policy, ())]:
            why = cannot_compile(type(part), as_part=part is not policy)
            if why:
                return why
    return ""
