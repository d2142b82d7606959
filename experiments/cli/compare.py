"""`stallwise compare`: which plan is better, on the same luck, and by how much."""

from __future__ import annotations

from experiments.cli import options, texts
from experiments.cli.study import Asked, study
from experiments.studies.compare import Compared, compare
from experiments.studies.rehearse import DEFAULT_N


@study("compare", units=True)
def command(asked: Asked, plans: options.Plans = None, weights: options.Weights = None) -> Compared:
    """Compare plans on the same luck: differences from the first, with their intervals."""
    names = texts.listed(plans)
    return compare(
        asked.situation,
        names,
        asked.n,
        asked.seed,
        within=asked.within,
        weights=texts.weights_of(weights),
        engine=asked.engine(len(names or asked.situation.plans), DEFAULT_N),
    )
