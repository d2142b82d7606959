"""`stallwise demo`: the main job on what is shipped, in under a minute."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import pandas as pd

from experiments.cli import options
from experiments.cli.output import drawn, print_end, print_json, print_lines, write_chart, write_csv
from experiments.running.engine import Engine
from experiments.running.precision import rehearse_many
from experiments.situations.files import load
from experiments.studies.rehearse import DEFAULT_SEED, Study
from experiments.studies.result import frame_of
from experiments.words.looks import traps
from experiments.words.text_table import TextTable, stacked
from experiments.words.wording import estimate_lines

SITUATIONS = ("week-trapped-line", "week-end-zone-pair", "week-denied-reset")
REHEARSALS = 1000
NONE, OUT = "none", Path("stallwise-out")


def command(
    n: options.Rehearsals = REHEARSALS,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    json: options.Json = False,
    out: Annotated[Path, options.option("DIR", "Folder for tables and charts.")] = OUT,
    units: options.Units = "m",
) -> None:
    """Rehearse shipped situations with several plans; the first thing to run."""
    options.ready_folder(out)
    shown = [load(name) for name in SITUATIONS]
    played = {f"{s.name} {plan}": s.with_setting("plan", plan) for s in shown for plan in s.plans}
    engine = Engine(options.processes(jobs, n * len(played)))
    done = rehearse_many(played, n, seed, engine=engine)
    studies = [
        Study(done.tables[key], **done.account(situation, seed))
        for key, situation in played.items()
    ]
    estimates = []
    for s, study in zip(played.values(), studies, strict=True):
        what = {"situation": s.name, "plan": s.plan, "defence": s.defence, "force": s.force}
        estimates.append({**what, "rehearsals": n, "seed": seed, **study.estimates()})
    everything = [
        s.table.assign(situation=s.situation.name, plan=s.situation.plan) for s in studies
    ]
    written = [
        write_csv(frame_of(estimates), out / "estimates.csv"),
        write_csv(pd.concat(everything, ignore_index=True), out / "rehearsals.csv"),
    ]
    for s in shown:
        study = studies[list(played).index(f"{s.name} {s.plan}")]
        path = out / f"{s.name}-{s.plan}.png"
        written.append(write_chart(drawn(study, "play", units=units), path))
    if json:
        print_json({"studies": [study.as_dict() for study in studies]})
        return
    for s in shown:
        mine = [study for study in studies if study.situation.name == s.name]
        told = {study.situation.plan: dict(estimate_lines(study, units)) for study in mine}
        # Goals are told of a plan that has some; the columns are those of the plan with most.
        names = max(told.values(), key=len)
        rows = [
            (plan, *(stacked(figures.get(name, NONE)) for name in names))
            for plan, figures in told.items()
        ]
        careful = [line for study in mine for line in traps(study.situation, study.rows)]
        print_lines([f"{s.name}: {s.question}", *careful, TextTable(("plan", *names), rows)])
    print("Under each figure its 95 % interval. The same seed is the same luck for every plan.")
    print_end(done.run.rehearsed, done.run.per_second, written, reached=True)
