"""`stallwise whatif`: a situation as it is and with some settings changed, and the difference."""

from __future__ import annotations

from typing import Annotated

from experiments.cli import options
from experiments.cli.study import Asked, study
from experiments.studies.whatif import DEFAULT_N, WhatIf, what_if

CHANGED = (
    "What to change, such as force=backhand or attackers.left.at=-8,31; "
    "'stallwise settings SITUATION' lists all settings."
)


@study("whatif", units=True)
def command(
    asked: Asked,
    changed: Annotated[list[str], options.argument("PATH=VALUE...", CHANGED)],
    weights: options.WeightsOption = None,
) -> WhatIf:
    """Ask what if settings were different: before, after, and the difference on the same luck."""
    s, worth = asked.situation, options.weights_of(weights)
    changes = options.changes(s, changed, "")
    return what_if(s, changes, weights=worth, **asked.run(2, DEFAULT_N))
