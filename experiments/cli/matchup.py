"""`stallwise matchup`: every plan against every defence, and how often to call which."""

from __future__ import annotations

from typing import Annotated

import typer

from experiments.cli import options, texts
from experiments.cli.study import Asked, study
from experiments.studies.matchup import DEFAULT_N, Matchup, match_up

Defences = Annotated[
    str | None,
    typer.Option("--defences", metavar="A,B,...", help="Names; by default all in the file."),
]


@study("matchup", within=options.WithinValue)
def command(
    asked: Asked,
    plans: options.Plans = None,
    defences: Defences = None,
    measure: options.Measure = None,
    weights: options.Weights = None,
) -> Matchup:
    """Match plans against defences: values, and the mixes that neither side can exploit."""
    s = asked.situation
    ours, theirs = texts.listed(plans), texts.listed(defences)
    return match_up(
        s,
        ours,
        theirs,
        asked.n,
        asked.seed,
        within=asked.within,
        measure=measure,
        weights=texts.weights_of(weights),
        engine=asked.engine(len(ours or s.plans) * len(theirs or s.defences), DEFAULT_N),
    )
