"""`stallwise vary`: what changes as one or two settings change."""

from __future__ import annotations

import math
from typing import Annotated

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.studies.vary import DEFAULT_N, Varied, vary

VALUES = "One or two settings by their path in the file, with LOW:HIGH:COUNT or V,V,..."


@study("vary")
def command(
    asked: Asked,
    values: Annotated[list[str], options.argument("PATH=VALUES...", VALUES)],
    measure: options.Measure = None,
    weights: options.WeightsOption = None,
    margin: options.Margin = None,
) -> Varied:
    """Vary one or two numeric settings: curves with bands, or a heat map."""
    spots = options.by_path(values, "LOW:HIGH:COUNT or PATH=V,V,...", options.spots_in)
    worth, points = options.weights_of(weights), math.prod(map(len, spots.values()))
    how = asked.run(points, DEFAULT_N)
    return vary(asked.situation, spots, measure=measure, margin=margin, weights=worth, **how)
