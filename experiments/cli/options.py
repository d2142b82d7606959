"""The options of several commands, declared once, and their checks."""

from __future__ import annotations

import math
import os
import tempfile
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from experiments.errors import StallwiseError

MOST_REHEARSALS = 100_000_000  # days of computing; more is a typing mistake
MOST_JOBS = 1024
MOST_SEED = 2**64 - 1


class Units(StrEnum):
    """Units of lengths in what is printed and drawn."""

    m = "m"
    yd = "yd"


class PictureSize(StrEnum):
    """Sizes of pictures."""

    page = "page"
    clinic = "clinic"


Size = Annotated[PictureSize, typer.Option("--size", help="Pictures for a page or for the room.")]
Sideways = Annotated[
    bool, typer.Option("--sideways", help="The attacked end zone at the right, not at the top.")
]


def shortened(text: str, most: int = 60) -> str:
    """A text cut to a length that fits into a message."""
    return text if len(text) <= most else text[: most - 3] + "..."


def number(kind: type, low: float, high: float | None = None) -> Callable[[Any], Any]:
    """A parser of an option that says what was found and what is allowed.

    The library's own range check does not say what was found.
    """
    what, said = ("a whole number", "{:,}") if kind is int else ("a number", "{:g}")
    ends = [said.format(end) for end in (low, high) if end is not None]
    allowed = f"{what}, at least {ends[0]}" if high is None else f"{what} from {' to '.join(ends)}"

    def parse(text: Any) -> Any:
        try:
            value = kind(text)
        except ValueError:
            value = None
        if value is None or not low <= value <= (math.inf if high is None else high):
            raise typer.BadParameter(f"found {shortened(str(text))!r}; allowed: {allowed}")
        return value

    return parse


def _rehearsals(told: str) -> Any:
    many = number(int, 1, MOST_REHEARSALS)
    return typer.Option("-n", "--rehearsals", metavar="N", parser=many, help=told)


def _within(what: str, metavar: str) -> Any:
    told = f"Rehearse until {what} is known to plus or minus this much, instead of -n."
    return typer.Option("--within", metavar=metavar, parser=number(float, 0.0005, 0.5), help=told)


RehearsalsEach = Annotated[int | None, _rehearsals("Rehearsals of each situation.")]
WithinValue = Annotated[float | None, _within("the measure", "HALF-WIDTH")]
Measure = Annotated[
    str | None,
    typer.Option(
        "--measure",
        metavar="NAME",
        help="What to measure: completed, goal, score, gain_m, off_centre_m, trapped ...; "
        "by default the one that the situation asks about.",
    ),
]
Weights = Annotated[
    str | None,
    typer.Option(
        "--weights",
        metavar="NAME=VALUE,...",
        help="Weights of the score: completed, gain, off_centre, trapped.",
    ),
]
Margin = Annotated[
    float | None,
    typer.Option(
        "--margin",
        metavar="VALUE",
        parser=number(float, 0),
        help="A value worse than the best by no more than this counts as equally good, in the "
        "measure's own unit; by default 0.01 for shares and the score (one pass in a hundred), 0.5 m "
        "for gain_m and off_centre_m, 0.2 m for separation_m.",
    ),
]
Plans = Annotated[
    str | None,
    typer.Option("--plans", metavar="A,B,...", help="Names of plans; by default all in the file."),
]
SituationName = Annotated[
    str,
    typer.Argument(
        metavar="SITUATION", help="A shipped situation ('stallwise situations') or a TOML file."
    ),
]
Rehearsals = Annotated[int, _rehearsals("How many rehearsals.")]
Within = Annotated[float | None, _within("completion", "SHARE")]
Seed = Annotated[
    int,
    typer.Option(
        "--seed",
        metavar="N",
        parser=number(int, 0, MOST_SEED),
        help="Seed of the random draws: the same seed gives the same rehearsals.",
    ),
]
Jobs = Annotated[
    int | None,
    typer.Option(
        "--jobs",
        metavar="N",
        parser=number(int, 1, MOST_JOBS),
        help="Worker processes; by default as many as save time.",
    ),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Rehearse on the Dask cluster at this address, such as tcp://host:8786.",
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", help="Folder for tables and charts.")
]
Folder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for what is written.")]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of lengths shown.")]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="PATH=VALUE",
        help="Change a setting by its path in the file, such as plan=dump; may be repeated.",
    ),
]

# A worker process takes seconds to start; with fewer rehearsals than this it saves no time.
WORTH_A_PROCESS = 2000


def processes(jobs: int | None, rehearsals: int) -> int:
    """How many processes to use: `jobs`, or as many of the cores as save time."""
    if jobs is not None:
        return jobs
    if hasattr(os, "sched_getaffinity"):
        cores = len(os.sched_getaffinity(0))
    else:
        cores = os.cpu_count() or 1
    return max(1, min(cores, rehearsals // WORTH_A_PROCESS))


def ready_folder(out: Path) -> Path:
    """Make the folder if it is missing and check that it can be written to, before any work is done.

    Raises
    ------
    StallwiseError : it cannot be made or written to; the text says why.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=out):
            pass
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StallwiseError(
            f"--out {os.fspath(out)}: cannot be written to: {reason}; "
            "allowed: a folder that is there or can be made"
        ) from error
    return out
