"""Exceptions of somebody else's rule, in words for its author."""

from __future__ import annotations

import difflib
import os
import re
import traceback
from pathlib import Path

from sim.intent import Intent
from sim.view import ARRAYS, ATTRIBUTES

_HERE = Path(__file__).resolve()
_GAME = (_HERE.parents[1], _HERE.parents[2] / "sim")
KNOWN = [row[0] for row in ATTRIBUTES] + [name for name, _ in ARRAYS]

_MEANINGS = (
    ("not writeable", "a rule may look at the others, and write into me.memory alone"),
    ("read-only", "a rule may look at the others, and write into me.memory alone"),
    ("truth value of an array", "compare numbers, not whole arrays: me.seen[q].x"),
    ("division by zero", "guard the division: max(length, 1e-6)"),
    ("out of bounds", "slots run from 0 to me.everybody - 1; -1 means nobody"),
)


def in_words(error: BaseException, function: str = "decide") -> str:
    """What went wrong, in which line, and what it usually means."""
    told = f"{function} failed with {type(error).__name__}: {error}"
    frames = [f for f in traceback.extract_tb(error.__traceback__) if not _known(f.filename)]
    if frames:
        line = f" `{frames[-1].line}`" if frames[-1].line else ""
        told += f", in {frames[-1].name}, line {frames[-1].lineno}{line}"
    meaning = _meaning(error)
    return f"{told}: {meaning}" if meaning else told


def _known(name: str) -> bool:
    """Whether a file is the game's, a library's or Python's own."""
    path = Path(name)
    if any(top in path.parents for top in _GAME):
        return True
    return "site-packages" in path.parts or Path(os.__file__).parent in path.parents


def _meaning(error: BaseException) -> str:
    text = str(error)
    asked = re.search(r"attribute '?(\w+)'?", text)
    if isinstance(error, AttributeError) and asked:
        fields = KNOWN if "record" in text else list(Intent._fields)
        near = difflib.get_close_matches(asked.group(1), fields, n=1, cutoff=0.4)
        meant = f"did you mean {near[0]}? " if near else ""
        return f"{meant}sim.view lists what a view has, and s has the settings declared"
    for piece, meaning in _MEANINGS:
        if piece in text:
            return meaning
    return ""
