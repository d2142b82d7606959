"""What a study of many situations leaves in its folder: tables, the answer, pictures."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from experiments.cli.results import CAUTIONS, write_csv, write_json
from experiments.running import disk
from experiments.words.wording import count

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Draws a picture; called only if there is a folder to put it in, since drawing takes a second to
# import.
Draw = Callable[[], "Axes"]
FINDINGS = "findings.txt"


def keep(
    out: Path | None,
    answer: Mapping[str, Any],
    tables: Mapping[str, pd.DataFrame],
    charts: Mapping[str, Draw],
    findings: list[str] | None = None,
) -> list[Path]:
    """Write an answer as JSON, tables as CSV and charts as PNG, each whole or not at all.

    Parameters
    ----------
    out : the folder; None writes nothing.
    answer : what `--json` prints.
    tables, charts : by name, which is that of the file.
    findings : when the answer stops being true, for the handout to print.

    Returns
    -------
    The files written.
    """
    if out is None:
        return []
    written = [write_json(answer, out / "answer.json")]
    written += [write_csv(frame, out / f"{name}.csv") for name, frame in tables.items()]
    written += [write_chart(draw(), out / f"{name}.png") for name, draw in charts.items()]
    if findings:
        disk.put(out / FINDINGS, "".join(f"{line}\n" for line in findings).encode())
        written.append(out / FINDINGS)
    return written


def drawn(found: Any, kind: str, units: str = "m") -> Axes:
    """A chart of a result; drawing is imported only when it is called for."""
    from experiments.charts.drawing import draw
    from experiments.charts.style import Style

    return draw(found, kind, style=Style(units=units))


def write_chart(axes: Axes, path: Path) -> Path:
    """Write the whole figure that some axes are in as PNG."""
    figure = axes.get_figure(root=True)
    assert figure is not None
    picture = io.BytesIO()
    figure.savefig(picture, format="png", dpi=150)
    disk.put(path, picture.getvalue())
    return path


def tell_end(
    rehearsed: int, per_second: float, written: list[Path], *, reached: bool = True
) -> None:
    """The last lines of a command: how fast, what was written, the cautions.

    `reached` says whether the precision that was asked for was reached.
    """
    if not reached:
        print("It is not as precise as wanted: that would take more rehearsals than are allowed.")
    if rehearsed:
        print(f"{count(rehearsed)} rehearsals, {per_second:,.0f} a second")
    else:
        print("All rehearsals were in the folder already.")
    for path in written:
        print(f"wrote {path}")
    print(*CAUTIONS, sep="\n")
