"""The manifest in a study's folder, and whether it is of the study being run."""

from __future__ import annotations

import dataclasses
import itertools
import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, TypeAdapter, ValidationError

from experiments.errors import StudyFolderError
from experiments.running import disk, identity
from experiments.running.tasks import Rows, Task

FORMAT = 1
KIND = "stallwise study"
FILE = "manifest.json"


@dataclasses.dataclass(frozen=True)
class Manifest:
    """What is needed to run a study again.

    Attributes
    ----------
    tasks : what is rehearsed; `n` is how many rehearsals the study has when it is finished.
    finished : whether they are all there.
    rows : name of the rehearsing function.
    code : checksum of the game, the policies, those of other packages among them, and that function.
    versions : of this package, of the libraries, of Python.
    settings : the options of the command that last ran it.
    """

    tasks: Annotated[tuple[Task, ...], Field(min_length=1)]
    finished: bool
    rows: str
    code: str
    versions: Mapping[str, str]
    settings: Mapping[str, Any]


_KEPT = TypeAdapter(Manifest)


def manifest_of(tasks: Sequence[Task], rows: Rows, settings: Mapping[str, Any]) -> Manifest:
    """The manifest of a study about to be run by the program as it is now."""
    return Manifest(
        tuple(dataclasses.replace(t, situation=identity.plain(t.situation)) for t in tasks),
        False,
        f"{rows.__module__}:{rows.__qualname__}",
        code_of(rows, [task.situation for task in tasks]),
        identity.versions(),
        identity.plain(settings),
    )


def code_of(rows: Rows, situations: Sequence[Mapping[str, Any]]) -> str:
    """Checksum of all code that decides what comes of the situations."""
    others = identity.plugins_digest(situations)
    return f"{identity.code_digest(rows)}{others and '+'}{others}"


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
        if not isinstance(data, dict) or data.get("kind") != KIND:
            raise StudyFolderError(f"{path} is not the manifest of a study; use another folder")
        if data.get("format") != FORMAT:
            raise StudyFolderError(
                f"{path} has format {data.get('format')}; this version reads format {FORMAT}"
            )
        kept = _KEPT.validate_json(text, strict=True)
        for task, entry in zip(kept.tasks, data["tasks"], strict=True):
            if identity.digest(task.situation) != entry.get("situation_sha256"):
                raise StudyFolderError(
                    f"{path} is damaged: the situation of {task.key} is not the one the study was "
                    "made of"
                )
        return dataclasses.replace(kept, settings=identity.plain(kept.settings))
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(map(str, first["loc"]))
        told = f"{where}: found {first['input']!r:.100}; {first['msg'].lower()}"
        raise StudyFolderError(f"{path} is damaged: {told}") from error
    except (ValueError, RecursionError) as error:
        raise StudyFolderError(f"{path} is damaged: {error}") from error


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
    """Check that rehearsals made now can be added to those in the folder.

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
                f"{now.versions.get(name)}, which may give other results; {elsewhere}"
            )
    if before.code != now.code:
        raise StudyFolderError(
            f"{folder} was made by a different version of the game or its policies, which may give "
            f"other results; {elsewhere}"
        )


def _listed(keys: Sequence[str]) -> str:
    shown = ", ".join(keys[:4])
    return f"{shown} and {len(keys) - 4} more" if len(keys) > 4 else shown
