"""A study's rehearsals in a folder, safe if the process is killed at any moment.

``manifest.json`` says what is rehearsed, and by which code. ``rehearsals/`` holds chunks of rows,
``TASK-FIRST-END-CHECKSUM.parquet``. A file gets its name only after its bytes are on the disk,
and the name holds their checksum, so damage is noticed. No file of rehearsals is written twice, and
none is deleted when fewer are asked for.
"""

from __future__ import annotations

import dataclasses
import hashlib
import os
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from experiments.errors import StudyFolderError
from experiments.running import disk, frames
from experiments.running.frames import Packed, Rehearsals
from experiments.running.manifest import (
    FILE,
    Manifest,
    check_same,
    manifest_of,
    read_manifest,
    write_manifest,
)
from experiments.running.tasks import Rows, Task

CHUNKS = "rehearsals"
_CHUNK = re.compile(r"(\d{5})-(\d{9})-(\d{9})-([0-9a-f]{16})\.parquet")


class StudyFolder:
    """A folder opened for a run: made if missing, checked, and locked against other runs.

    Files of other names in it are left alone.

    Raises
    ------
    StudyFolderError : if it holds another study; the situation, the code or the versions have
        changed; another run is using it; or it cannot be written.
    """

    def __init__(
        self, folder: Path, tasks: Sequence[Task], rows: Rows, settings: Mapping[str, Any]
    ) -> None:
        self.folder = folder
        self._now = manifest_of(tasks, rows, settings)
        with disk.in_words(folder, "make"):
            if folder.exists() and not folder.is_dir():
                raise StudyFolderError(f"{folder} is a file; a study needs a folder")
            folder.mkdir(parents=True, exist_ok=True)
        self._lock = disk.hold(folder)
        try:
            self._written = self._begin()
        except BaseException:
            self.close()
            raise

    def write(self, index: int, first: int, part: Packed) -> None:
        """Keep a chunk of the task with this place in the list, which begins with rehearsal `first`.

        Raises
        ------
        StudyFolderError : if the disk does not take it; then nothing of it is left.
        """
        span = f"{first:09d}-{first + part.rows:09d}"
        name = f"{index:05d}-{span}-{_checksum(part.data)}.parquet"
        disk.put(self.folder / CHUNKS / name, part.data)

    def aim(self, sizes: Sequence[int]) -> None:
        """Record how many rehearsals each task is to have; a finished study does not shrink.

        Raises
        ------
        StudyFolderError : if the disk does not take it.
        """
        before = self._written
        sizes = [
            max(size, task.n) if before.finished else size
            for size, task in zip(sizes, before.tasks, strict=True)
        ]
        finished = before.finished and sizes == [task.n for task in before.tasks]
        tasks = tuple(
            dataclasses.replace(task, n=n) for task, n in zip(self._now.tasks, sizes, strict=True)
        )
        self._note(dataclasses.replace(self._now, tasks=tasks, finished=finished))

    def finish(self) -> None:
        """Record that the study is finished."""
        self._note(dataclasses.replace(self._written, finished=True))

    def close(self) -> None:
        """Unlock the folder."""
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None

    def _begin(self) -> Manifest:
        rehearsals = self.folder / CHUNKS
        with disk.in_words(self.folder, "read"):
            known = (self.folder / FILE).exists()
        if known:
            before = read_manifest(self.folder)
            check_same(self.folder, before, self._now)
        elif _chunk_names(rehearsals):
            raise StudyFolderError(
                f"{self.folder} holds rehearsals but no {FILE} that says of what; "
                "use another folder"
            )
        else:
            before = self._now
            write_manifest(self.folder, before)
        with disk.in_words(rehearsals, "make"):
            rehearsals.mkdir(exist_ok=True)
        disk.sweep(self.folder)
        disk.sweep(rehearsals)
        return before

    def _note(self, manifest: Manifest) -> None:
        if manifest != self._written:
            write_manifest(self.folder, manifest)
            self._written = manifest


def load_study_rows(folder: str | os.PathLike[str]) -> dict[str, Rehearsals]:
    """The rehearsals of a study kept in a folder, by key of their tasks.

    Raises
    ------
    StudyFolderError : if there is no study, a chunk is damaged, or rehearsals are missing.
    """
    manifest = read_manifest(folder)
    tables = {}
    for index, task in enumerate(manifest.tasks):
        parts = [part for _, part in read_chunks(Path(folder), index, task.n)]
        if sum(part.rows for part in parts) < task.n or not manifest.finished:
            raise StudyFolderError(
                f"{folder}: the study is not finished; run the same command again to finish it"
            )
        tables[task.key] = Rehearsals(parts, task.n)
    return tables


def read_chunks(folder: Path, index: int, n: int) -> list[tuple[int, Packed]]:
    """First rehearsal and rows of a task's chunks, in order, nothing twice, none from n on.

    Parameters
    ----------
    index : the task's place in the list of tasks.

    Raises
    ------
    StudyFolderError : if a chunk is not what it was when it was written.
    """
    parts: list[tuple[int, Packed]] = []
    reached = 0
    mine = [name for name in _chunk_names(folder / CHUNKS) if int(name[1]) == index]
    for name in sorted(mine, key=lambda found: found[0]):
        first, end, path = int(name[2]), int(name[3]), folder / CHUNKS / name[0]
        start, stop = max(first, reached), min(end, n)
        if start >= stop:
            continue
        with disk.in_words(folder / CHUNKS, "read"):
            data = path.read_bytes()
        if _checksum(data) != name[4]:
            raise StudyFolderError(
                f"{path} is damaged: it is not what was written. Delete this file and run the "
                "same command again; its rehearsals will come out the same"
            )
        rows, part = _rows(path, data, first, end), Packed(data, end - first)
        if stop - start < end - first:
            part = frames.pack(rows.slice(start - first, stop - start))
        parts.append((start, part))
        reached = stop
    return parts


def _chunk_names(folder: Path) -> list[re.Match[str]]:
    with disk.in_words(folder, "read"):
        names = os.listdir(folder) if folder.is_dir() else []
    return [match for name in names if (match := _CHUNK.fullmatch(name))]


def _rows(path: Path, data: bytes, first: int, end: int) -> pa.Table:
    """The rows of a chunk, which are those that its name says."""
    try:
        table = pq.read_table(pa.BufferReader(data))
        numbers = table["rehearsal"].to_numpy()
        whole = np.array_equal(numbers, np.arange(first, end))
    except (pa.ArrowException, OSError, KeyError, TypeError, ValueError):
        whole = False
    if not whole:
        raise StudyFolderError(
            f"{path} does not hold rehearsals {first} to {end - 1} as Parquet; use another folder"
        )
    return table


def _checksum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:16]
