"""The replay of one rehearsal: an animation, and a page that plays, pauses and steps."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from experiments.charts.field import around
from experiments.charts.style import Style
from experiments.errors import known_keywords
from experiments.handouts.animation import animate
from experiments.handouts.pages import page
from experiments.running import disk
from experiments.tapes.paths import TRAIL, disc_at_end, ending
from experiments.tapes.picking import Pick, pick_rehearsal
from experiments.words.measured import headline


@dataclass(frozen=True)
class Replay:
    """What was written: the rehearsal that was picked, and the two files."""

    pick: Pick
    gif: Path
    html: Path


@known_keywords
def write_replay(
    study: Any, out: Path, how: str | int = "typical", *, style: Style | None = None
) -> Replay:
    """Write ``replay.gif`` and ``replay.html`` of one rehearsal of a study.

    Parameters
    ----------
    study : `experiments.Study`.
    out : folder; made if it is not there.
    how : as for `pick_rehearsal`.
    style : units and direction.

    Raises
    ------
    ValueError : `how` names no rehearsal. OSError : the folder cannot be written.
    """
    style = style or Style()
    pick = pick_rehearsal(study.rows, how)
    tape = study.tape(pick.rehearsal)
    out = Path(out)
    out.mkdir(parents=True, exist_ok=True)
    title = headline(study.situation)
    html = out / "replay.html"
    disk.put(html, replay_page(tape, title, pick.why, style=style).encode())
    gif = animate(tape, out / "replay.gif", title=title, style=style)
    return Replay(pick, gif, html)


def replay_page(tape: Any, title: str, why: str, *, style: Style | None = None) -> str:
    """The page of one rehearsal, complete in itself; `why` says which rehearsal this is."""
    why = why[:1].upper() + why[1:].rstrip(".") + "."
    told = {"title": title, "why": why, "outcome": ending(tape)}
    return page("replay.html", **told, tape=tape_data(tape, style or Style()))


def tape_data(tape: Any, style: Style) -> dict[str, Any]:
    """The tape as plain numbers for the page: metres to the centimetre, times in seconds."""
    positions, field = np.round(tape.positions, 2), tape.field
    paths = positions.swapaxes(0, 1).tolist()
    players = [
        {"name": name, "team": team, "path": path}
        for name, team, path in zip(tape.names, tape.teams, paths, strict=True)
    ]
    return {
        "times": np.round(tape.times, 4).tolist(),
        "players": players,
        "disc": np.round(tape.disc, 2).tolist(),
        "holder": tape.holder.tolist(),
        "mark": tape.mark.tolist(),
        "reach": [
            np.round(pair, 4).tolist() if np.isfinite(pair).all() else None
            for pair in tape.mark_reach
        ],
        "trail": TRAIL,
        "end": disc_at_end(tape),
        "count": np.round(tape.count, 3).tolist(),
        "field": {
            "half_width": field.half_width,
            "length": field.length,
            "end_zone": field.end_zone,
            "bricks": field.brick_points,
        },
        "window": asdict(around(field, [positions, tape.disc[:, :2]], margin=5.0)),
        "upright": style.upright,
        "units": style.units,
        "per_metre": style.per_metre,
    }
