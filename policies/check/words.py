"""Exceptions of somebody else's code, in words for its author."""

from __future__ import annotations

import difflib
import os
import traceback
from collections.abc import Sequence
from pathlib import Path

from sim import view as view_module
from sim.view import View

_HERE = Path(__file__).parent

# A piece of the message of a numpy or Python error: what it usually means in a policy.
_MEANINGS = (
    (
        "truth value of an array",
        "a view holds many rehearsals, so that `if`, `and`, `or` and `not` cannot decide about an "
        "array: use numpy.where, &, | and ~",
    ),
    (
        "read-only",
        "what a view gives must not be written to: work on a copy, `view.pos.copy()`",
    ),
    ("flags", "what a view gives must not be written to: work on a copy, `view.pos.copy()`"),
    (
        "can be converted to python scalars",
        "functions of `math` take one number, and a view holds many rehearsals: use numpy's",
    ),
    (
        "could not be broadcast",
        "shapes do not fit: arrays have one row a rehearsal, (R,) or (R, 2); "
        "write `a[:, None]` to use an (R,) array beside an (R, 2) one",
    ),
    (
        "shape mismatch",
        "shapes do not fit: arrays have one row a rehearsal, (R,) or (R, 2)",
    ),
    (
        "all input arrays must have the same shape",
        "shapes do not fit: numpy.stack wants arrays of one shape, here (R,) each",
    ),
    ("no setter", "a view cannot be written to: use the notes of Intent to remember something"),
    (
        "cannot assign to field",
        "policies are frozen: use the notes of Intent to remember something",
    ),
)


def in_words(error: Exception, method: str = "decide") -> str:
    """What went wrong, where, and what it usually means."""
    text = str(error)
    told = f"{method} failed with {type(error).__name__}: {text}"
    frame = _theirs(traceback.extract_tb(error.__traceback__))
    if frame is not None:
        line = f" `{frame.line}`" if frame.line else ""
        told += f", in {frame.name}, line {frame.lineno}{line}"
    meaning = _meaning(error, text.lower())
    return f"{told}: {meaning}" if meaning else told


def _theirs(frames: Sequence[traceback.FrameSummary]) -> traceback.FrameSummary | None:
    """The innermost frame of the policy's own code; of the code of the game if there is none."""
    called = [f for f in frames if Path(f.filename).parent != _HERE and Path(f.filename).is_file()]
    own = [f for f in frames if not _known(Path(f.filename))]
    found = own or called
    return found[-1] if found else None


def _known(path: Path) -> bool:
    """Whether a file is the game's, a library's or Python's own."""
    game = any(top in path.parents for top in (_HERE.parent, Path(view_module.__file__).parent))
    return game or "site-packages" in path.parts or Path(os.__file__).parent in path.parents


def _meaning(error: Exception, text: str) -> str:
    if isinstance(error, AttributeError) and isinstance(error.obj, View) and error.name:
        public = [name for name in dir(View) if not name.startswith("_")]
        public += ["slot", "scene", "now", "has_disc", "marking"]
        near = difflib.get_close_matches(error.name, public, n=1, cutoff=0.5)
        meant = f"; did you mean view.{near[0]}?" if near else ""
        return f"a view has {', '.join(sorted(public))}{meant}"
    if isinstance(error, KeyError) and "notes" in "".join(traceback.format_tb(error.__traceback__)):
        return "notes are empty at a player's first decision: use view.notes.get"
    for piece, meaning in _MEANINGS:
        if piece in text:
            return meaning
    return ""
