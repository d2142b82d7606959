"""What a study leaves in a folder for people: its table, its estimates, its picture."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from experiments.running import disk
from experiments.studies.rehearse import Study

CAUTIONS = (
    "A model's advice: the coach on the field, the local rules and medical advice go first.",
    "Players run at full speed here: warm up, keep the ground clear, look before you run.",
)
_ESTIMATES = ("completion", "gain_m", "off_centre", "trapped", "stall_at_release")


def heading(study: Study) -> str:
    """What was rehearsed, in a line."""
    s = study.situation
    return (
        f"{s.title or s.name}: plan {s.plan} against {s.defence}, force {s.force}, "
        f"{study.n:,} rehearsals with seed {study.seed}"
    )


def estimates_table(studies: Sequence[Study]) -> pd.DataFrame:
    """A row a study: what was rehearsed and each estimate with its ends and its n."""
    rows = []
    for study in studies:
        s = study.situation
        row: dict[str, object] = {
            "situation": s.name,
            "plan": s.plan,
            "defence": s.defence,
            "force": s.force,
            "rehearsals": study.n,
            "seed": study.seed,
        }
        for name in _ESTIMATES:
            found = getattr(study, name).as_dict()
            row |= {f"{name}_{part}": found[part] for part in ("estimate", "low", "high", "n")}
        rows.append(row)
    return pd.DataFrame(rows)


def write_csv(frame: pd.DataFrame, path: Path) -> Path:
    """Write a table whole or not at all; numbers keep every digit."""
    disk.put(path, frame.to_csv(index=False).encode())
    return path


def write_json(data: object, path: Path) -> Path:
    """Write strict JSON, whole or not at all."""
    disk.put(path, (json.dumps(data, indent=2, allow_nan=False) + "\n").encode())
    return path


def write_play(study: Study, path: Path, units: str) -> Path:
    """Draw the play of a study and write it as PNG."""
    # Drawing takes a second to import, and most commands do not draw.
    from experiments.charts.play import play
    from experiments.charts.style import Style

    figure = play(study, style=Style(units=units)).get_figure(root=True)
    assert figure is not None
    picture = io.BytesIO()
    figure.savefig(picture, format="png", dpi=150)
    disk.put(path, picture.getvalue())
    return path
