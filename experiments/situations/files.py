"""Situations by name or from a file."""

from __future__ import annotations

import os
import tomllib
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from experiments.errors import Problem, SituationError, did_you_mean, known_keywords
from experiments.situations.situation import Situation


@known_keywords
def shipped() -> list[str]:
    """The names of the situations that come with the program, sorted."""
    names = [entry.name for entry in _folder().iterdir()]
    return sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml"))


def shipped_text(name: str) -> str:
    """The file of a shipped situation as written, to start one's own from.

    Raises
    ------
    SituationError : none is called so; the text lists the names.
    """
    if name not in shipped():
        raise _nothing_called(name)
    return (_folder() / f"{name}.toml").read_text(encoding="utf-8")


@known_keywords
def load(name_or_path: str | os.PathLike[str]) -> Situation:
    """A situation, by the name of a shipped one or by the path of a TOML file.

    Raises
    ------
    SituationError : nothing is there, it cannot be read, or it has mistakes; the text names the
        file, each key, what was found and what is allowed.
    """
    text = os.fspath(name_or_path)
    if isinstance(name_or_path, str) and text in shipped():
        return loads(shipped_text(text), file=f"{text}.toml")
    path = Path(text)
    if not path.exists() and path.suffix != ".toml" and path.name == text:
        raise _nothing_called(text)
    try:
        content = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        problem = Problem("", f"bytes that are not UTF-8 at {error.start}", "a text file in TOML")
        raise SituationError([problem], text) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        allowed = f"a situation file, or one of {', '.join(shipped())}"
        raise SituationError([Problem("", reason.lower(), allowed)], text) from None
    return loads(content, file=text)


def loads(text: str, file: str = "situation.toml") -> Situation:
    """A situation from the text of a file; `file` names it in errors and gives its name."""
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        # numbers of thousands of digits and brackets thousands deep are no TOML to the reader either
        why = str(error).partition("; use sys")[0]
        problem = Problem("", f"a line that is not TOML: {why}", "TOML, one key = value a line")
        raise SituationError([problem], file) from None
    return Situation.from_dict({"name": Path(file).stem, **data}, file)


def _folder() -> Traversable:
    return files("experiments.situations")


def _nothing_called(name: str) -> SituationError:
    known = shipped()
    found = f"neither a file nor a shipped situation{did_you_mean(name, known)}"
    return SituationError([Problem("", found, ", ".join(known))], name)
