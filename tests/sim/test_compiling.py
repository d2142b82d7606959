"""Compiled copies: kept under a key of all that decides them, and the text left as it is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from sim import compiling, motion, throwing

ROOT = Path(__file__).parents[2]


def double(x: float) -> float:
    """Twice a number."""
    return 2.0 * x


def four_times(x: float) -> float:
    """By way of another function, and of a module."""
    return double(double(x)) + motion.turned(0.0, 0.0, 1.0, 0.05)


def test_the_text_is_left_as_it_is() -> None:
    before = dict(four_times.__globals__)
    assert compiling.compiled(four_times)(3.0) == 12.0
    assert four_times.__globals__["double"] is before["double"] is double
    assert compiling.compiled(four_times) is compiling.compiled(four_times), "made once"
    assert throwing.side_of(1.0, 1) == 1.0


def test_the_folder_changes_with_a_source(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    source = tmp_path / "sim" / "one.py"
    source.parent.mkdir()
    (tmp_path / "policies").mkdir()
    source.write_text("x = 1\n")
    monkeypatch.setattr(compiling, "_HOME", tmp_path)
    monkeypatch.setenv(compiling.FOLDER, str(tmp_path / "kept"))
    seen = set()
    try:
        for text in ("x = 1\n", "x = 2\n"):
            source.write_text(text)
            compiling.sources_digest.cache_clear()
            seen.add(compiling.folder())
            seen.add(compiling.folder(rules=False))
        (tmp_path / "policies" / "two.py").write_text("y = 1\n")
        compiling.sources_digest.cache_clear()
        assert compiling.folder(rules=False) in seen, "kernels do not hang on the policies"
        assert compiling.folder() not in seen
    finally:
        monkeypatch.undo()
        compiling.sources_digest.cache_clear()
    assert len(seen) >= 2


def test_where_nothing_can_be_kept_it_is_compiled_all_the_same(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    blocked = tmp_path / "a file, no folder"
    blocked.write_text("")
    code = (
        "from pathlib import Path\n"
        "import tempfile\n"
        "from sim import compiling, elementary\n"
        "print(compiling.folder(), compiling.compiled(elementary.exp)(0.0))\n"
    )
    asked = {**os.environ, compiling.FOLDER: str(blocked), "TMPDIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=asked,
        capture_output=True,
        text=True,
        check=True,
    )
    where, value = done.stdout.rsplit(" ", 1)
    assert float(value) == 1.0
    assert where == "None" or str(tmp_path) in where


def test_the_environment_can_ask_for_plain_text(monkeypatch: pytest.MonkeyPatch) -> None:
    assert compiling.wanted()
    monkeypatch.setenv(compiling.OFF, "0")
    assert not compiling.wanted()


def test_a_first_use_is_known_by_an_empty_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(compiling.FOLDER, str(tmp_path))
    monkeypatch.delenv(compiling.OFF, raising=False)
    assert compiling.is_first()
    kept = compiling.folder(rules=False)
    assert kept is not None
    (kept / "kernel.nbi").write_bytes(b"")
    assert not compiling.is_first()
    monkeypatch.setenv(compiling.OFF, "0")
    assert not compiling.is_first()
