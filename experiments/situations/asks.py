"""What a situation asks: which measure is the answer, for its headline and every study of it."""

from __future__ import annotations

from collections.abc import Iterable

# The word in a file, and the measure that answers it.
ASKS = {"keep": "completed", "gain": "gain_m", "goal": "goal"}


def asked_first(names: Iterable[str], asks: str) -> list[str]:
    """Names of measures in their order, but first the one that answers what is asked."""
    return sorted(names, key=lambda name: name != ASKS[asks])
