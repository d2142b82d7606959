"""What a situation asks: which measure is the answer."""

from __future__ import annotations

# The word in a file, and the measure that answers it.
ASKS = {"keep": "completed", "gain": "gain_m", "goal": "goal"}
EVERYTHING = "score"  # the measure that weighs all of them, for a search or a game


def judged_by(asks: str, otherwise: str = EVERYTHING) -> str:
    """The measure that studies of a situation judge by: its own, `otherwise` where it asks to keep."""
    return otherwise if asks == "keep" else ASKS[asks]
