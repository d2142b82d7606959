"""`stallwise vary`: what changes as one or two settings change."""

from __future__ import annotations

import math
from typing import Annotated

import typer

from experiments.cli import options, texts
from experiments.cli.study import Asked, study
from experiments.studies.vary import DEFAULT_N, Varied, vary

Values = Annotated[
    list[str],
    typer.Argument(
        metavar="PATH=VALUES...",
        help="One or two settings by their path in the file, with LOW:HIGH:COUNT or V,V,...",
    ),
]


@study("vary")
def command(
    asked: Asked,
    values: Values,
    measure: options.Measure = None,
    weights: options.Weights = None,
    margin: options.Margin = None,
) -> Varied:
    """Vary one or two numeric settings: curves with bands, or a heat map."""
    spots = texts.by_path(values, "LOW:HIGH:COUNT or PATH=V,V,...", texts.spots_in)
    return vary(
        asked.situation,
        spots,
        asked.n,
        asked.seed,
        within=asked.within,
        measure=measure,
        margin=margin,
        weights=texts.weights_of(weights),
        engine=asked.engine(math.prod(map(len, spots.values())), DEFAULT_N),
    )
