"""`stallwise map`: where on the field a look is available."""

from __future__ import annotations

from typing import Annotated

import typer

from experiments.cli import texts
from experiments.cli.study import Asked, study
from experiments.studies.map import DEFAULT_N, Map, map_field

Across = Annotated[
    str | None,
    typer.Option("--x", metavar="VALUES", help="Places across, m: LOW:HIGH:COUNT or V,V,..."),
]
Along = Annotated[
    str | None,
    typer.Option("--y", metavar="VALUES", help="Places downfield, m: LOW:HIGH:COUNT or V,V,..."),
]
Forces = Annotated[str, typer.Option("--forces", metavar="A,B", help="Forces of the mark.")]
Look = Annotated[
    str | None,
    typer.Option("--look", metavar="NAME", help="Such as 'strike left'; by default the first."),
]
Keep = Annotated[
    bool,
    typer.Option("--keep-sides", help="Do not mirror the formation where the other side is open."),
]


@study("map", units=True)
def command(
    asked: Asked,
    x: Across = None,
    y: Along = None,
    forces: Forces = "forehand,backhand",
    look: Look = None,
    keep_sides: Keep = False,
) -> Map:
    """Map where a plan's look is available: over places of the disc and both forces."""
    across = None if x is None else texts.spots_in("--x", x)
    along = None if y is None else texts.spots_in("--y", y)
    named = texts.listed(forces) or []
    places = len(across or range(5)) * len(along or range(4)) * len(named)
    return map_field(
        asked.situation,
        across,
        along,
        asked.n,
        asked.seed,
        within=asked.within,
        forces=named,
        look=look,
        mirror=not keep_sides,
        engine=asked.engine(places, DEFAULT_N),
    )
