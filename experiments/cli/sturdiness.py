"""`stallwise sturdiness`: sensitivity of a comparison of two plans to its assumptions."""

from __future__ import annotations

from typing import Annotated

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.errors import StallwiseError
from experiments.studies.sturdiness.analysis import PATHS, sturdiness
from experiments.studies.sturdiness.assumptions import SPREAD
from experiments.studies.sturdiness.result import Sturdiness

OVER = (
    "An assumption, with its range if wanted; may be repeated. "
    "By default running, seeing, throwing, the mark, the cover and the wind."
)
SHARE, COUNT = options.number(float, 0.01, 1.0), options.number(int, 2, 1000)
WIDTH = "Width of a plausible range, as a share of the allowed one."
MORRIS = "Number of Morris paths through the assumptions; more take longer and are more precise."


@study("sturdiness", within=options.WithinValue)
def command(
    asked: Asked,
    plans: Annotated[str, options.option("A,B", "The two plans.")],
    over: Annotated[list[str] | None, options.option("PATH[=LOW:HIGH]", OVER)] = None,
    spread: Annotated[float, options.option("SHARE", WIDTH, parse=SHARE)] = SPREAD,
    paths: Annotated[int, options.option("N", MORRIS, parse=COUNT)] = PATHS,
    measure: options.Measure = None,
    weights: options.WeightsOption = None,
) -> Sturdiness:
    """Ask which assumptions could reverse the finding that one plan is better."""
    names, over = options.listed(plans) or [], over or []
    if len(names) != 2:
        known = ", ".join(asked.situation.plans)
        raise StallwiseError(f"--plans: found {plans!r}; allowed: two of {known}, as A,B")
    told = [text for text in over if "=" in text]
    ranges = options.by_path(told, "LOW:HIGH", options.ends_in)
    return sturdiness(
        asked.situation,
        (names[0], names[1]),
        over={text.strip(): None for text in over if "=" not in text} | ranges,
        spread=spread,
        count=paths,
        measure=measure,
        weights=options.weights_of(weights),
        **asked.run(None),
    )
