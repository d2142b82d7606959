"""`stallwise matchup`: every plan against every defence, and how often to call which."""

from __future__ import annotations

from typing import Annotated

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.studies.matchup import DEFAULT_N, Matchup, match_up


@study("matchup", within=options.WithinValue)
def command(
    asked: Asked,
    plans: options.Plans = None,
    defences: Annotated[
        str | None, options.option("A,B,...", "Names; by default all in the file.")
    ] = None,
    measure: options.Measure = None,
    weights: options.WeightsOption = None,
) -> Matchup:
    """Match plans against defences: values, and the mixes that neither side can exploit."""
    s, worth = asked.situation, options.weights_of(weights)
    ours, theirs = options.listed(plans), options.listed(defences)
    how = asked.run(len(ours or s.plans) * len(theirs or s.defences), DEFAULT_N)
    return match_up(s, ours, theirs, measure=measure, weights=worth, **how)
