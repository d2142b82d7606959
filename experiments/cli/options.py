"""Options that several commands share, so that they read and mean the same everywhere."""

from __future__ import annotations

import os
import tempfile
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from experiments.errors import StallwiseError


class Units(StrEnum):
    """Units of lengths in what is printed and drawn."""

    metres = "metres"
    yards = "yards"


SituationName = Annotated[
    str,
    typer.Argument(
        metavar="SITUATION", help="A shipped situation ('stallwise situations') or a TOML file."
    ),
]
Rehearsals = Annotated[int, typer.Option("-n", "--rehearsals", min=1, help="How many rehearsals.")]
Within = Annotated[
    float | None,
    typer.Option(
        "--within",
        min=0.0005,
        max=0.5,
        help="Rehearse until completion is known to this much either way, instead of -n.",
    ),
]
Seed = Annotated[
    int, typer.Option("--seed", min=0, help="Which luck: the same seed, the same rehearsals.")
]
Jobs = Annotated[
    int | None,
    typer.Option("--jobs", min=1, help="Processes to use. [default: one a core]", show_default=""),
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", help="Folder for tables and charts.")
]
UnitsOption = Annotated[Units, typer.Option("--units", help="Units of lengths shown.")]

DEFAULT_N = 4000
DEFAULT_SEED = 7


def ready_folder(out: Path) -> Path:
    """Make the folder if need be and see that it can be written to, before any work is done.

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
