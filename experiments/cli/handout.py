"""`stallwise handout`: studies as a handout, a page a situation, and as a web page."""

from __future__ import annotations

from typing import Annotated

from experiments.charts.style import Style
from experiments.cli import options
from experiments.errors import StallwiseError
from experiments.handouts.drill import PACE_M
from experiments.handouts.folders import sheets_from
from experiments.handouts.handout import write_handout


def command(
    studies: options.Studies,
    out: options.Folder,
    units: options.Units = "m",
    pace: Annotated[float, options.option("M", "Metres of one pace of yours.")] = PACE_M,
) -> None:
    """Write studies as a handout, a page a situation, for print and as a web page.

    Give every folder there is of a situation: try, compare, vary, tune, sturdiness, matchup. Each
    adds to its page, and so do the lines of a findings.txt of yours in a folder.
    """
    options.ready_folder(out)
    try:
        written = write_handout(sheets_from(studies), out, style=Style(units=units), pace=pace)
    except ValueError as error:
        raise StallwiseError(str(error)) from None
    print(f"wrote {written.pdf}", f"wrote {written.html}", sep="\n")
