"""Tables and lines as text, values as JSON has them: what a study prints."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

WIDTH = 200  # characters, where no terminal says how wide it is


@dataclass(frozen=True)
class TextTable:
    """A table of texts.

    Attributes
    ----------
    heads : the column names.
    rows : texts, one a column; a text may have several lines.
    left : how many columns, from the first, hold words and are set to the left.
    title : a line above the table, or "".
    """

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    left: int = 1
    title: str = ""

    def text(self, width: int | None = WIDTH) -> str:
        """The table, at most so many characters wide; None takes the width of the terminal."""
        table = Table(
            box=None,
            title=Text(self.title) if self.title else None,
            title_justify="left",
            title_style="",
            padding=(0, 2, 0, 0),
            pad_edge=False,
        )
        for position, head in enumerate(self.heads):
            table.add_column(Text(head), justify="left" if position < self.left else "right")
        for row in self.rows:
            # Text objects, so that square brackets in a user's names are not taken for markup.
            table.add_row(*(Text(cell) for cell in row))
        console = Console(width=width, highlight=False)
        with console.capture() as printed:
            console.print(table)
        return "\n".join(line.rstrip() for line in printed.get().splitlines())


def as_text(lines: Sequence[str | TextTable], width: int | None = WIDTH) -> str:
    """Lines and tables one below the other, an empty line after each table."""
    return "\n".join(
        f"{line.text(width)}\n" if isinstance(line, TextTable) else line for line in lines
    )


def stacked(text: str, mark: str = "") -> str:
    """A figure such as '93 % (92 to 94)' with its interval on the line below, and a mark after it."""
    figure, _, interval = text.partition(" (")
    return f"{figure}{mark}\n{interval.removesuffix(')')}"


def plain(value: Any) -> Any:
    """A value in what JSON has: its `as_dict` where it has one, None for what is no finite number."""
    if hasattr(value, "as_dict"):
        value = value.as_dict()
    elif dataclasses.is_dataclass(value):
        value = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(part) for part in value]
    if hasattr(value, "item"):  # a number of numpy
        value = value.item()
    return None if isinstance(value, float) and not math.isfinite(value) else value
