"""What commands print: lines and tables for people, one JSON object for programs."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from experiments.words.text_table import WIDTH, TextTable, as_text

_MOST_LINES, _MOST_LETTERS = 30, 400
CAUTIONS = (
    "A model's advice: the coach on the field, the local rules and medical advice go first.",
    "Players run at full speed here: warm up, keep the ground clear, look before you run.",
)


def print_json(data: Any) -> None:
    """Print one object of strict JSON: what is not a finite number becomes null."""
    print(json.dumps(_strict(data), indent=2, allow_nan=False, ensure_ascii=False))


def print_lines(lines: Sequence[str | TextTable]) -> None:
    """Print lines and tables, tables as wide as the terminal at most."""
    print(as_text(lines, None if sys.stdout.isatty() else WIDTH))


def print_table(heads: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> None:
    """Print one table; see `experiments.words.text_table.TextTable`."""
    print(TextTable(heads, rows, left).text(None if sys.stdout.isatty() else WIDTH))


def print_end(made: int, per_second: float, written: Sequence[Path], *, reached: bool) -> None:
    """Print the last lines of a command: how fast, what was written, the cautions.

    `made` is how many rehearsals were made, `reached` whether the wanted precision was.
    """
    if not reached:
        print(
            "The wanted precision was not reached: it would take more rehearsals than are allowed."
        )
    if made:
        print(f"{made:,} rehearsals, {per_second:,.0f} a second")
    else:
        print("All rehearsals were in the folder already.")
    print(*(f"wrote {path}" for path in written), *CAUTIONS, sep="\n")


def complain(text: str) -> None:
    """Print an error, plain, on the error stream, no longer than somebody would read."""
    lines = text.splitlines() or [""]
    for line in lines[:_MOST_LINES]:
        cut = line if len(line) <= _MOST_LETTERS else line[: _MOST_LETTERS - 3] + "..."
        print(f"stallwise: {cut}", file=sys.stderr)
    if len(lines) > _MOST_LINES:
        print(f"stallwise: and {len(lines) - _MOST_LINES:,} more lines", file=sys.stderr)


def _strict(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _strict(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [_strict(part) for part in value]
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
