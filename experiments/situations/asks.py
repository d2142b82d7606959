"""What a situation asks: which measure is the answer, for its headline and every study of it."""

from __future__ import annotations

# The word in a file, and the measure that answers it.
ASKS = {"keep": "completed", "gain": "gain_m", "goal": "goal"}
