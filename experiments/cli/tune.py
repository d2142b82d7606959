"""`stallwise tune`: the best values of some settings, and all that are equally good."""

from __future__ import annotations

from typing import Annotated

import typer

from experiments.cli import options, texts
from experiments.cli.study import Asked, study
from experiments.studies.tuning.result import Tuned
from experiments.studies.tuning.search import DEFAULT_N, points_for, tune

Ranges = Annotated[
    list[str],
    typer.Argument(
        metavar="PATH=LOW:HIGH...", help="One to four settings by their path, with their range."
    ),
]
Points = Annotated[
    int | None,
    typer.Option(
        "--points",
        metavar="N",
        parser=options.number(int, 2, 10_000),
        help="How many to try at first.",
    ),
]


@study("tune", within=options.WithinValue)
def command(
    asked: Asked,
    ranges: Ranges,
    points: Points = None,
    measure: options.Measure = None,
    weights: options.Weights = None,
    margin: options.Margin = None,
) -> Tuned:
    """Tune a plan: search for the best timing, angle, depth ... and all values equally good."""
    ends = texts.by_path(ranges, "LOW:HIGH", texts.ends_in)
    return tune(
        asked.situation,
        ends,
        asked.n,
        asked.seed,
        within=asked.within,
        points=points,
        measure=measure,
        margin=margin,
        weights=texts.weights_of(weights),
        engine=asked.engine(points or points_for(len(ends)), DEFAULT_N),
    )
