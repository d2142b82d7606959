"""What commands print, lines and tables for people and one JSON object for programs; and what they keep
in a folder: the answer, tables, charts, each file whole or not at all."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from experiments.running import disk
from experiments.words.text_table import WIDTH, TextTable, as_text, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from experiments.statistics.tables import Table
    from experiments.studies.result import Result

FINDINGS = "findings.txt"
_MOST_LINES, _MOST_LETTERS = 30, 400
CAUTIONS = (
    "A model's advice: the coach on the field, the local rules and medical advice go first.",
    "Players run at full speed here: warm up, keep the ground clear, look before you run.",
)


def print_json(data: Any) -> None:
    """Print one object of strict JSON: what is not a finite number becomes null."""
    print(json.dumps(plain(data), indent=2, allow_nan=False, ensure_ascii=False))


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


def keep(found: Result, out: Path, **style: Any) -> list[Path]:
    """Write a result's answer as JSON, its tables as CSV, its charts as PNG and its findings.

    `style` is that of the charts, see `experiments.charts.style.Style`. The files are returned.
    """
    # The game takes two seconds to import, and most that is printed has no need of it.
    from experiments.studies.rehearse import Study

    answer = "estimates" if isinstance(found, Study) else "answer"
    text = json.dumps(found.as_dict(), indent=2, allow_nan=False) + "\n"
    written = [write(out / f"{answer}.json", text)]
    tables = {"rehearsals": found.rows} if isinstance(found, Study) else found.tables()
    written += [write_csv(table, out / f"{name}.csv") for name, table in tables.items()]
    for kind in found.charts:
        written.append(write_chart(drawn(found, kind, **style), out / f"{kind}.png"))
    if findings := found.findings():
        written.append(write(out / FINDINGS, "".join(f"{line}\n" for line in findings)))
    return written


def drawn(found: Any, kind: str, **style: Any) -> Axes:
    """A chart of a result; the rest goes to `experiments.charts.style.Style`."""
    # Drawing takes a second to import, and most commands do not draw.
    from experiments.charts.drawing import draw
    from experiments.charts.style import Style

    return draw(found, kind, style=Style(**style))


def write(path: Path, text: str) -> Path:
    """Write a text."""
    disk.put(path, text.encode())
    return path


def write_csv(table: Table, path: Path) -> Path:
    """Write a table, in pieces where it is long; numbers keep every digit."""
    from experiments.running.frames import Rehearsals
    from experiments.statistics.tables import data_frame

    pieces = table.pieces() if isinstance(table, Rehearsals) else [data_frame(table)]
    texts = (piece.to_csv(index=False, header=k == 0) for k, piece in enumerate(pieces))
    disk.put(path, (text.encode() for text in texts))
    return path


def write_chart(axes: Axes, path: Path) -> Path:
    """Write the whole figure that some axes are in as PNG."""
    figure = axes.get_figure(root=True)
    assert figure is not None
    picture = io.BytesIO()
    figure.savefig(picture, format="png", dpi=150)
    disk.put(path, picture.getvalue())
    return path
