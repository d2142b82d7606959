"""`stallwise try`: rehearse one situation and say what came of it."""

from __future__ import annotations

import time

from experiments.cli import asking, options
from experiments.cli.output import print_json, print_table
from experiments.cli.results import CAUTIONS, heading, write_csv, write_json, write_play
from experiments.situations.files import load
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED, Study, rehearse
from experiments.words.looks import HEADS, look_lines
from experiments.words.traps import traps
from experiments.words.wording import count, estimate_lines, percent


def rehearse_one(
    situation: options.SituationName,
    n: asking.Size = None,
    within: options.Within = None,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Rehearse a situation and print its estimates."""
    chosen = options.with_settings(load(situation), settings)
    engine = asking.engine_for(chosen, jobs, None if within else n or DEFAULT_N, out, cluster)
    began = time.perf_counter()
    study = rehearse(chosen, n, seed, within=within, engine=engine)
    seconds = time.perf_counter() - began
    written = []
    if out is not None:
        written = [
            write_csv(study.table, out / "rehearsals.csv"),
            write_json(study.as_dict(), out / "estimates.json"),
            write_play(study, out / "play.png", units),
        ]
    if json:
        print_json(study.as_dict())
        return
    _tell(study, units)
    if not study.reached:
        print("It is not as precise as wanted: that would take more rehearsals than are allowed.")
    print(f"{count(study.n)} rehearsals in {seconds:.1f} s, {study.n / seconds:,.0f} a second")
    for path in written:
        print(f"wrote {path}")
    print(*CAUTIONS, sep="\n")


def _tell(study: Study, units: str) -> None:
    print(heading(study))
    for careful in traps(study.situation, study.table):
        print(careful)
    print()
    print_table(("estimate", "with its 95 % interval"), estimate_lines(study, units), left=2)
    print()
    ended = sorted(study.outcomes.items(), key=lambda pair: -pair[1])
    rows = [(how, count(times), percent(times / study.n)) for how, times in ended if times]
    print_table(HEADS, look_lines(study.looks))
    print()
    print_table(("how it ended", "times", "share"), rows)
    print()
