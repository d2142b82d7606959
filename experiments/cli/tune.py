"""`stallwise tune`: the best values of some settings, and all that are equally good."""

from __future__ import annotations

from typing import Annotated

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.studies.tuning.result import Tuned
from experiments.studies.tuning.search import DEFAULT_N, points_for, tune

RANGES = "One to four settings by their path, with their range."
COUNT = options.number(int, 2, 10_000)


@study("tune", within=options.WithinValue)
def command(
    asked: Asked,
    ranges: Annotated[list[str], options.argument("PATH=LOW:HIGH...", RANGES)],
    points: Annotated[
        int | None, options.option("N", "How many to try at first.", parse=COUNT)
    ] = None,
    measure: options.Measure = None,
    weights: options.WeightsOption = None,
    margin: options.Margin = None,
) -> Tuned:
    """Tune a plan: search for the best timing, angle, depth ... and all values equally good."""
    ends = options.by_path(ranges, "LOW:HIGH", options.ends_in)
    return tune(
        asked.situation,
        ends,
        points=points,
        measure=measure,
        margin=margin,
        weights=options.weights_of(weights),
        **asked.run(points or points_for(len(ends)), DEFAULT_N),
    )
