"""`stallwise compare`: which plan is better, on the same luck, and by how much."""

from __future__ import annotations

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.studies.compare import Compared, compare
from experiments.studies.rehearse import DEFAULT_N


@study("compare", units=True)
def command(
    asked: Asked, plans: options.Plans = None, weights: options.WeightsOption = None
) -> Compared:
    """Compare plans on the same luck: differences from the first, with their intervals."""
    s, names, worth = asked.situation, options.listed(plans), options.weights_of(weights)
    return compare(s, names, weights=worth, **asked.run(len(names or s.plans), DEFAULT_N))
