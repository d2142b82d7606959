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
    plans: Annotated[str, options.option("--plans", shown="A,B", told="The two plans.")],
    over: Annotated[
        list[str] | None, options.option("--over", shown="PATH[=LOW:HIGH]", told=OVER)
    ] = None,
    spread: Annotated[
        float, options.option("--spread", shown="SHARE", told=WIDTH, parse=SHARE)
    ] = SPREAD,
    paths: Annotated[int, options.option("--paths", shown="N", told=MORRIS, parse=COUNT)] = PATHS,
    measure: options.Measure = None,
    weights: options.WeightsOption = None,
) -> Sturdiness:
    """Ask which assumptions could reverse the finding that one plan is better."""
    s, names = asked.situation, options.listed(plans) or []
    if len(names) != 2:
        known = ", ".join(s.plans)
        raise StallwiseError(f"--plans: found {plans!r}; allowed: two of {known}, as A,B")
    ranges: dict[str, tuple[float, float] | None] = {
        text.strip(): None for text in over or () if "=" not in text
    }
    told = [text for text in over or () if "=" in text]
    return sturdiness(
        s,
        (names[0], names[1]),
        over=ranges | options.by_path(told, "LOW:HIGH", options.ends_in),
        spread=spread,
        count=paths,
        measure=measure,
        weights=options.weights_of(weights),
        **asked.run(None),
    )
