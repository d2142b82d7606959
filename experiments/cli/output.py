"""What commands print: tables for people, one JSON object for programs."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

_PIPED_WIDTH = 200
_MOST_LINES, _MOST_LETTERS = 30, 400


def print_json(data: Any) -> None:
    """Print one object of strict JSON: what is not a finite number becomes null."""
    print(json.dumps(_strict(data), indent=2, allow_nan=False, ensure_ascii=False))


def print_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], title: str = "", left: int = 1
) -> None:
    """Print a table, as wide as the terminal at most, and the same without lines when piped.

    Parameters
    ----------
    heads : the column names.
    rows : texts, one a column; a text may have several lines.
    title : a line above the table, or "".
    left : how many columns, from the first, hold words and are set to the left.
    """
    table = Table(
        box=None,
        title=Text(title) if title else None,
        title_justify="left",
        title_style="",
        padding=(0, 2, 0, 0),
        pad_edge=False,
    )
    for position, head in enumerate(heads):
        table.add_column(Text(head), justify="left" if position < left else "right")
    for row in rows:
        # Text objects, so that square brackets in a user's names are not taken for markup.
        table.add_row(*(Text(cell) for cell in row))
    console = Console(width=None if sys.stdout.isatty() else _PIPED_WIDTH, highlight=False)
    with console.capture() as printed:
        console.print(table)
    print("\n".join(line.rstrip() for line in printed.get().splitlines()))


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
