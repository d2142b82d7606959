"""`stallwise replay` and `stallwise handout`: pictures and pages to show to a team."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from experiments.cli import options
from experiments.errors import StallwiseError
from experiments.running.engine import Engine
from experiments.running.manifest import read_manifest
from experiments.running.precision import working_level
from experiments.running.store import load_study_rows
from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED, Study, rehearse

FINDINGS = "findings.txt"

Folder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for what is written.")]
Pick = Annotated[
    str,
    typer.Option(
        "--pick", metavar="WHICH", help="typical, best, worst, or the number of a rehearsal."
    ),
]
Studies = Annotated[
    list[Path],
    typer.Argument(metavar="STUDY...", help="Folders written by a command's --out."),
]
Pace = Annotated[float, typer.Option("--pace", metavar="M", help="Metres of one pace of yours.")]


def replay(
    situation: options.SituationName,
    out: Folder,
    pick: Pick = "typical",
    n: options.Rehearsals = DEFAULT_N,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    settings: options.Settings = None,
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Rehearse a situation and write one rehearsal as an animation and a page to play it."""
    chosen = options.with_settings(load(situation), settings)
    options.ready_folder(out)
    # Drawing takes a second to import, and most commands do not draw.
    from experiments.charts.style import Style
    from experiments.handouts.replay import write_replay

    study = rehearse(chosen, n, seed, engine=Engine(processes=options.processes(jobs, n)))
    try:
        written = write_replay(study, out, pick, style=Style(units=units))
    except ValueError as error:
        raise StallwiseError(f"--pick {pick}: {error}") from None
    print(f"{written.pick.why[:1].upper()}{written.pick.why[1:]}.")
    for path in (written.gif, written.html):
        print(f"wrote {path}")


def handout(
    studies: Studies,
    out: Folder,
    units: options.UnitsOption = options.Units.m,
    pace: Pace = 0.75,
) -> None:
    """Write studies as a handout, a page a situation, for print and as a web page.

    When an answer stops being true is taken from findings.txt in its folder, a line each.
    """
    options.ready_folder(out)
    from experiments.charts.style import Style
    from experiments.handouts.handout import Sheet, write_handout

    sheets = [
        Sheet(study, findings_in(folder)) for folder in studies for study in studies_in(folder)
    ]
    try:
        written = write_handout(sheets, out, style=Style(units=units), pace=pace)
    except ValueError as error:
        raise StallwiseError(str(error)) from None
    for path in (written.pdf, written.html):
        print(f"wrote {path}")


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
            situation=Situation.from_dict(task.situation, os.fspath(folder)),
            n=len(tables[task.key]),
            seed=task.seed,
            table=tables[task.key],
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
