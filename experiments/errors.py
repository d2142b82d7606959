"""Errors that the user can correct. The command line prints their text, not a traceback."""

from __future__ import annotations

import difflib
import functools
import inspect
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])


class StallwiseError(Exception):
    """A mistake that the user can correct; the text says what is wrong and how to correct it."""


@dataclass(frozen=True)
class Problem:
    """One mistake in a table of settings: the dotted key, what was found, what is allowed."""

    key: str
    found: str
    allowed: str

    def __str__(self) -> str:
        where = f"{self.key}: " if self.key else ""
        return f"{where}found {self.found}; allowed: {self.allowed}"

    def under(self, *above: str | int) -> Problem:
        """The same problem, its key prefixed with the tables that contain it."""
        key = ".".join(str(part) for part in (*above, self.key) if part != "")
        return Problem(key, self.found, self.allowed)


class RunError(StallwiseError):
    """The run could not continue; the message says why and what to do."""


class StudyFolderError(RunError):
    """The folder of a study cannot be used as asked; nothing in it was overwritten."""


class RunInterrupted(KeyboardInterrupt):
    """Ctrl-C, after the workers have been stopped and every finished chunk kept."""


class SituationError(StallwiseError):
    """A situation that cannot be played.

    Attributes
    ----------
    file : the file it was read from, "" when it came from Python.
    problems : every mistake that was found.
    """

    def __init__(self, problems: Sequence[Problem], file: str = "") -> None:
        self.problems = tuple(problems)
        self.file = file
        where = file or "situation"
        super().__init__("\n".join(f"{where}: {problem}" for problem in self.problems))

    def __reduce__(self) -> tuple[type, tuple[Sequence[Problem], str]]:
        # Worker processes send their errors back pickled.
        return type(self), (self.problems, self.file)


def nearest(word: str, known: Iterable[str], n: int = 1) -> list[str]:
    """The `n` known words most like `word`, best first; none if nothing is alike."""
    return difflib.get_close_matches(word, list(known), n=n, cutoff=0.5)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """The words ``; did you mean 'x'?`` for an unknown word, or nothing."""
    near = nearest(word, known)
    return f"; did you mean {near[0]!r}?" if near else ""


def one_of_text(value: Any, words: Iterable[str]) -> str:
    """The allowed words, and the one that was probably meant."""
    words = list(words)
    near = did_you_mean(value, words) if isinstance(value, str) else ""
    return f"{', '.join(words)}{near}"


class KeywordError(StallwiseError, TypeError):
    """A call with a keyword that the function does not have."""


def known_keywords(call: F) -> F:
    """A function or a class whose unknown keywords are refused with the nearest known one.

    Raises
    ------
    KeywordError : when called with a keyword that it does not have.
    """
    known = list(inspect.signature(call).parameters)
    made: Any = call.__init__ if isinstance(call, type) else call  # type: ignore[misc]

    @functools.wraps(made)
    def checked(*values: Any, **options: Any) -> Any:
        for name in options:
            if name not in known:
                allowed = one_of_text(name, known) or "none"
                raise KeywordError(f"{call.__name__}: found keyword {name!r}; allowed: {allowed}")
        return made(*values, **options)

    if not isinstance(call, type):
        return checked  # type: ignore[return-value]
    call.__init__ = checked  # type: ignore[misc]
    return call
