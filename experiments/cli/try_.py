"""`stallwise try`: rehearse one situation and say what came of it."""

from __future__ import annotations

from experiments.cli.study import Asked, study
from experiments.studies.rehearse import DEFAULT_N, Study, rehearse


@study("try", units=True)
def command(asked: Asked) -> Study:
    """Rehearse a situation and print its estimates."""
    return rehearse(asked.situation, **asked.run(1, DEFAULT_N))
