"""`stallwise draw`: one picture of a situation: its start, or a chart of its rehearsals or passes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from experiments.charts.drawing import KINDS, draw
from experiments.charts.style import Style
from experiments.cli import options
from experiments.cli.output import write_chart
from experiments.errors import StallwiseError, one_of_text
from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.studies.completion import Passes, passes
from experiments.studies.rehearse import DEFAULT_SEED, Study, rehearse

# What has to be made of a situation to draw a chart of it.
MADE: dict[type, Any] = {
    Situation: lambda situation, **_: situation,
    Study: rehearse,
    Passes: passes,
}
START = "start"
CHARTS = {chart: make for kind, make in MADE.items() for chart in KINDS[kind]}

CHART = (
    "start; of rehearsals: play, where (it ends), off-centre, first (who could be where); "
    "of single passes: completion (by distance), directions; flights (of a throw)."
)
AT = "Of first: seconds after the start. Of flights: metres to the catch."
VALUE = options.number(float, 0, 200)
PICTURE = "The picture; by default beside you, by its name."


def command(
    situation: options.SituationName,
    chart: Annotated[str, options.option("NAME", CHART)] = START,
    at: Annotated[float | None, options.option("VALUE", AT, parse=VALUE)] = None,
    out: Annotated[Path | None, options.option("FILE.png", PICTURE)] = None,
    n: options.RehearsalsEach = None,
    seed: options.Seed = DEFAULT_SEED,
    size: options.Size = "page",
    sideways: options.Sideways = False,
    settings: options.Settings = None,
    units: options.Units = "m",
) -> None:
    """Draw the start of a situation, or another chart of it: --chart NAME."""
    if chart not in CHARTS:
        raise StallwiseError(f"--chart: found {chart!r}; allowed: {one_of_text(chart, CHARTS)}")
    chosen = options.with_settings(load(situation), settings)
    which = "" if chart == START else f"-{chart}"
    path = out or Path(f"{Path(situation).stem}{which}.png")
    options.ready_folder(path.parent)
    style = Style(units=units, size=size, upright=not sideways)
    made = CHARTS[chart](chosen, seed=seed, **({} if n is None else {"n": n}))
    print(f"wrote {write_chart(draw(made, chart, style=style, at=at), path)}")
