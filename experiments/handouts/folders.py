"""The sheets of a handout from the folders of studies: one for each situation."""

from __future__ import annotations

import json
import os
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from experiments.errors import StallwiseError
from experiments.handouts.handout import Sheet
from experiments.running import disk
from experiments.running.manifest import Manifest, read_manifest
from experiments.running.precision import working_level
from experiments.running.store import load_study_rows
from experiments.situations.situation import Situation
from experiments.studies.rehearse import Study
from experiments.studies.whatif import AFTER, BEFORE
from experiments.words.wording import title_of

ALONE = "try"  # the key of the one task of a study that rehearses one situation
FINDINGS, ANSWER = "findings.txt", "answer.json"
# Commands, or a script, whose studies are of plans as they are; those of others have cells.
WHOLE = ("try", "compare", "whatif", None)
Part = tuple[Path, Manifest, Situation]  # a folder with a study of a situation
# Commands that write into findings.txt what `answer.json` says too, and here in plainer words.
TOLD = ("sturdiness", "tune")


def sheets_from(folders: Iterable[Path]) -> list[Sheet]:
    """A sheet for each situation, made of all the folders that hold a study of it.

    Studies belong to one situation when they differ in the plan only. The cells of a map, a matchup,
    a curve or a search get no sheet; what was found in them stands on that of the situation.

    Raises
    ------
    StallwiseError : of a situation there is no study of a plan as it is, to draw and to walk out.
    StudyFolderError : there is no study, or it is damaged or not finished.
    """
    by_situation: dict[str, list[Part]] = defaultdict(list)
    for folder in dict.fromkeys(folders):
        manifest = read_manifest(folder)
        for situation in situations_of(manifest, folder):
            by_situation[_whatever_plan(situation)].append((folder, manifest, situation))
    return [_sheet(parts) for parts in by_situation.values()]


def situations_of(manifest: Manifest, folder: Path) -> list[Situation]:
    """The situation that a command was asked about; of a script's study, each that is no cell."""
    asked = manifest.settings.get("situation")
    if isinstance(asked, dict) and manifest.settings.get("command") != "whatif":
        told: list[Mapping[str, Any]] = [asked]
    else:
        told = [
            task.situation
            for task in manifest.tasks
            if task.key in (ALONE, BEFORE, AFTER, task.situation.get("plan"))
        ]
    found = [Situation.from_dict(each, os.fspath(folder)) for each in told]
    apart = {_whatever_plan(each): each for each in reversed(found)}
    if not apart:
        raise StallwiseError(
            f"{folder} holds only the points of a study; allowed: a study of plans as they are"
        )
    return list(reversed(apart.values()))


def _whatever_plan(situation: Situation) -> str:
    """A situation as text, but for the plan in use."""
    return situation.model_copy(update={"plan": ""}).model_dump_json()


def studies_in(folder: Path, situation: Situation) -> list[Study]:
    """The studies in a folder of a situation as it is, whatever the plan; that in use comes first."""
    manifest = read_manifest(folder)
    # A study that was stopped by looking at its intervals needs them a little wider.
    looked = "within" in manifest.settings
    level = working_level(float(manifest.settings["level"])) if looked else 0.95
    tables = load_study_rows(folder)
    found = []
    for task in manifest.tasks:
        rehearsed = Situation.from_dict(task.situation, os.fspath(folder))
        if rehearsed.model_copy(update={"plan": situation.plan}) == situation:
            rows = tables[task.key]
            found.append(Study(rows, situation=rehearsed, seed=task.seed, level=level))
    return sorted(found, key=lambda study: study.situation.plan != situation.plan)


def answer_in(folder: Path) -> dict[str, Any] | None:
    """What the command that made a study printed with `--json`; None if the folder has none."""
    if not (path := folder / ANSWER).is_file():
        return None
    with disk.in_words(folder, "read"):
        text = path.read_bytes()
    try:
        found = json.loads(text)
    except ValueError as error:
        raise StallwiseError(f"{path} is damaged: {error}; run the command again") from None
    return found if isinstance(found, dict) else None


def findings_in(folder: Path) -> tuple[str, ...]:
    """The lines of findings.txt in a study's folder; none when there is no such file."""
    if not (path := folder / FINDINGS).is_file():
        return ()
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise StallwiseError(f"{path} is not text in UTF-8") from None
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _sheet(parts: Sequence[Part]) -> Sheet:
    asked: list[Study] = []
    cells: list[Study] = []
    also: list[Any] = []
    findings: list[str] = []
    first_folder, _, situation_asked = parts[0]
    for folder, manifest, situation in parts:
        whole = manifest.settings.get("command") in WHOLE
        (asked if whole else cells).extend(studies_in(folder, situation))
        answer = answer_in(folder)
        also += [answer] if answer else []
        if manifest.settings.get("command") not in TOLD:
            findings += findings_in(folder)
    if not (studies := asked or cells):
        raise StallwiseError(
            f"{first_folder}: no plan of '{title_of(situation_asked)}' was rehearsed as it is; "
            "allowed: give a folder of try or compare of the same situation beside it"
        )
    # Of plans on the same luck can be said which is better; of more rehearsals, more surely.
    alike = {id(s): [o for o in studies if (o.seed, o.n) == (s.seed, s.n)] for s in studies}
    first = max(studies, key=lambda s: (len(alike[id(s)]) > 1, s.n))
    same = alike[id(first)]
    rest = [s for s in studies if (s.seed, s.n) != (first.seed, first.n)]
    in_use = [s for s in same if s.situation.plan == situation_asked.plan] or same
    return Sheet(in_use[0], tuple(dict.fromkeys(findings)), (*same, *rest, *also))
