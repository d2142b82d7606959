"""A study's folder: what it keeps, how it goes on, and everything that can be wrong with it."""

from __future__ import annotations

import errno
import hashlib
import json
import os
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from experiments.errors import RunError, StudyFolderError
from experiments.running import disk, frames, identity
from experiments.running.engine import Engine
from experiments.running.runner import run
from experiments.running.store import load_study_rows, read_manifest
from tests.experiments import pretend


def _contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def _run(out: Path, n: int = 300, **changes):
    return run([pretend.task(n=n, **changes)], Engine(rows=pretend.rows, folder=out, chunk=100))


def _expected(n: int) -> pd.DataFrame:
    return pretend.rows(pretend.BASE, np.arange(n), 7)


@pytest.fixture
def study(tmp_path):
    """A finished study of 300 rehearsals in three chunks."""
    _run(tmp_path / "study")
    return tmp_path / "study"


def test_what_is_kept_is_what_was_rehearsed_to_the_bit(study):
    assert pretend.same(load_study_rows(study)["one"], _expected(300))


@pytest.mark.parametrize("bits", [0x7FF8000000000000, 0xFFF8000000000000, 0x7FF8000000000123])
def test_every_bit_of_a_float_survives(bits):
    """NaNs of either sign and with a payload, both zeros, the smallest and the largest."""
    values = np.array([0.0, -0.0, 5e-324, -1.7976931348623157e308, np.inf, 0.1 + 0.2])
    values = np.append(values, np.array([bits], dtype=np.uint64).view(float))
    ids = np.arange(values.size)
    frame = pd.DataFrame(
        {"rehearsal": ids, "x": values, "small": np.float32(0.1) * ids.astype("f4")}
    )
    back = frames.Rehearsals([frames.pack(frames.encode(frame, ids))], len(ids))
    assert pretend.same(back, frame)


def test_the_manifest_is_enough_to_run_it_again(study, tmp_path):
    manifest = read_manifest(study)
    assert manifest.finished
    assert manifest.versions["numpy"] == np.__version__
    again = run(manifest.tasks, Engine(rows=pretend.rows, folder=tmp_path / "again"))
    assert pretend.same(again.tables["one"], load_study_rows(study)["one"])
    assert read_manifest(tmp_path / "again") == manifest


def test_settings_of_the_command_are_noted(tmp_path):
    run(
        [pretend.task()],
        Engine(rows=pretend.rows, folder=tmp_path, settings={"command": "try", "n": 1000}),
    )
    assert read_manifest(tmp_path).settings == {"command": "try", "n": 1000}


def test_the_same_command_again_rehearses_nothing(study):
    before = _contents(study)
    done = _run(study)
    assert (done.rehearsed, done.found) == (0, 300)
    assert pretend.same(done.tables["one"], _expected(300))
    assert _contents(study) == before


def test_asking_for_more_adds_to_what_is_there(study):
    before = _contents(study)
    done = _run(study, n=450)
    assert (done.rehearsed, done.found) == (150, 300)
    assert pretend.same(done.tables["one"], _expected(450))
    assert len(load_study_rows(study)["one"]) == 450
    after = _contents(study)
    assert all(after[name] == data for name, data in before.items() if name.endswith(".parquet"))


def test_asking_for_fewer_gives_fewer_and_loses_none(study):
    before = _contents(study)
    done = _run(study, n=120)
    assert pretend.same(done.tables["one"], _expected(120))
    assert done.rehearsed == 0
    assert _contents(study) == before
    assert len(load_study_rows(study)["one"]) == 300


def test_a_chunk_that_is_missing_is_made_again(study):
    sorted(study.glob("rehearsals/*"))[1].unlink()
    with pytest.raises(StudyFolderError, match="not finished"):
        load_study_rows(study)
    assert len(pretend.kept(study)["one"]) == 100
    done = _run(study)
    assert (done.rehearsed, done.found) == (100, 200)
    assert pretend.same(load_study_rows(study)["one"], _expected(300))


def test_leftovers_of_a_killed_write_are_swept_and_other_files_left(study):
    (study / "rehearsals" / ".0123.part").write_bytes(b"half a ch")
    (study / "chart.png").write_bytes(b"a picture")
    (study / "notes.part").write_bytes(b"mine")
    _run(study)
    assert not (study / "rehearsals" / ".0123.part").exists()
    assert (study / "chart.png").read_bytes() == b"a picture"
    assert (study / "notes.part").read_bytes() == b"mine"


@pytest.mark.parametrize("damage", ["flip a bit", "cut short", "empty"])
def test_a_damaged_chunk_is_named_and_never_used(study, damage):
    path = sorted(study.glob("rehearsals/*"))[1]
    data = path.read_bytes()
    middle = len(data) // 2
    flipped = data[:middle] + bytes([data[middle] ^ 1]) + data[middle + 1 :]
    path.write_bytes({"flip a bit": flipped, "cut short": data[:-20], "empty": b""}[damage])
    before = _contents(study)
    for use in (lambda: _run(study), lambda: load_study_rows(study)):
        with pytest.raises(StudyFolderError, match=rf"{path.name} is damaged.*Delete this file"):
            use()
    assert _contents(study) == before
    # What the message says to do works.
    path.unlink()
    assert pretend.same(_run(study).tables["one"], _expected(300))


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"rate": 0.8}, r"another situation under the name one: rate was 0.9, now 0.8"),
        ({"extra": 1}, r"extra was added"),
        ({"seed": 8}, r"seed 7, not 8"),
        ({"key": "other"}, r"another study, of one, not of other"),
    ],
)
def test_a_folder_of_another_study_is_refused_and_left_alone(study, changes, says):
    before = _contents(study)
    with pytest.raises(StudyFolderError, match=says):
        _run(study, **changes)
    assert _contents(study) == before


def test_a_mended_title_is_no_other_situation(tmp_path):
    _run(tmp_path, title="Midle reset")
    assert _run(tmp_path, title="Middle reset").rehearsed == 0


def test_changed_places_are_named_by_their_path():
    before = {"attackers": [{"at": [0.0, 30.0]}, {"at": [3.0, 30.0]}], "stall": 4}
    now = {"attackers": [{"at": [0.0, 30.0]}, {"at": [4.0, 30.0]}]}
    assert list(identity.differences(before, now)) == [
        "attackers[1].at[0] was 3.0, now 4.0",
        "stall was taken out",
    ]


@pytest.mark.parametrize("name", ["numpy", "stallwise"])
def test_other_versions_of_what_computes_are_refused(study, monkeypatch, name):
    monkeypatch.setattr(identity, "versions", lambda: {**_VERSIONS, name: "0.0.1"})
    with pytest.raises(StudyFolderError, match=rf"made with {name} .*, this is 0.0.1"):
        _run(study)


def test_other_code_of_the_game_is_refused(study, monkeypatch):
    monkeypatch.setattr(identity, "code_digest", lambda rows: "other")
    with pytest.raises(StudyFolderError, match="a different version of the game"):
        _run(study)
    assert len(load_study_rows(study)["one"]) == 300


def test_another_version_of_what_only_stores_is_no_matter(study, monkeypatch):
    monkeypatch.setattr(identity, "versions", lambda: {**_VERSIONS, "pandas": "99"})
    assert _run(study).rehearsed == 0


def test_the_code_digest_sees_the_game_and_the_rehearsing_function(tmp_path, monkeypatch):
    game = tmp_path / "pretend_game"
    (game / "deeper").mkdir(parents=True)
    (game / "__init__.py").write_text("")
    (game / "deeper" / "table.npz").write_bytes(b"numbers")
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(identity, "GAME", ("pretend_game",))
    before = identity.code_digest(pretend.rows)
    (game / "MODEL.md").write_text("words only")
    assert identity.code_digest(pretend.rows) == before
    assert identity.code_digest(disk.put) != before
    (game / "deeper" / "table.npz").write_bytes(b"other numbers")
    assert identity.code_digest(pretend.rows) != before


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "is damaged"),
        ("[]", "not the manifest of a study"),
        ('{"kind": "a bill"}', "not the manifest of a study"),
        ('{"kind": "stallwise study", "format": 99}', "format 99; this version reads format 1"),
        ('{"kind": "stallwise study", "format": 1}', "is damaged"),
    ],
)
def test_a_manifest_that_is_none_is_refused_and_left_alone(study, text, says):
    (study / "manifest.json").write_text(text)
    before = _contents(study)
    for use in (lambda: _run(study), lambda: load_study_rows(study)):
        with pytest.raises(StudyFolderError, match=says):
            use()
    assert _contents(study) == before


def _changed(study: Path, where: list, value: object) -> None:
    path = study / "manifest.json"
    data = json.loads(path.read_text())
    *way, last = where
    place = data
    for step in way:
        place = place[step]
    place[last] = value
    path.write_text(json.dumps(data))


FIELDS = [
    ["tasks"],
    ["tasks", 0],
    *(["tasks", 0, name] for name in ("key", "situation", "n", "seed", "situation_sha256")),
    *([name] for name in ("finished", "rows", "code", "versions", "settings")),
]
STRANGE = [None, 400.5, "no", -1, 10**30, float("nan"), [], [[]], {"a": []}, True]


@pytest.mark.parametrize("where", FIELDS, ids=lambda where: ".".join(map(str, where)))
def test_a_field_of_a_manifest_of_another_type_is_refused_or_noticed(study, where):
    """Never a traceback, and never rehearsals that are not those that were asked for."""
    kept = (study / "manifest.json").read_bytes()
    for value in STRANGE:
        _changed(study, where, value)
        for use in (lambda: _run(study), lambda: load_study_rows(study)):
            try:
                use()
            except StudyFolderError:
                continue
            fits = {"finished": bool, "key": str, "rows": str, "code": str, "settings": dict}
            assert isinstance(value, fits.get(where[-1], type(None))), (where, value)
        (study / "manifest.json").write_bytes(kept)


def test_half_a_rehearsal_and_a_word_for_yes_are_no_manifest(study):
    _changed(study, ["tasks", 0, "n"], 400.5)
    with pytest.raises(StudyFolderError, match=r"tasks.0.n: found 400.5"):
        read_manifest(study)
    _changed(study, ["tasks", 0, "n"], 300)
    _changed(study, ["finished"], "no")
    with pytest.raises(StudyFolderError, match="finished: found 'no'"):
        read_manifest(study)


def test_brackets_without_end_are_no_manifest(study):
    (study / "manifest.json").write_text("[" * 100_000)
    with pytest.raises(StudyFolderError, match="is damaged"):
        read_manifest(study)


def _as_chunk(study: Path, data: bytes) -> None:
    """Put bytes in the place of the first chunk, under their own checksum."""
    first = min((study / "rehearsals").iterdir())
    span = first.name.rsplit("-", 1)[0]
    first.unlink()
    name = f"{span}-{hashlib.sha256(data).hexdigest()[:16]}.parquet"
    (study / "rehearsals" / name).write_bytes(data)


def test_a_chunk_that_is_not_what_its_name_says_is_refused(study):
    others = pretend.rows(pretend.BASE, np.arange(50, 150), 7)
    table = frames.encode(others, np.arange(50, 150))
    for data in (
        b"",
        b"not Parquet",
        b"PAR1" + bytes(40) + b"PAR1",
        frames.to_bytes(table),
        frames.to_bytes(table.drop_columns(["rehearsal"])),
    ):
        _as_chunk(study, data)
        for use in (lambda: _run(study), lambda: load_study_rows(study)):
            with pytest.raises(StudyFolderError, match=r"does not hold rehearsals 0 to 99"):
                use()


def test_the_code_digest_follows_what_the_row_maker_imports_and_nothing_else(tmp_path, monkeypatch):
    package = tmp_path / "row_makers"
    package.mkdir()
    (package / "__init__.py").write_text("")
    (package / "maker.py").write_text(
        "def rows(situation, ids, seed):\n    from row_makers.wind import sign\n    return sign\n"
    )
    (package / "wind.py").write_text("from . import deeper\nsign = 1\n")
    (package / "deeper.py").write_text("")
    (package / "apart.py").write_text("")
    monkeypatch.syspath_prepend(tmp_path)
    from importlib import import_module

    rows = import_module("row_makers.maker").rows
    before = identity.code_digest(rows)
    (package / "apart.py").write_text("mine = 1")
    (package / ".swp.py").write_text("stray")
    assert identity.code_digest(rows) == before
    (package / "deeper.py").write_text("x = 2")
    second = identity.code_digest(rows)
    assert second != before
    (package / "wind.py").write_text("from . import deeper\nsign = -1\n")
    assert identity.code_digest(rows) != second


def test_a_stray_dot_file_is_not_part_of_the_game(tmp_path, monkeypatch):
    game = tmp_path / "pretend_game_2"
    game.mkdir()
    (game / "__init__.py").write_text("")
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(identity, "GAME", ("pretend_game_2",))
    before = identity.code_digest(pretend.rows)
    (game / ".notes.py").write_text("mine")
    (game / ".cache").mkdir()
    (game / ".cache" / "kept.py").write_text("mine")
    assert identity.code_digest(pretend.rows) == before
    (game / "more.py").write_text("x = 1")
    assert identity.code_digest(pretend.rows) != before


def test_the_real_row_maker_needs_what_makes_a_game_of_a_file():
    """The line-up, the batch, the situation's parts and tables decide results; charts do not."""
    found = {name for name, _ in identity._imported("experiments.running.tasks", {"experiments"})}
    rooms = "experiments.situations."
    wanted = {f"{rooms}{name}" for name in ("lineup", "situation", "parts", "tables")}
    assert wanted | {"experiments.running.batch"} <= found
    assert not any(name.startswith("experiments.charts") for name in found)


def test_an_edited_situation_in_the_manifest_is_noticed(study):
    path = study / "manifest.json"
    data = json.loads(path.read_text())
    data["tasks"][0]["situation"]["rate"] = 0.1
    path.write_text(json.dumps(data))
    with pytest.raises(StudyFolderError, match="not the one the study was made of"):
        load_study_rows(study)


def test_rehearsals_without_a_manifest_are_refused(study):
    (study / "manifest.json").unlink()
    with pytest.raises(StudyFolderError, match="holds rehearsals but no manifest"):
        _run(study)
    with pytest.raises(StudyFolderError, match="holds no study"):
        load_study_rows(study)


def test_a_file_is_no_folder(tmp_path):
    file = tmp_path / "out"
    file.write_text("mine")
    with pytest.raises(StudyFolderError, match="is a file; a study needs a folder"):
        _run(file)
    with pytest.raises(StudyFolderError, match="a part of that path is a file"):
        _run(file / "deeper")
    assert file.read_text() == "mine"


def test_a_folder_that_may_not_be_written_is_said_so(tmp_path, monkeypatch):
    def forbidden(*_, **__):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", forbidden)
    with pytest.raises(StudyFolderError, match="not allowed to make"):
        _run(tmp_path / "new")
    monkeypatch.undo()
    monkeypatch.setattr(os, "replace", forbidden)
    with pytest.raises(StudyFolderError, match="not allowed to write in"):
        _run(tmp_path / "new")


@pytest.mark.parametrize("when", ["write", "fsync", "rename"])
def test_a_full_disk_keeps_what_was_kept_and_goes_on_later(tmp_path, monkeypatch, when):
    """The disk fills up after the first of three chunks, at each step of writing the second."""
    writes = 0

    def full_from_the_third(real):
        def call(*arguments, **options):
            nonlocal writes
            writes += 1
            if writes > 2:  # the manifest, the first chunk
                raise OSError(errno.ENOSPC, "No space left on device")
            return real(*arguments, **options)

        return call

    if when == "write":
        monkeypatch.setattr("builtins.open", full_from_the_third(open))
    elif when == "fsync":
        real = os.fsync
        files = lambda fd: full(fd) if not _is_folder(fd) else real(fd)  # noqa: E731
        full = full_from_the_third(real)
        monkeypatch.setattr(os, "fsync", files)
    else:
        monkeypatch.setattr(os, "replace", full_from_the_third(os.replace))
    with pytest.raises(StudyFolderError, match=r"the disk is full.*run the same command again"):
        _run(tmp_path)
    monkeypatch.undo()
    assert pretend.same(pretend.kept(tmp_path)["one"], _expected(100))
    assert not list(tmp_path.rglob("*.part"))
    done = _run(tmp_path)
    assert (done.rehearsed, done.found) == (200, 100)
    assert pretend.same(done.tables["one"], _expected(300))


def test_two_runs_do_not_share_a_folder(tmp_path):
    pytest.importorskip("fcntl")

    def nested(done: int, wanted: int) -> None:
        with pytest.raises(StudyFolderError, match="another run is using"):
            _run(tmp_path)

    run([pretend.task(n=50)], Engine(rows=pretend.rows, folder=tmp_path, progress=nested))
    # Afterwards it is free again, after failures too.
    with pytest.raises(StudyFolderError, match="another situation"):
        _run(tmp_path, rate=0.1)
    assert len(_run(tmp_path).tables["one"]) == 300


def test_a_situation_that_json_cannot_say_is_refused(tmp_path):
    for value in (float("nan"), {1, 2}):
        with pytest.raises(ValueError, match=r"plain values|JSON compliant"):
            _run(tmp_path / "new", extra=value)


def test_errors_survive_the_way_back_from_a_worker():
    import pickle

    error = pickle.loads(pickle.dumps(StudyFolderError("the disk is full")))
    assert (type(error), str(error)) == (StudyFolderError, "the disk is full")
    assert isinstance(error, RunError)


def _is_folder(descriptor: int) -> bool:
    import stat

    return stat.S_ISDIR(os.fstat(descriptor).st_mode)


_VERSIONS = identity.versions()
