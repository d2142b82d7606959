"""Options that the studies share beside those of every command, and what they turn into."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from experiments.cli import options
from experiments.cli.output import complain
from experiments.errors import StallwiseError, one_of_text
from experiments.situations.situation import Situation

if TYPE_CHECKING:
    from experiments.running.engine import Engine
    from experiments.statistics.comparison import Weights

MOST_SPOTS = 1000  # values of one setting in one question
FIRST_COMPILING = "compiling the game for this machine, once: most of a minute"

Size = Annotated[
    int | None,
    typer.Option(
        "-n",
        "--rehearsals",
        metavar="N",
        parser=options.number(int, 1, options.MOST_REHEARSALS),
        help="How many rehearsals each.",
    ),
]
WithinValue = Annotated[
    float | None,
    typer.Option(
        "--within",
        metavar="HALF-WIDTH",
        parser=options.number(float, 0.0005, 0.5),
        help="Rehearse until what is measured is known to this much either way, instead of -n.",
    ),
]
Measure = Annotated[
    str,
    typer.Option(
        "--measure",
        metavar="NAME",
        help="What to measure: completed, goal, score, gain_m, off_centre_m, trapped ...",
    ),
]
Asked = Annotated[
    str | None,
    typer.Option(
        "--measure",
        metavar="NAME",
        help="What to measure: completed, goal, score, gain_m, off_centre_m, trapped ...; "
        "by default what the situation asks.",
    ),
]
WeightsOption = Annotated[
    str | None,
    typer.Option(
        "--weights",
        metavar="NAME=VALUE,...",
        help="Weights of the score: completed, gain, off_centre, trapped.",
    ),
]
Margin = Annotated[
    float,
    typer.Option(
        "--margin",
        metavar="VALUE",
        parser=options.number(float, 0),
        help="What is worse than the best by this at most counts as good as the best.",
    ),
]
Plans = Annotated[
    str | None,
    typer.Option("--plans", metavar="A,B,...", help="Names of plans; all of the file by default."),
]


_UNTOLD: dict[str, Any] = {}
# What the command at work was told.
TOLD: ContextVar[dict[str, Any]] = ContextVar("TOLD", default=_UNTOLD)
# The situation is kept whole, with what --set did to it; the rest has no say in the results.
_APART = ("situation", "settings", "jobs", "cluster", "out", "json")
# Closes what the command at work has opened.
OPENED: ContextVar[ExitStack] = ContextVar("OPENED")


def listed(text: str | None) -> list[str] | None:
    """The names in a text with commas; None where the option was not given."""
    return None if text is None else [part.strip() for part in text.split(",") if part.strip()]


def weights_of(text: str | None) -> Weights:
    """Weights from ``NAME=VALUE,...``; the defaults where not named.

    Raises
    ------
    StallwiseError : a name is unknown, or a value is no number or out of its range.
    """
    # tables of rehearsals take a second to import, which lists of situations do without
    from experiments.statistics.comparison import Weights

    known = [field.name for field in dataclasses.fields(Weights)]
    given: dict[str, float] = {}
    for part in listed(text) or []:
        name, equals, value = (piece.strip() for piece in part.partition("="))
        if not equals or name not in known:
            allowed = one_of_text(name, known)
            raise StallwiseError(f"--weights: found {part!r}; allowed: NAME=VALUE with {allowed}")
        given[name] = number_in(f"--weights {name}", value)
    try:
        return Weights(**given)
    except ValueError as error:
        raise StallwiseError(f"--weights: {error}") from None


def number_in(what: str, text: str) -> float:
    """A finite number from a text.

    Raises
    ------
    StallwiseError : it is none; `what` says of what.
    """
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise StallwiseError(f"{what}: found {text!r}; allowed: a number")
    return value


def spots_in(what: str, text: str) -> list[float]:
    """Values from ``LOW:HIGH:COUNT`` or ``V,V,...``.

    Raises
    ------
    StallwiseError : it is neither.
    """
    parts = text.split(":")
    if len(parts) == 1:
        values = listed(text) or [""]
        if len(values) > MOST_SPOTS:
            raise StallwiseError(f"{what}: found {len(values):,} values; allowed: {MOST_SPOTS:,}")
        return [number_in(what, part) for part in values]
    digits = parts[2].strip() if len(parts) == 3 else ""
    if not (digits.isdigit() and len(digits) < 9 and 2 <= int(digits) <= MOST_SPOTS):
        raise StallwiseError(
            f"{what}: found {options.shortened(text)!r}; allowed: LOW:HIGH:COUNT with a count from 2 "
            f"to {MOST_SPOTS:,}, or V,V,..."
        )
    low, high, count = number_in(what, parts[0]), number_in(what, parts[1]), int(parts[2])
    steps = (low + (high - low) * k / (count - 1) for k in range(count))
    return [float(f"{step:.9g}") + 0.0 for step in steps]


def ends_in(what: str, text: str) -> tuple[float, float]:
    """The ends of ``LOW:HIGH``.

    Raises
    ------
    StallwiseError : it is not that.
    """
    parts = text.split(":")
    if len(parts) != 2:
        raise StallwiseError(f"{what}: found {text!r}; allowed: LOW:HIGH")
    return number_in(what, parts[0]), number_in(what, parts[1])


def by_path(texts: Sequence[str], form: str, read: Callable[[str, str], Any]) -> dict[str, Any]:
    """What is said of each setting in ``PATH=...`` texts.

    Raises
    ------
    StallwiseError : a text has no ``=``, or a path is there twice.
    """
    found: dict[str, Any] = {}
    for text in texts:
        path, equals, said = (piece.strip() for piece in text.partition("="))
        if not equals or path in found:
            why = "twice the same path" if equals else f"{text!r}, without '='"
            raise StallwiseError(f"found {why}; allowed: PATH={form}")
        found[path] = read(path, said)
    return found


def remember(command: str, told: dict[str, Any]) -> None:
    """Note what a command was told, for the manifest of its study."""
    kept = {key: value for key, value in told.items() if value is not None}
    TOLD.set({"command": command, "options": {k: v for k, v in kept.items() if k not in _APART}})


def engine_for(
    situation: Situation,
    jobs: int | None,
    expected: int | None,
    out: Path | None,
    cluster: str | None = None,
) -> Engine:
    """How the command is to run its study; `out` is made ready first.

    `situation` is the one that the study begins with, `expected` how many rehearsals there will
    be, None if that is not known beforehand. The manifest gets what it takes to do it again.

    Raises
    ------
    StallwiseError : `out` cannot be written to, or the cluster does not answer or will not do.
    """
    if jobs is not None and cluster is not None:
        raise StallwiseError("found --jobs and --cluster; allowed: one of the two")
    if out is not None:
        options.ready_folder(out)
    from experiments.running.engine import Engine
    from sim import compiling

    if compiling.is_first():
        complain(FIRST_COMPILING)

    many = 10 * options.WORTH_A_PROCESS if expected is None else expected
    settings = {**TOLD.get(), "situation": situation.to_dict()}
    if cluster is not None:
        from experiments.running.cluster import cluster_executor

        executor = OPENED.get().enter_context(cluster_executor(cluster))
        return Engine(executor=executor, folder=out, settings=settings)
    return Engine(options.processes(jobs, many), folder=out, settings=settings)
