"""What makes two studies the same study: situation, code and the versions that compute."""

from __future__ import annotations

import hashlib
import importlib.metadata
import importlib.util
import inspect
import json
import platform
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

# Another version of one of these may change the last bit of a result.
COMPUTING = ("stallwise", "numpy", "scipy", "mesa", "numba", "llvmlite")
STORING = ("pandas", "pyarrow")
# The packages whose code decides what a rehearsal comes to.
GAME = ("sim", "policies")
# For the reader only; mending a title does not make another study.
WORDS = ("title", "question", "story")


def plain(situation: Mapping[str, Any]) -> dict[str, Any]:
    """The situation as JSON gives it back: lists for tuples, words for keys.

    Raises
    ------
    ValueError : if it holds something JSON cannot say, NaN and infinity among them.
    """
    try:
        return json.loads(json.dumps(situation, allow_nan=False))
    except TypeError as error:
        raise ValueError(f"a situation must be made of plain values: {error}") from error


def digest(situation: Mapping[str, Any]) -> str:
    """SHA-256 of a situation, whatever the order of its keys and its words for the reader."""
    told = {key: value for key, value in plain(situation).items() if key not in WORDS}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def differences(before: Any, now: Any, path: str = "") -> Iterator[str]:
    """Where two situations differ, a line each, by their path in the file."""
    if isinstance(before, dict) and isinstance(now, dict):
        for key in sorted(before.keys() | now.keys()):
            if not path and key in WORDS:
                continue
            here = f"{path}.{key}" if path else key
            if key not in before or key not in now:
                yield f"{here} was {'added' if key in now else 'taken out'}"
            else:
                yield from differences(before[key], now[key], here)
    elif isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        for index, pair in enumerate(zip(before, now, strict=True)):
            yield from differences(*pair, f"{path}[{index}]")
    elif before != now or type(before) is not type(now):
        yield f"{path} was {json.dumps(before)}, now {json.dumps(now)}"


def versions() -> dict[str, str]:
    """Versions of this package, of what it computes and stores with, and of the machine."""
    found = {"python": platform.python_version(), "machine": platform.machine()}
    for name in COMPUTING + STORING:
        try:
            found[name] = importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            found[name] = "not installed"
    return found


def name_of(rows: Callable[..., Any]) -> str:
    """Module and name of a rehearsing function."""
    return f"{rows.__module__}:{rows.__qualname__}"


def code_digest(rows: Callable[..., Any]) -> str:
    """SHA-256 of the game, the policies, and the modules that make a game of a situation.

    Policies that another package brings are not part of it, nor is code that was compiled: that is
    made of these texts by the compiler whose version `versions` tells.
    """
    from experiments.running.batch import rehearse_rows
    from experiments.situations.lineup import line_up
    from experiments.situations.model import SituationFields
    from experiments.situations.situation import Situation

    total = hashlib.sha256()
    for package in GAME:
        found = importlib.util.find_spec(package)
        for folder in (found.submodule_search_locations or []) if found else []:
            for path in sorted(Path(folder).rglob("*")):
                inside = path.relative_to(folder)
                if path.is_file() and "__pycache__" not in inside.parts and path.suffix != ".md":
                    total.update(f"{package}/{inside.as_posix()}".encode() + b"\0")
                    total.update(path.read_bytes())
    for part in (SituationFields, Situation, line_up, rehearse_rows, rows):
        try:
            source = inspect.getsourcefile(part)
        except TypeError:
            source = None
        if source is not None and Path(source).is_file():
            total.update(Path(source).read_bytes())
    return total.hexdigest()
