"""`stallwise map`: where on the field a look is available."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from experiments.cli import asking, options
from experiments.cli.keeping import drawn, keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.situations import formation
from experiments.situations.files import load
from experiments.studies.map import DEFAULT_N, Map, map_field
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.words.measured import number
from experiments.words.units import UNITS
from experiments.words.wording import count, length, minus, percent, share_with_range

if TYPE_CHECKING:
    pass

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


def map_places(
    situation: options.SituationName,
    x: Across = None,
    y: Along = None,
    forces: Forces = "forehand,backhand",
    look: Look = None,
    keep_sides: Keep = False,
    n: asking.Size = None,
    within: options.Within = None,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Map where a plan's look is available: over places of the disc and both forces."""
    chosen = options.with_settings(load(situation), settings)
    across = None if x is None else asking.spots_in("--x", x)
    along = None if y is None else asking.spots_in("--y", y)
    named = asking.listed(forces) or []
    places = len(across or range(5)) * len(along or range(4)) * len(named)
    found = map_field(
        chosen,
        across,
        along,
        n,
        seed,
        within=within,
        forces=named,
        look=look,
        mirror=not keep_sides,
        engine=asking.engine_for(
            chosen, jobs, None if within else places * (n or DEFAULT_N), out, cluster
        ),
    )
    written = keep(
        out, found.as_dict(), {"map": found.table()}, {"map": lambda: drawn(found, "map", units)}
    )
    if json:
        print_json(found.as_dict())
        return
    _tell(found, units)
    done = found.rehearsed
    tell_end(done.run.rehearsed, done.run.per_second, written, reached=done.reached)


def _tell(found: Map, units: str) -> None:
    s = found.situation
    print(f"{s.title or s.name}: plan {s.plan} against {s.defence}, look {found.look or 'any'}")
    print(f"{count(found.rehearsed.n)} rehearsals at each place, seed {found.seed}")
    print()
    rows = []
    for place in found.places:
        ends = [place.end_x, place.end_y]
        known = ends[0] == ends[0]
        rows.append(
            (
                place.force,
                f"{_place(place.x, units)}, {_place(place.y, units)}",
                share_with_range(place.completed),
                percent(place.thrown.estimate),
                percent(place.available.estimate),
                percent(place.completed_look.estimate),
                percent(place.worked.estimate),
                percent(place.trapped.estimate),
                ", ".join(minus(length(end, units)) for end in ends) if known else "nowhere",
            )
        )
    print_table(
        (
            "force",
            f"disc at ({units})",
            "completed",
            "thrown",
            "look thrown",
            "look completed",
            "look worked",
            "trapped",
            "leaves it at",
        ),
        rows,
    )
    print()
    for x, y, force, why in found.left_out:
        print(f"left out: {force} {number(x)}, {number(y)}: {why}")
    print(*formation.words(found.mirror), sep="\n")


def _place(metres: float, units: str) -> str:
    return number(round(metres * UNITS[units], 1))
