"""`stallwise matchup`: every plan against every defence, and how often to call which."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import pandas as pd
import typer

from experiments.cli import asking, options
from experiments.cli.keeping import drawn, keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.situations.asks import judged_by
from experiments.situations.files import load
from experiments.studies.matchup import DEFAULT_N, Matchup, match_up
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.words.looks import hardly_thrown
from experiments.words.measured import told, words_of
from experiments.words.wording import count, percent

if TYPE_CHECKING:
    pass

Defences = Annotated[
    str | None,
    typer.Option("--defences", metavar="A,B,...", help="Names; all of the file by default."),
]


MOST_WARNED = 6  # pairs whose look was hardly thrown that are told of


def match_plans(
    situation: options.SituationName,
    plans: asking.Plans = None,
    defences: Defences = None,
    n: asking.Size = None,
    within: asking.WithinValue = None,
    measure: asking.Asked = None,
    weights: asking.WeightsOption = None,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
) -> None:
    """Match plans against defences: values, and the mixes that neither side can exploit."""
    chosen = options.with_settings(load(situation), settings)
    ours, theirs = asking.listed(plans), asking.listed(defences)
    pairs = len(ours or chosen.plans) * len(theirs or chosen.defences)
    found = match_up(
        chosen,
        ours,
        theirs,
        n,
        seed,
        within=within,
        measure=measure or judged_by(chosen.asks),
        weights=asking.weights_of(weights),
        engine=asking.engine_for(
            chosen, jobs, None if within else pairs * (n or DEFAULT_N), out, cluster
        ),
    )
    written = keep(
        out,
        found.as_dict(),
        {"values": found.table(), "mixes": found.mixes()},
        {"matchup": lambda: drawn(found, "matchup")},
    )
    if json:
        print_json(found.as_dict())
        return
    _tell(found)
    done = found.rehearsed
    tell_end(done.run.rehearsed, done.run.per_second, written, reached=done.reached)


def _tell(found: Matchup) -> None:
    s = found.situation
    words = words_of(found.measure, s)
    fewest, most = (f(c.n for row in found.cells for c in row) for f in (min, max))
    each = count(most) if fewest == most else f"{count(fewest)} to {count(most)}"
    print(f"{s.title or s.name}: {words} of plans against defences, force {s.force}")
    print(f"{each} rehearsals of each pair, all with the luck of seed {found.seed}")
    if found.measure.name == "score":
        print(f"score: {found.weights}; 0 for a pass that is not completed")
    careful = {pair: hardly_thrown(s, pair[0], shares) for pair, shares in found.looks.items()}
    told_of = [f"{plan} / {defence}: {text}" for (plan, defence), text in careful.items() if text]
    print(*told_of[:MOST_WARNED], sep="\n", end="\n" if told_of else "")
    if len(told_of) > MOST_WARNED:
        print(f"... and {len(told_of) - MOST_WARNED} more pairs like that; --json has all")
    print()
    rows = [
        (plan, *(told(cell, found.measure).replace(" (", "\n").rstrip(")") for cell in row))
        for plan, row in zip(found.plans, found.cells, strict=True)
    ]
    print_table(("", *found.defences), rows)
    print()
    print("How often to call which, so that the other side cannot gain by knowing it:")
    mixes = found.mixes()
    for side in ("offence", "defence"):
        _tell_mix(side, mixes[mixes["side"] == side])
    value = told(found.solved.value, found.measure)
    print(f"Worth {value} when both sides do so.")
    print(
        "A part with two ends: any between them is as good by this table. What it may be is its "
        "bootstrap interval. The values are estimates: best replies "
        f"to these mixes could gain {found.solved.loss:.3f} a play on average, both sides together."
    )


def _tell_mix(side: str, mix: pd.DataFrame) -> None:
    rows = [
        (
            str(entry["plan"]),
            _between(entry["least"], entry["most"]),
            f"{percent(entry['low'], 0)} to {percent(entry['high'], 0)}",
        )
        for entry in mix.to_dict("records")
    ]
    print_table((side, "part", "may be"), rows)
    print()


def _between(least: float, most: float) -> str:
    """A part of a mix; both ends where mixes with less and with more of it are as good."""
    ends = percent(least, 0), percent(most, 0)
    return ends[1] if ends[0] == ends[1] else " to ".join(ends)
