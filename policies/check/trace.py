"""Views that note how they are used, and the same view with something changed behind it."""

from __future__ import annotations

import copy
import dataclasses
import sys
from collections.abc import Mapping
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from sim.world import World

from sim import view as view_module
from sim.luck import Luck, Purpose
from sim.view import View

# Draws a player may make a decision of; the others decide what happens to the decision.
OWN_LUCK = (Purpose.TIMING, Purpose.CUT, Purpose.HELP, Purpose.CHOICE, Purpose.POSITION)

# Of World, by whom: what a view never shows of the others, and never shows of anybody.
_OF_THE_OTHERS = ("pos", "vel", "want", "lag", "fooled_until", "meet")
_OF_NOBODY = ("aim", "knots", "estimate", "release_at")


class TracedView(View):
    """A view that notes attempts to get behind it."""

    def __init__(self, view: View) -> None:
        self.__dict__.update(pieces(view))
        self._prying: set[str] = set()
        self._foreseen: set[str] = set()

    def __getattribute__(self, name: str) -> Any:
        if name[:1] == "_" and name[:2] != "__":
            asker = sys._getframe(1).f_code.co_filename
            if asker not in (view_module.__file__, __file__):
                object.__getattribute__(self, "_prying").add(name)
        return object.__getattribute__(self, name)

    @property
    def luck(self) -> Luck:
        """The draws of these rehearsals; asking for somebody else's is noted."""
        world: World = self._world
        return _TracedLuck(world.luck.take(self._rows), self._foreseen)


class _TracedLuck(Luck):
    """Luck that notes draws which are not the player's own."""

    def __init__(self, luck: Luck, foreseen: set[str]) -> None:
        super().__init__(luck.seed, luck.rehearsals)
        self._foreseen = foreseen

    def uniform(
        self, purpose: Purpose, occasion: ArrayLike = 0, slot: ArrayLike = 0
    ) -> NDArray[np.float64]:
        """As in Luck."""
        if purpose not in OWN_LUCK:
            self._foreseen.add(Purpose(purpose).name)
        return super().uniform(purpose, occasion, slot)


def prying(view: TracedView) -> set[str]:
    """Private names of the view that somebody outside asked for."""
    return view._prying


def foreseen(view: TracedView) -> set[str]:
    """Purposes of draws asked for that are not the player's own."""
    return view._foreseen


def pieces(view: View) -> dict[str, Any]:
    """What a view is made of, without anything that was looked up."""
    looked_up = {n for n, v in vars(View).items() if isinstance(v, cached_property)}
    return {n: v for n, v in vars(view).items() if n not in looked_up}


def again(view: View) -> View:
    """A fresh view of the same."""
    return _made(pieces(view))


def of_rows(view: View, index: np.ndarray) -> View:
    """A view of some of the rehearsals of a view."""
    return _made({**pieces(view), "_rows": view._rows[index]})


def with_another_present(view: View) -> View:
    """A view of the same past with another present behind it.

    Everything that a view may show stays as it is: what the others do this very moment, what they
    want, and where a disc in the air will go, do not.
    """
    world, history, slot = view._world, copy.copy(view._history), view.slot
    others = np.arange(len(view.scene.players)) != slot
    moved: dict[str, np.ndarray] = {}
    for name in _OF_THE_OTHERS:
        value = getattr(world, name).copy()
        value[:, others] += 0.31 if value.ndim == 2 else np.array([1.7, -2.3])
        moved[name] = value
    for name in _OF_NOBODY:
        moved[name] = getattr(world, name) + 0.83
    if (world.lag[view._rows, slot] >= view.scene.tick).all():
        history._ring = history._ring.copy()
        history._ring[history._last, others] += np.array([1.7, -2.3, 0.9, -1.1])
    other = copy.copy(world)
    vars(other).update(moved)
    return _made({**pieces(view), "_world": other, "_history": history})


def kept(view: View) -> dict[str, np.ndarray]:
    """Copies of every array that a policy could get hold of through a view."""
    arrays = {f.name: getattr(view._world, f.name) for f in dataclasses.fields(World)}
    arrays = {name: value for name, value in arrays.items() if isinstance(value, np.ndarray)}
    notes: Mapping[str, np.ndarray] = view._notes
    arrays |= {f"notes[{name!r}]": value for name, value in notes.items()}
    arrays |= {"the past": view._history._ring, "the rehearsals": view._rows}
    return {name: value.copy() for name, value in arrays.items()}


def changes(view: View, pristine: View, before: Mapping[str, np.ndarray]) -> list[str]:
    """What somebody wrote to.

    `view` was handed out; `pristine` is `again(view)` and `before` is `kept(view)` from before.
    """
    now = kept(pristine)
    found = [name for name in before if not equal(before[name], now[name])]
    given = pieces(pristine)
    for name, value in vars(view).items():
        if name in given:
            changed = value is not given[name]
        elif not hasattr(View, name):
            changed = name not in ("_prying", "_foreseen")
        else:
            fresh = getattr(pristine, name)
            changed = isinstance(value, np.ndarray) and (
                value.flags.writeable or not equal(value, fresh)
            )
        if changed:
            found.append(f"view.{name}")
    return found


def equal(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two arrays hold the same, NaN being the same as NaN."""
    floats = one.dtype.kind == "f" and other.dtype.kind == "f"
    return np.array_equal(one, other, equal_nan=floats)


def _made(parts: dict[str, Any]) -> View:
    view = View.__new__(View)
    vars(view).update({n: v for n, v in parts.items() if n not in ("_prying", "_foreseen")})
    return view
