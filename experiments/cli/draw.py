"""`stallwise draw`: the start of a situation as a picture, without rehearsing anything."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from experiments.charts.start import start
from experiments.charts.style import Style
from experiments.cli import options
from experiments.cli.keeping import write_chart
from experiments.cli.texts import with_settings
from experiments.situations.files import load

Picture = Annotated[
    Path | None,
    typer.Option(
        "--out", metavar="FILE.png", help="The picture; by default beside you, by its name."
    ),
]


def command(
    situation: options.SituationName,
    out: Picture = None,
    size: options.Size = options.PictureSize.page,
    sideways: options.Sideways = False,
    settings: options.Settings = None,
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Draw the start of a situation: where everybody stands, the disc, what the mark covers."""
    chosen = with_settings(load(situation), settings)
    path = out or Path(f"{Path(situation).stem}.png")
    options.ready_folder(path.parent)
    style = Style(units=units, size=size, upright=not sideways)
    print(f"wrote {write_chart(start(chosen, style=style), path)}")
