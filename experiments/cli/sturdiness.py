"""`stallwise sturdiness`: sensitivity of a comparison of two plans to its assumptions."""

from __future__ import annotations

from typing import Annotated

import typer

from experiments.cli import options, texts
from experiments.cli.study import Asked, study
from experiments.errors import StallwiseError
from experiments.studies.sturdiness.analysis import PATHS, sturdiness
from experiments.studies.sturdiness.assumptions import SPREAD
from experiments.studies.sturdiness.result import Sturdiness

TwoPlans = Annotated[str, typer.Option("--plans", metavar="A,B", help="The two plans.")]
Over = Annotated[
    list[str] | None,
    typer.Option(
        "--over",
        metavar="PATH[=LOW:HIGH]",
        help="An assumption, with its range if wanted; may be repeated. "
        "By default running, seeing, throwing, the mark, the cover and the wind.",
    ),
]
Spread = Annotated[
    float,
    typer.Option(
        "--spread",
        metavar="SHARE",
        parser=options.number(float, 0.01, 1.0),
        help="Width of a plausible range, as a share of the allowed one.",
    ),
]
Paths = Annotated[
    int,
    typer.Option(
        "--paths",
        metavar="N",
        parser=options.number(int, 2, 1000),
        help="Number of Morris paths through the assumptions; more take longer and are more precise.",
    ),
]


@study("sturdiness", within=options.WithinValue)
def command(
    asked: Asked,
    plans: TwoPlans,
    over: Over = None,
    spread: Spread = SPREAD,
    paths: Paths = PATHS,
    measure: options.Measure = None,
    weights: options.Weights = None,
) -> Sturdiness:
    """Ask which assumptions could reverse the finding that one plan is better."""
    s, names = asked.situation, texts.listed(plans) or []
    if len(names) != 2:
        raise StallwiseError(
            f"--plans: found {plans!r}; allowed: two of {', '.join(s.plans)}, as A,B"
        )
    ranges: dict[str, tuple[float, float] | None] = {
        t.strip(): None for t in over or () if "=" not in t
    }
    ranges |= texts.by_path([t for t in over or () if "=" in t], "LOW:HIGH", texts.ends_in)
    return sturdiness(
        s,
        (names[0], names[1]),
        asked.n,
        asked.seed,
        within=asked.within,
        over=ranges,
        spread=spread,
        count=paths,
        measure=measure,
        weights=texts.weights_of(weights),
        engine=asked.engine(None),
    )
