"""`stallwise whatif`: a situation as it is and with some settings changed, and the difference."""

from __future__ import annotations

from typing import Annotated

import typer

from experiments.cli import options, texts
from experiments.cli.study import Asked, study
from experiments.studies.whatif import DEFAULT_N, WhatIf, what_if

Changes = Annotated[
    list[str],
    typer.Argument(
        metavar="PATH=VALUE...",
        help="What to change, such as force=backhand or attackers.left.at=-8,31; "
        "'stallwise settings SITUATION' lists all settings.",
    ),
]


@study("whatif", units=True)
def command(asked: Asked, changed: Changes, weights: options.Weights = None) -> WhatIf:
    """Ask what if settings were different: before, after, and the difference on the same luck."""
    return what_if(
        asked.situation,
        texts.changes(asked.situation, changed, ""),
        asked.n,
        asked.seed,
        within=asked.within,
        weights=texts.weights_of(weights),
        engine=asked.engine(2, DEFAULT_N),
    )
