"""`stallwise replay` and `stallwise handout`: pictures and pages to show to a team."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from experiments.cli import options
from experiments.errors import StallwiseError
from experiments.running.engine import Engine
from experiments.situations.files import load
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED, rehearse

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

    Give every folder there is of a situation: try, compare, vary, tune, sturdiness, matchup. Each
    adds to its page, and so do the lines of a findings.txt of yours in a folder.
    """
    options.ready_folder(out)
    from experiments.charts.style import Style
    from experiments.handouts.folders import sheets_from
    from experiments.handouts.handout import write_handout

    try:
        written = write_handout(sheets_from(studies), out, style=Style(units=units), pace=pace)
    except ValueError as error:
        raise StallwiseError(str(error)) from None
    for path in (written.pdf, written.html):
        print(f"wrote {path}")
