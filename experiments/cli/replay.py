"""`stallwise replay`: one rehearsal as an animation and as a page to play it."""

from __future__ import annotations

from typing import Annotated

from experiments.charts.style import Style
from experiments.cli import options
from experiments.errors import StallwiseError
from experiments.handouts.replay import write_replay
from experiments.running.engine import Engine
from experiments.situations.files import load
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED, rehearse

PICK = "typical, best, worst, or the number of a rehearsal."


def command(
    situation: options.SituationName,
    out: options.Folder,
    pick: Annotated[str, options.option("WHICH", PICK)] = "typical",
    n: options.Rehearsals = DEFAULT_N,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    settings: options.Settings = None,
    units: options.Units = "m",
    size: options.Size = "page",
    sideways: options.Sideways = False,
) -> None:
    """Rehearse a situation and write one rehearsal as an animation and a page to play it."""
    chosen = options.with_settings(load(situation), settings)
    options.ready_folder(out)
    study = rehearse(chosen, n, seed, engine=Engine(options.processes(jobs, n)))
    style = Style(units=units, size=size, upright=not sideways)
    try:
        written = write_replay(study, out, pick, style=style)
    except ValueError as error:
        raise StallwiseError(f"--pick {pick}: {error}") from None
    print(f"{written.pick.why[:1].upper()}{written.pick.why[1:]}.")
    print(f"wrote {written.gif}", f"wrote {written.html}", sep="\n")
