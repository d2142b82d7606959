"""What a study's folder says of its study, and whether that is the study being run."""

from __future__ import annotations

import dataclasses
import itertools
import json
import os
import reprlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from experiments.errors import StudyFolderError
from experiments.running import disk, identity
from experiments.running.tasks import Rows, Task

FORMAT = 1
KIND = "stallwise study"
FILE = "manifest.json"
_FIELDS = {
    "tasks": list, "finished": bool, "rows": str, "code": str, "versions": dict, "settings": dict,
}  # fmt: skip
_OF_TASK = {"key": str, "situation": dict, "n": int, "seed": int, "situation_sha256": str}
_KINDS = {
    list: "a list", bool: "true or false", str: "a text", dict: "a table",
    int: "a whole number from 0",
}  # fmt: skip


@dataclasses.dataclass(frozen=True)
class Manifest:
    """All that is needed to run a study again.

    Attributes
    ----------
    tasks : what is rehearsed; `n` is how many rehearsals the study has when it is finished.
    finished : whether they are all there.
    rows : name of the rehearsing function.
    code : checksum of the game, the policies and that function.
    versions : of this package, of the libraries, of Python.
    settings : what the command that last ran it was told.
    """

    tasks: tuple[Task, ...]
    finished: bool
    rows: str
    code: str
    versions: Mapping[str, str]
    settings: Mapping[str, Any]


def manifest_of(tasks: Sequence[Task], rows: Rows, settings: Mapping[str, Any]) -> Manifest:
    """The manifest of a study about to be run by the program as it is now."""
    return Manifest(
        tuple(dataclasses.replace(t, situation=identity.plain(t.situation)) for t in tasks),
        False,
        identity.name_of(rows),
        identity.code_digest(rows),
        identity.versions(),
        identity.plain(settings),
    )


def read_manifest(folder: str | os.PathLike[str]) -> Manifest:
    """The manifest in a study's folder.

    Raises
    ------
    StudyFolderError : if there is none, or it is not one, or it is damaged.
    """
    path = Path(folder) / FILE
    with disk.in_words(Path(folder), "read"):
        if not path.is_file():
            raise StudyFolderError(f"{folder} holds no study: there is no {FILE} in it")
        text = path.read_bytes()
    try:
        data = json.loads(text)
    except ValueError as error:
        raise StudyFolderError(f"{path} is damaged: {error}") from error
    if not isinstance(data, dict) or data.get("kind") != KIND:
        raise StudyFolderError(f"{path} is not the manifest of a study; use another folder")
    if data.get("format") != FORMAT:
        raise StudyFolderError(
            f"{path} has format {data.get('format')}; this version reads format {FORMAT}"
        )
    _check_kinds(path, data, _FIELDS, "")
    for number, entry in enumerate(data["tasks"]):
        _check_kinds(path, entry, _OF_TASK, f"tasks.{number}.")
    tasks = tuple(_task(path, entry) for entry in data["tasks"])
    return Manifest(tasks=tasks, **{name: data[name] for name in _FIELDS if name != "tasks"})


def _check_kinds(path: Path, data: Any, kinds: Mapping[str, type], under: str) -> None:
    """Check that a table holds every field, each of its kind."""
    table = data if isinstance(data, dict) else {}
    for name, kind in kinds.items():
        found = table.get(name)
        # true is a whole number to Python, and no count to anybody
        right = isinstance(found, kind) and isinstance(found, bool) == (kind is bool)
        if not right or (isinstance(found, int) and found < 0):
            shown = reprlib.repr(found) if name in table else "nothing"
            raise StudyFolderError(
                f"{path} is damaged: {under}{name}: found {shown}; allowed: {_KINDS[kind]}"
            )


def write_manifest(folder: Path, manifest: Manifest) -> None:
    """Put the manifest into its folder, in place of an older one.

    Raises
    ------
    StudyFolderError : if the disk does not take it.
    """
    data = {"kind": KIND, "format": FORMAT, **dataclasses.asdict(manifest)}
    for entry in data["tasks"]:
        entry["situation_sha256"] = identity.digest(entry["situation"])
    text = json.dumps(data, indent=1, allow_nan=False, ensure_ascii=False)
    disk.put(folder / FILE, text.encode() + b"\n")


def check_same(folder: Path, before: Manifest, now: Manifest) -> None:
    """Check that rehearsals made now belong beside those in the folder.

    Raises
    ------
    StudyFolderError : if they would not have come out the same.
    """
    elsewhere = "use another folder"
    keys_before, keys_now = ([task.key for task in m.tasks] for m in (before, now))
    if before.rows != now.rows or keys_before != keys_now:
        raise StudyFolderError(
            f"{folder} holds another study, of {_listed(keys_before)}, not of {_listed(keys_now)}; "
            f"{elsewhere}"
        )
    for old, new in zip(before.tasks, now.tasks, strict=True):
        changes = list(itertools.islice(identity.differences(old.situation, new.situation), 4))
        if changes:
            told = "; ".join(changes[:3]) + ("; and more" if len(changes) > 3 else "")
            raise StudyFolderError(
                f"{folder} holds rehearsals of another situation under the name {new.key}: {told}. "
                f"Put it back, or {elsewhere}"
            )
        if old.seed != new.seed:
            raise StudyFolderError(
                f"{folder} was rehearsed with seed {old.seed}, not {new.seed}; {elsewhere}"
            )
    for name in identity.COMPUTING:
        if before.versions.get(name) != now.versions.get(name):
            raise StudyFolderError(
                f"{folder} was made with {name} {before.versions.get(name)}, this is "
                f"{now.versions.get(name)}, which may rehearse differently; {elsewhere}"
            )
    if before.code != now.code:
        raise StudyFolderError(
            f"{folder} was made by other code of the game or its policies, which may rehearse "
            f"differently; {elsewhere}"
        )


def _task(path: Path, entry: Mapping[str, Any]) -> Task:
    task = Task(entry["key"], entry["situation"], entry["n"], entry["seed"])
    if identity.digest(task.situation) != entry["situation_sha256"]:
        raise StudyFolderError(
            f"{path} is damaged: the situation of {task.key} is not the one the study was made of"
        )
    return task


def _listed(keys: Sequence[str]) -> str:
    shown = ", ".join(keys[:4])
    return f"{shown} and {len(keys) - 4} more" if len(keys) > 4 else shown
