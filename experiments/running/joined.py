"""All rehearsals of studies in one table, every column with its meaning, unit and throw."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

import pandas as pd
import pyarrow as pa

from experiments.errors import StallwiseError, known_keywords
from experiments.running import disk, frames
from experiments.running.columns import described
from experiments.running.engine import PARTS
from experiments.running.manifest import read_manifest
from experiments.running.store import load_study_rows
from experiments.statistics.tables import data_frame


@known_keywords
def joined(folders: Iterable[str | os.PathLike[str]]) -> pd.DataFrame:
    """The rehearsals of all studies in some folders, a row each; what a study lacks is empty.

    Of a search or a screening that is what it looked at on the way, too.

    Parameters
    ----------
    folders : written by the `--out` of a command, or the `folder` of an engine.

    Raises
    ------
    StudyFolderError : there is no study, or it is damaged or not finished.
    StallwiseError : no folder is given.
    """
    parts = []
    for folder in dict.fromkeys(_with_parts(map(Path, folders))):
        rows = load_study_rows(folder)
        for task in read_manifest(folder).tasks:
            s = task.situation
            before = {
                "study": os.fspath(folder),
                "point": task.key,
                "situation": s.get("name") or s.get("title", ""),
                **{key: str(s.get(key, "")) for key in ("plan", "defence", "force")},
                "seed": task.seed,
            }
            parts.append(
                data_frame(rows[task.key]).assign(**before)[[*before, *rows[task.key].columns]]
            )
    if not parts:
        raise StallwiseError("found no study; allowed: at least one folder")
    return pd.concat(parts, ignore_index=True)


def _with_parts(folders: Iterable[Path]) -> Iterator[Path]:
    """Each folder, and after it those of its parts that it holds."""
    for folder in folders:
        yield folder
        yield from (folder / part for part in PARTS if (folder / part).is_dir())


def write_joined(table: pd.DataFrame, path: Path) -> Path:
    """Write a joined table as Parquet, with the dictionary in its fields, or as CSV.

    Raises
    ------
    StallwiseError : the name ends in neither .parquet nor .csv.
    """
    if path.suffix == ".csv":
        data = table.to_csv(index=False).encode()
    elif path.suffix == ".parquet":
        data = frames.to_bytes(described(pa.Table.from_pandas(table, preserve_index=False)))
    else:
        raise StallwiseError(f"{path}: found {path.suffix!r}; allowed: .parquet or .csv")
    disk.put(path, data)
    return path
