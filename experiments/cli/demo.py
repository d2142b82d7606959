"""`stallwise demo`: the main job on what is shipped, in under a minute."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Annotated

import pandas as pd
import typer

from experiments.cli import options
from experiments.cli.output import print_json, print_table
from experiments.cli.results import CAUTIONS, estimates_table, write_csv, write_play
from experiments.running.engine import Engine
from experiments.running.runner import run
from experiments.running.tasks import Task
from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.studies.rehearse import DEFAULT_SEED, Study
from experiments.words.traps import traps
from experiments.words.wording import count, estimate_lines

SITUATIONS = ("week-trapped-line", "week-end-zone-pair", "week-denied-reset")
REHEARSALS = 1000
NONE = "none"


def demo(
    n: options.Rehearsals = REHEARSALS,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    json: options.Json = False,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for tables and charts.")
    ] = Path("stallwise-out"),
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Rehearse shipped situations with several plans; the first thing to run."""
    options.ready_folder(out)
    began = time.perf_counter()
    studies = _studies(n, seed, jobs)
    seconds = time.perf_counter() - began
    everything = pd.concat(
        [
            study.table.assign(situation=study.situation.name, plan=study.situation.plan)
            for study in studies
        ],
        ignore_index=True,
    )
    written = [
        write_csv(estimates_table(studies), out / "estimates.csv"),
        write_csv(everything, out / "rehearsals.csv"),
        *(
            write_play(study, out / f"{study.situation.name}-{study.situation.plan}.png", units)
            for study in studies
            if study.situation.plan == load(study.situation.name).plan
        ),
    ]
    if json:
        print_json({"studies": [study.as_dict() for study in studies]})
        return
    for name in SITUATIONS:
        _tell([study for study in studies if study.situation.name == name], units)
    total = n * len(studies)
    print(f"{count(total)} rehearsals in {seconds:.1f} s, {total / seconds:,.0f} a second")
    print("Under each figure its 95 % interval. The same seed is the same luck for every plan.")
    for path in written:
        print(f"wrote {path}")
    print(*CAUTIONS, sep="\n")


def _tell(studies: list[Study], units: str) -> None:
    """A table of the plans of one situation, each figure with its interval below it."""
    situation = studies[0].situation
    print(f"{situation.name}: {situation.question}")
    for study in studies:
        for careful in traps(study.situation, study.table):
            print(careful)
    told = {study.situation.plan: dict(estimate_lines(study, units)) for study in studies}
    # Goals are told of a plan that has some; the columns are those of the plan with most.
    names = max(told.values(), key=len)
    rows = [
        (plan, *(_below(figures.get(name, NONE)) for name in names))
        for plan, figures in told.items()
    ]
    print_table(("plan", *names), rows)
    print()


def _below(text: str) -> str:
    """A figure with its interval on the line below."""
    return text.replace(" (", "\n", 1).removesuffix(")")


def _studies(n: int, seed: int, jobs: int | None) -> list[Study]:
    played: dict[str, Situation] = {}
    for name in SITUATIONS:
        situation = load(name)
        for plan in situation.plans:
            played[f"{name} {plan}"] = situation.with_setting("plan", plan)
    tasks = [Task(key, situation.to_dict(), n, seed) for key, situation in played.items()]
    done = run(tasks, Engine(options.processes(jobs, n * len(tasks))))
    return [Study(played[key], n, seed, table) for key, table in done.tables.items()]
