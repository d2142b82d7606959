"""`stallwise map`: where on the field a look is available."""

from __future__ import annotations

from typing import Annotated

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.studies.map import DEFAULT_N, Map, map_field

ACROSS = "Places across, m: LOW:HIGH:COUNT or V,V,..."
ALONG = "Places downfield, m: LOW:HIGH:COUNT or V,V,..."
LOOK = "Such as 'strike left'; by default the first."
KEEP = "Do not mirror the formation where the other side is open."


@study("map", units=True)
def command(
    asked: Asked,
    x: Annotated[str | None, options.option("VALUES", ACROSS)] = None,
    y: Annotated[str | None, options.option("VALUES", ALONG)] = None,
    forces: Annotated[str, options.option("A,B", "Forces of the mark.")] = "forehand,backhand",
    look: Annotated[str | None, options.option("NAME", LOOK)] = None,
    keep_sides: Annotated[bool, options.switch("--keep-sides", KEEP)] = False,
) -> Map:
    """Map where a plan's look is available: over places of the disc and both forces."""
    across = None if x is None else options.spots_in("--x", x)
    along = None if y is None else options.spots_in("--y", y)
    named = options.listed(forces) or []
    how = asked.run(len(across or range(5)) * len(along or range(4)) * len(named), DEFAULT_N)
    mirror = not keep_sides
    return map_field(asked.situation, across, along, forces=named, look=look, mirror=mirror, **how)
