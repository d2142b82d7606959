"""Machine code: kept under a key of all that decides it, and found there by who comes later."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest

from experiments import load
from experiments.running.batch import rehearse_rows
from sim import compiling, machine_code, motion, reach

ROOT = Path(__file__).parents[2]


def test_the_folder_changes_with_a_source(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    source = tmp_path / "sim" / "one.py"
    source.parent.mkdir()
    (tmp_path / "policies").mkdir()
    source.write_text("x = 1\n")
    monkeypatch.setattr(machine_code, "_HOME", tmp_path)
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
        "import numpy as np\n"
        "from sim import compiling, machine_code, reach\n"
        "out, player = np.zeros((1, 1)), np.array([0.0, 0.0, 0.0, 0.0, 8.0, 0.8, 6.0])\n"
        "compiling.entry(reach.arrivals)(player, np.array([3.0]), np.array([4.0]), out)\n"
        "print(machine_code.folder(), out[0, 0])\n"
    )
    asked = {**os.environ, machine_code.FOLDER: str(blocked), "TMPDIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=asked,
        capture_output=True,
        text=True,
        check=True,
    )
    where, value = done.stdout.rsplit(" ", 1)
    runner, legs = motion.Moving(0.0, 0.0, 0.0, 0.0), motion.Legs(8.0, 0.8, 6.0)
    assert float(value) == reach.reach_time(runner, legs, 3.0, 4.0, 0.0)
    assert where == "None" or str(tmp_path) in where


def test_the_environment_can_ask_for_plain_text(monkeypatch: pytest.MonkeyPatch) -> None:
    assert machine_code.wanted()
    monkeypatch.setenv(machine_code.OFF, "0")
    assert not machine_code.wanted()


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


def test_one_makes_what_several_want(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(machine_code.FOLDER, str(tmp_path))
    made: list[int] = []

    def make() -> bytes:
        made.append(1)
        time.sleep(0.05)
        machine_code.kept_bytes(tmp_path / "inside", lambda: b"1")  # waits for nobody, itself least
        return b"2"

    all_of_them = [
        threading.Thread(target=machine_code.kept_bytes, args=(tmp_path / "outside", make))
        for _ in range(4)
    ]
    for one in all_of_them:
        one.start()
    for one in all_of_them:
        one.join(20.0)
    assert made == [1]
    assert (tmp_path / "outside").read_bytes() == b"2"
    assert sorted(path.name for path in tmp_path.glob("*side*")) == ["inside", "outside"]


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
