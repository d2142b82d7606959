"""`stallwise handout`: studies as a handout, a page a situation, and as a web page."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from experiments.charts.style import Style
from experiments.cli import options
from experiments.cli.keeping import FINDINGS
from experiments.errors import StallwiseError
from experiments.handouts.handout import Sheet, write_handout
from experiments.running.manifest import read_manifest
from experiments.running.precision import working_level
from experiments.running.store import load_study_rows
from experiments.situations.situation import Situation
from experiments.studies.rehearse import Study

Studies = Annotated[
    list[Path],
    typer.Argument(metavar="STUDY...", help="Folders written by a command's --out."),
]
Pace = Annotated[float, typer.Option("--pace", metavar="M", help="Metres of one pace of yours.")]


def command(
    studies: Studies,
    out: options.Folder,
    units: options.UnitsOption = options.Units.m,
    pace: Pace = 0.75,
) -> None:
    """Write studies as a handout, a page a situation, for print and as a web page.

    When an answer stops being true is taken from findings.txt in its folder, a line each.
    """
    options.ready_folder(out)
    sheets = [
        Sheet(study, findings_in(folder)) for folder in studies for study in studies_in(folder)
    ]
    try:
        written = write_handout(sheets, out, style=Style(units=units), pace=pace)
    except ValueError as error:
        raise StallwiseError(str(error)) from None
    print(f"wrote {written.pdf}", f"wrote {written.html}", sep="\n")


def studies_in(folder: Path) -> list[Study]:
    """The studies that a folder holds: one of `try`, one for each plan of a comparison.

    Raises
    ------
    StudyFolderError : there is no study, or it is damaged or not finished.
    """
    tables = load_study_rows(folder)
    manifest = read_manifest(folder)
    # A study that was stopped by looking at its intervals needs them a little wider.
    looked = "within" in manifest.settings
    level = working_level(float(manifest.settings["level"])) if looked else 0.95
    return [
        Study(
            tables[task.key],
            situation=Situation.from_dict(task.situation, os.fspath(folder)),
            seed=task.seed,
            level=level,
        )
        for task in manifest.tasks
    ]


def findings_in(folder: Path) -> tuple[str, ...]:
    """The lines of findings.txt in a study's folder; none when there is no such file."""
    path = folder / FINDINGS
    if not path.is_file():
        return ()
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise StallwiseError(f"{path} is not text in UTF-8") from None
    return tuple(line.strip() for line in text.splitlines() if line.strip())
