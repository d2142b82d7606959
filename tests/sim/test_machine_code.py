"""Machine code: kept under a key of all that decides it, and found there by who comes later."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from experiments import load
from experiments.running.batch import rehearse_rows
from sim import compiling, machine_code, motion, reach
from sim.flight import lookup

ROOT = Path(__file__).parents[2]


def test_the_folder_changes_with_a_source(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    source = tmp_path / "sim" / "one.py"
    source.parent.mkdir()
    (tmp_path / "policies").mkdir()
    source.write_text("x = 1\n")
    monkeypatch.setattr(machine_code, "_HOME", tmp_path)
    monkeypatch.setattr(machine_code, "_is_as_imported", lambda: True)
    monkeypatch.setenv(machine_code.FOLDER, str(tmp_path / "kept"))
    seen = set()
    try:
        for name, text in (("one.py", "x = 1\n"), ("one.py", "x = 2\n"), ("flights.npz", "0")):
            source.with_name(name).write_text(text)
            machine_code.sources_digest.cache_clear()
            seen.add(machine_code.folder())
            seen.add(machine_code.folder(rules=False))
        (tmp_path / "policies" / "two.py").write_text("y = 1\n")
        machine_code.sources_digest.cache_clear()
        assert machine_code.folder(rules=False) in seen, "kernels do not hang on the policies"
        assert machine_code.folder() not in seen
    finally:
        monkeypatch.undo()
        machine_code.sources_digest.cache_clear()
    assert len(seen) >= 3


def test_where_nothing_can_be_kept_it_is_compiled_all_the_same(tmp_path: Path) -> None:
    blocked = tmp_path / "a file, no folder"
    blocked.write_text("")
    code = (
        "import tempfile; tempfile.tempdir = {blocked!r}\n"
        "import numpy as np\n"
        "from sim import compiling, machine_code, reach\n"
        "out, player = np.zeros((1, 1)), np.array([0.0, 0.0, 0.0, 0.0, 8.0, 0.8, 6.0])\n"
        "compiling.entry(reach.arrivals)(player, np.array([3.0]), np.array([4.0]), out)\n"
        "print(machine_code.folder(), out[0, 0])\n"
    )
    asked = {**os.environ, machine_code.FOLDER: str(blocked)}
    done = subprocess.run(
        [sys.executable, "-c", code.format(blocked=str(blocked))],
        cwd=ROOT,
        env=asked,
        capture_output=True,
        text=True,
        check=True,
    )
    where, value = done.stdout.rsplit(" ", 1)
    runner, legs = motion.Moving(0.0, 0.0, 0.0, 0.0), motion.Legs(8.0, 0.8, 6.0)
    assert float(value) == reach.reach_time(runner, legs, 3.0, 4.0, 0.0)
    assert where == "None"


def test_the_environment_can_ask_for_plain_text(monkeypatch: pytest.MonkeyPatch) -> None:
    assert machine_code.wanted()
    monkeypatch.setenv(machine_code.OFF, "0")
    assert not machine_code.wanted()
    monkeypatch.delenv(machine_code.OFF)
    monkeypatch.setenv("NUMBA_DISABLE_JIT", "1")
    assert not machine_code.wanted()


def test_what_numba_is_told_decides_which_code_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    machine_code._folder.cache_clear()
    before = machine_code.folder()
    monkeypatch.setenv("NUMBA_OPT", "1")
    machine_code._folder.cache_clear()
    assert machine_code.folder() != before
    machine_code._folder.cache_clear()


def test_a_relative_folder_stays_where_it_was_asked_for(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(machine_code.FOLDER, "here")
    found = machine_code.folder()
    assert found is not None and found.parent == tmp_path / "here" / "stallwise"


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="folders without owners")
def test_no_code_is_taken_from_a_temporary_folder_open_to_others(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    mine = machine_code._temporary()
    assert mine is not None and mine.parent == tmp_path
    mine.chmod(0o777)
    assert machine_code._temporary() is None


def test_code_is_neither_kept_nor_found_once_a_source_was_changed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert machine_code.folder() is not None
    monkeypatch.setattr(machine_code, "_as_imported", machine_code._as_imported[1:])
    machine_code._is_as_imported.cache_clear()
    assert machine_code.folder() is None
    monkeypatch.undo()
    machine_code._is_as_imported.cache_clear()


def test_a_first_use_is_known_by_an_empty_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(machine_code.FOLDER, str(tmp_path))
    monkeypatch.delenv(machine_code.OFF, raising=False)
    assert machine_code.is_first()
    kept = machine_code.folder(rules=False)
    assert kept is not None
    (kept / f"kernel{machine_code.SUFFIX}").write_bytes(b"")
    assert not machine_code.is_first()
    monkeypatch.setenv(machine_code.OFF, "0")
    assert not machine_code.is_first()


def keep(path: Path, make: Callable[[], bytes]) -> bytes:
    """Bytes kept as they are."""
    return machine_code.kept_or_made(path, Path.read_bytes, make, bytes)


@pytest.mark.parametrize("folder", [True, False])
def test_one_makes_what_several_want(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, folder: bool
) -> None:
    """By a lock among processes where there is a folder for it; among threads without."""
    monkeypatch.setenv(machine_code.FOLDER, str(tmp_path))
    if not folder:
        monkeypatch.setattr(machine_code, "_is_as_imported", lambda: False)
    made: list[int] = []
    found: list[bytes] = []

    def make() -> bytes:
        made.append(1)
        time.sleep(0.05)
        keep(tmp_path / "inside", lambda: b"1")  # waits for nobody, itself least
        return b"2"

    all_of_them = [
        threading.Thread(target=lambda: found.append(keep(tmp_path / "outside", make)))
        for _ in range(4)
    ]
    for one in all_of_them:
        one.start()
    for one in all_of_them:
        one.join(20.0)
    assert made == [1]
    assert found == [b"2"] * 4
    assert (tmp_path / "outside").read_bytes() == b"2"
    assert sorted(path.name for path in tmp_path.glob("*side*")) == ["inside", "outside"]


def test_a_lock_is_given_back_though_a_fork_has_it_open(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    fcntl = pytest.importorskip("fcntl")
    monkeypatch.setenv(machine_code.FOLDER, str(tmp_path))
    with machine_code.one_at_a_time():
        (lock,) = machine_code._holding
        again = os.dup(lock.fileno())
    folder = machine_code.folder(rules=False)
    assert folder is not None
    with open(folder / "compiling.lock", "ab") as other:
        fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
    os.close(again)


def test_what_cannot_be_written_is_made_all_the_same(tmp_path: Path) -> None:
    """A full disk, or a folder that was taken away."""
    blocked = tmp_path / "a file, no folder"
    blocked.write_text("")
    assert keep(blocked / "one", lambda: b"1") == b"1"
    assert keep(tmp_path / "gone" / "two", lambda: b"2") == b"2"
    assert (tmp_path / "gone" / "two").read_bytes() == b"2", "the folder is made again"


def test_a_file_is_written_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(file: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        keep(tmp_path / "one", lambda: b"1")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("spoil", [lambda b: b"", lambda b: b[:-9], lambda b: b"\0" * len(b)])
def test_a_damaged_file_is_made_anew(tmp_path: Path, spoil: Callable[[bytes], bytes]) -> None:
    path, code = tmp_path / "one.code", machine_code.Code("name", b"machine\ncode")

    def ask() -> machine_code.Code:
        return machine_code.kept_or_made(
            path, machine_code._read, lambda: code, machine_code._content
        )

    assert ask()[:2] == code[:2]
    path.write_bytes(spoil(path.read_bytes()))
    assert ask()[:2] == code[:2]
    assert machine_code._read(path)[:2] == code[:2]


@pytest.mark.parametrize("spoil", [lambda b: b"", lambda b: b[:-9], lambda b: b"\0" * len(b)])
def test_a_damaged_table_of_flights_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoil: Callable[[bytes], bytes]
) -> None:
    whole = lookup.table_record()
    monkeypatch.setenv(machine_code.FOLDER, str(tmp_path))
    folder = machine_code.folder(rules=False)
    assert folder is not None
    path = folder / "flights.npy"
    path.write_bytes(spoil(lookup._npy(whole)))
    lookup.table_record.cache_clear()
    try:
        assert lookup.table_record().tobytes() == whole.tobytes()
        assert path.read_bytes() == lookup._npy(whole)
    finally:
        lookup.table_record.cache_clear()


def test_arrays_are_handed_over_whole() -> None:
    """Both ends of two dimensions, against the text."""
    player = np.array([1.0, -2.0, 3.0, 4.0, 8.0, 0.8, 6.0])
    xs, ys = np.linspace(-10.0, 10.0, 7), np.linspace(0.0, 30.0, 5)
    fast, plain = np.zeros((2, len(ys), len(xs)))
    compiling.entry(reach.arrivals)(player, xs, ys, fast)
    reach.arrivals(player, xs, ys, plain)
    assert (fast == plain).all() and fast.min() > 0.0
    with pytest.raises(ValueError, match="C-contiguous"):
        compiling.entry(reach.arrivals)(player, xs, ys, np.zeros((len(xs), len(ys))).T)


def halves(numbers, out):  # type: ignore[no-untyped-def]
    """By way of another module, beyond the end of what is given."""
    for k in range(len(numbers) + 1):
        out[0] += motion.turned(0.0, 0.5, 1.0, 0.05) * numbers[k]


def test_an_error_in_code_from_elsewhere_comes_back() -> None:
    with pytest.raises(IndexError):
        compiling.entry(halves)(np.ones(3), np.zeros(1))
    kept = machine_code.folder(rules=False)
    assert kept is not None and not list(kept.glob("*halves*")), "no digest covers its text"


def gives_up(numbers, out):  # type: ignore[no-untyped-def]
    """With a number that is known only then."""
    if numbers[0] > 0.0:
        raise ValueError("at", numbers[0])


def test_an_error_has_the_words_that_were_written() -> None:
    with pytest.raises(ValueError, match="at") as told:
        compiling.entry(gives_up)(np.ones(3), np.zeros(1))
    assert told.value.args == ("at",)


def even(n: int) -> bool:
    """By way of the other."""
    return n == 0 or odd(n - 1)


def odd(n: int) -> bool:
    """And back."""
    return n != 0 and even(n - 1)


def in_a_circle(numbers, out):  # type: ignore[no-untyped-def]
    """Two functions that call each other: numba's own engine links them, and there is none."""
    out[0] = 1.0 if even(len(numbers)) else 0.0


def test_what_is_found_nowhere_is_told_and_not_called() -> None:
    with pytest.raises(NotImplementedError, match=r"compiled code cannot call .*even"):
        compiling.entry(in_a_circle)(np.ones(3), np.zeros(1))


def test_the_compiler_may_be_there_or_not() -> None:
    """What was kept finds all that it calls, whether numba is imported before, after or never."""
    program = (
        "import sys, numpy as np\n"
        "{before}\n"
        "from experiments import load\n"
        "from experiments.running.batch import rehearse_rows\n"
        "rows = rehearse_rows(load('middle-reset'), np.arange(3), 7).to_json(double_precision=15)\n"
        "{after}\n"
        "assert rows == rehearse_rows(load('middle-reset'), np.arange(3), 7).to_json("
        "double_precision=15)\n"
        "print('numba' in sys.modules, rows)\n"
    )
    rehearse_rows(load("middle-reset"), np.arange(1), 7)  # from here on it is kept
    compile_more = "import numba; numba.njit(lambda x: x + 1.0)(1.0)"
    told = []
    for before, after in (("", ""), ("import numba", ""), (compile_more, ""), ("", compile_more)):
        done = subprocess.run(
            [sys.executable, "-c", program.format(before=before, after=after)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        told.append(done.stdout.split(" ", 1))
    assert [numba for numba, _ in told] == ["False", "True", "True", "True"]
    assert len({rows for _, rows in told}) == 1
