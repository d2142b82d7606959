"""Whether an intent has the form that the game can take."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from sim.intent import Intent, Throw
from sim.view import View

FASTEST = 1e6  # m/s; the game cuts down what is too fast, but not what cannot be squared
_KINDS = {"b": "true or false", "iu": "whole numbers", "iuf": "numbers"}


def problems_of(intent: Any, view: View) -> Iterator[str]:
    """What is wrong with the form of an intent for a view, a text each."""
    if not isinstance(intent, Intent):
        yield (
            f"decide returned {_what(intent)}; it must return sim.intent.Intent(run=...) "
            "with a wanted velocity for every rehearsal"
        )
        return
    rows = len(view)
    meant = "wanted velocities in m/s"
    bad = list(_array("run", intent.run, (rows, 2), "iuf", meant))
    yield from bad
    if not bad:
        yield from _within("run", intent.run, -FASTEST, FASTEST, meant)
    if intent.watch is not None:
        yield from _array("watch", intent.watch, (rows,), "iu", "the slot to attend to")
        yield from _within("watch", intent.watch, -1, len(view.scene.players) - 1, "slots, or -1")
    if intent.open_side is not None:
        yield from _array("open_side", intent.open_side, (rows,), "iu", "+1 or -1")
        side = np.asarray(intent.open_side)
        if side.dtype.kind in "iu" and not np.isin(side, (-1, 1)).all():
            yield f"open_side holds {_odd(side, np.isin(side, (-1, 1)))}; allowed are +1 and -1"
        if not view.marking:
            yield "open_side is set by a player who does not mark; it is for view.marking only"
    yield from _notes(intent.notes, rows)
    if intent.throw is not None:
        yield from _throw(intent.throw, view)


def _throw(throw: Any, view: View) -> Iterator[str]:
    if not isinstance(throw, Throw):
        yield f"throw is {_what(throw)}; it must be a sim.intent.Throw or None"
        return
    rows = len(view)
    bad_go = list(_array("throw.go", throw.go, (rows,), "b", "whether to throw now"))
    yield from bad_go
    if bad_go:
        return
    go = np.asarray(throw.go)
    if go.any() and not view.has_disc:
        yield "it throws without the disc; only set throw when view.has_disc"
    wholes = {
        "to": (0, len(view.attackers) - 1, "slots of attackers"),
        "kind": (0, 1, "BACKHAND (0) or FOREHAND (1)"),
        "shape": (0, 3, "FLAT, INSIDE_OUT, OUTSIDE_IN or FLOATED (0 to 3)"),
        "look": (-1, None, "the number of a look, or -1"),
    }
    for name, (low, high, meant) in wholes.items():
        value = getattr(throw, name)
        bad = list(_array(f"throw.{name}", value, (rows,), "iu", meant))
        yield from bad
        if not bad:
            yield from _within(f"throw.{name}", np.asarray(value)[go], low, high, meant)
            if name == "to" and (np.asarray(value)[go] == view.slot).any():
                yield "throw.to is the thrower; the receiver must be another attacker"
    yield from _array("throw.over", throw.over, (rows,), "b", "whether over the mark")
    yield from _array("throw.aim", throw.aim, (rows, 2), "iuf", "where to catch it, m", go)
    meant = "the thrower's own chance of completion"
    bad = list(_array("throw.estimate", throw.estimate, (rows,), "iuf", meant, go))
    yield from bad
    if not bad:
        yield from _within("throw.estimate", np.asarray(throw.estimate)[go], 0.0, 1.0, meant)


def _notes(notes: Any, rows: int) -> Iterator[str]:
    if not isinstance(notes, dict):
        yield f"notes are {_what(notes)}; they must be a dict of arrays"
        return
    for key, value in notes.items():
        name = f"notes[{key!r}]"
        if not isinstance(key, str):
            yield f"{name} is not under a text"
        array = np.asarray(value)
        if array.ndim == 0 or len(array) != rows:
            yield (
                f"{name} has shape {array.shape}; its first axis must be "
                f"the rehearsals of the view, {_a(rows)}"
            )
        elif array.dtype.kind not in "biuf":
            yield f"{name} holds {array.dtype}; allowed are numbers and true or false"


def _array(
    name: str,
    value: Any,
    shape: tuple[int, ...],
    kinds: str,
    meant: str,
    where: np.ndarray | None = None,
) -> Iterator[str]:
    """Complain unless `value` is an array of that shape and kind, finite in the rows `where`."""
    wanted = "(R, 2)" if len(shape) == 2 else "(R,)"
    if not isinstance(value, np.ndarray):
        yield f"{name} is {_what(value)}; it must be a numpy array {wanted}: {meant}"
        return
    if value.shape != shape:
        yield (
            f"{name} has shape {value.shape} in a view of {_a(shape[0])}; "
            f"it must be {wanted} = {shape}: {meant}"
        )
        return
    if value.dtype.kind not in kinds:
        yield f"{name} holds {value.dtype}; it must hold {_KINDS[kinds]}: {meant}"
        return
    looked_at = value if where is None else value[where]
    if value.dtype.kind == "f" and not np.isfinite(looked_at).all():
        odd = looked_at[~np.isfinite(looked_at)][0]
        yield f"{name} holds {odd}, which is no finite number"


def _within(name: str, values: Any, low: float, high: float | None, meant: str) -> Iterator[str]:
    values = np.asarray(values)
    if values.dtype.kind not in "iuf":
        return
    fits = (values >= low) & (values <= (np.inf if high is None else high))
    if not fits.all():
        allowed = f"at least {low}" if high is None else f"{low} to {high}"
        yield f"{name} holds {_odd(values, fits)}; allowed are {allowed}: {meant}"


def _odd(values: np.ndarray, fits: np.ndarray) -> Any:
    return values[~fits].flat[0]


def _what(value: Any) -> str:
    return "None" if value is None else f"a {type(value).__name__}"


def _a(rows: int) -> str:
    return "1 rehearsal" if rows == 1 else f"{rows} rehearsals"
