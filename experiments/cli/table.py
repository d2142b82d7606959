"""`stallwise table`: the rehearsals of studies in one table, and what its columns mean."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from experiments.cli import options
from experiments.cli.output import print_table
from experiments.errors import StallwiseError
from experiments.running.columns import COLUMNS
from experiments.running.joined import joined, write_joined

FOLDERS = "Folders written by a command's --out."


def command(
    studies: Annotated[list[Path] | None, options.argument("[STUDY...]", FOLDERS)] = None,
    out: Annotated[
        Path | None, options.option("FILE", "A name that ends in .parquet or .csv.")
    ] = None,
) -> None:
    """Join the rehearsals of studies in one table; without a study, say what its columns mean."""
    if not studies:
        rows = [(name, about.unit, about.throw, about.meaning) for name, about in COLUMNS.items()]
        print_table(("column", "unit", "throw", "meaning"), rows, left=4)
        return
    if out is None:
        raise StallwiseError("--out: found nothing; allowed: a file, .parquet or .csv")
    options.ready_folder(out.parent)
    table = joined(studies)
    print(f"wrote {write_joined(table, out)}: {len(table):,} rehearsals")
