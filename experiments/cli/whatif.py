"""`stallwise whatif`: a situation as it is and with some settings changed, and the difference."""

from __future__ import annotations

from typing import Annotated

import typer

from experiments.cli import asking, options
from experiments.cli.keeping import keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.situations.files import load
from experiments.statistics.comparison import MEASURES as COMPARED
from experiments.statistics.measures import MEASURES
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED
from experiments.studies.whatif import AFTER, BEFORE, WhatIf, what_if
from experiments.words.differences import in_a_sentence
from experiments.words.looks import looks_in_short
from experiments.words.measured import told, told_difference, words_of
from experiments.words.traps import traps
from experiments.words.wording import count, title_of

Changes = Annotated[
    list[str],
    typer.Argument(
        metavar="PATH=VALUE...",
        help="What is to be other, such as force=backhand or attackers.left.at=-8,31; "
        "'stallwise settings SITUATION' lists all.",
    ),
]


def ask_what_if(
    situation: options.SituationName,
    changed: Changes,
    n: asking.Size = None,
    within: options.Within = None,
    seed: options.Seed = DEFAULT_SEED,
    weights: asking.WeightsOption = None,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Ask what if some settings were other: before, after, and the difference on the same luck."""
    chosen = options.with_settings(load(situation), settings)
    found = what_if(
        chosen,
        options.changes(chosen, changed, ""),
        n,
        seed,
        within=within,
        weights=asking.weights_of(weights),
        engine=asking.engine_for(
            chosen, jobs, None if within else 2 * (n or DEFAULT_N), out, cluster
        ),
    )
    written = keep(out, found.as_dict(), {"differences": found.comparison.table()}, {})
    if json:
        print_json(found.as_dict())
        return
    _tell(found, units)
    seconds = max(found.seconds, 1e-9)
    tell_end(
        2 * found.before.n, 2 * found.before.n / seconds, written, reached=found.before.reached
    )


def _tell(found: WhatIf, units: str) -> None:
    s, c = found.before.situation, found.comparison
    print(
        f"{title_of(s)}: plan {s.plan} against {s.defence}, force {s.force}, seed {found.before.seed}"
    )
    print(", ".join(f"{path} {old} -> {new}" for path, (old, new) in found.changes.items()))
    print(in_a_sentence(c, s, units))
    for study in (found.before, found.after):
        when = "Before" if study is found.before else "After"
        for careful in traps(study.situation, study.table):
            print(f"{when}: {careful}")
    print(f"{count(found.before.n)} rehearsals of each, with the same luck")
    print()
    rows = [
        (
            words_of(MEASURES[d.measure], s),
            *(
                told(c.estimates[which][d.measure], MEASURES[d.measure], units)
                for which in (BEFORE, AFTER)
            ),
            told_difference(d.difference, MEASURES[d.measure], units) + (" *" if d.clear else ""),
        )
        for d in c.differences
        if d.measure in COMPARED
    ]
    print_table(("", BEFORE, AFTER, "difference; * clear among all"), rows)
    print()
    print(f"thrown before: {looks_in_short(found.before.looks)}")
    print(f"thrown after:  {looks_in_short(found.after.looks)}")
    print()
