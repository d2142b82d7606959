"""Write what a command keeps in its folder: the answer, tables, charts; each whole or not at all."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from experiments.running import disk
from experiments.running.frames import Rehearsals
from experiments.statistics.tables import Table, data_frame
from experiments.studies.rehearse import Study
from experiments.studies.result import Result

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FINDINGS = "findings.txt"


def keep(found: Result, out: Path, **style: Any) -> list[Path]:
    """Write a result's answer as JSON, its tables as CSV, its charts as PNG and its findings.

    Parameters
    ----------
    found : the result. out : the folder. style : of the charts, see `experiments.charts.style.Style`.

    Returns
    -------
    The files written.
    """
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
