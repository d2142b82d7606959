"""What the README shows works as it stands there, and nothing in the tree is of one machine."""

from __future__ import annotations

import re
import runpy
import shlex
from pathlib import Path

import pytest
import typer
from pypdf import PdfReader

import experiments
from experiments.cli import main
from experiments.cli.app import app
from experiments.situations.files import loads

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
# Those of the lesson are run in its order.
BEFORE, _, AFTER = README.partition("\n## A lesson\n")
COMMANDS = re.findall(
    r"^    \.venv/bin/stallwise ([^\n#>]+)", BEFORE + AFTER.partition("\n## ")[2], re.MULTILINE
)


def blocks(language: str) -> list[str]:
    """The fenced blocks of a language in the README."""
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_the_situation_file_shown_can_be_played() -> None:
    (text,) = blocks("toml")
    situation = loads(text, "README.md")
    assert situation.ability_of(situation.holder).top_speed == 8.4
    for path in ("plans.strike.looks.0.from", "attackers.left.ability.top_speed"):
        assert path in README
        assert path in situation.settings()


@pytest.mark.slow
def test_the_python_shown_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (code,) = blocks("python")
    for name in experiments.__all__:
        assert re.search(rf"\b{name}\b", code), f"{name} is public and not shown"
    known: dict[str, object] = {}
    # few rehearsals, in this process: workers have tests of their own
    exec(code.replace("n=4000", "n=20").replace("processes=2", "processes=1"), known)
    assert len(known["study"].table) == 20  # type: ignore[attr-defined]
    for name in ("where.png", "matchup.png", "replay/replay.html", "handout/handout.pdf"):
        assert (tmp_path / name).stat().st_size > 1000, name


# Studies of many points: their tests run them, here they are only read.
LONG = ("map", "matchup", "tune", "sturdiness", "vary")


@pytest.mark.parametrize("line", COMMANDS)
def test_the_commands_shown_are_understood(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    words = shlex.split(line)
    if words[0] in LONG:
        with typer.main.get_command(app).make_context("stallwise", list(words)) as top:
            command = top.command.get_command(top, words[0])
            command.make_context(words[0], words[1:], parent=top)
        return
    main(["situations", "middle-reset"])
    (tmp_path / "mine.toml").write_text(capsys.readouterr().out, encoding="utf-8")
    if words[0] in ("again", "table"):
        main(["try", "mine.toml", "-n", "10", "--out", words[1]])
    elif words[0] == "draw":
        main(["begin", words[1]])
        words += ["-n", "10"]
    elif words[0] not in ("situations", "policies", "settings", "begin"):
        words += ["-n", "10"]
    assert main(words) == 0, capsys.readouterr().err


def test_two_commands_do_all_the_set_up() -> None:
    lines = [line for line in README.splitlines() if line.startswith("    python3 -m venv")]
    assert len(lines) == 2
    assert "stallwise demo" in lines[0]
    assert "pytest" in lines[1]


def test_nothing_names_one_machine_or_a_registry() -> None:
    # Put together here, so that this file does not find itself.
    unwanted = ["/" + "work/", "/" + "root/", "pypi" + ".org", "python" + "hosted", "/" + "home/"]
    kinds = {".py", ".md", ".toml", ".ipynb", ".html", ".js", ".css", ""}
    for path in ROOT.rglob("*"):
        inside = path.relative_to(ROOT)
        if inside.parts[0].startswith(".") and inside.parts[0] != ".ci":
            continue
        if not path.is_file() or path.suffix not in kinds or "build" in inside.parts:
            continue
        text = path.read_text(encoding="utf-8", errors="replace")
        for word in unwanted:
            assert word not in text, f"{inside} has {word}"


@pytest.mark.slow
def test_the_lesson_runs_from_its_commands_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two situations, comparison, window, what overturns it, handout, replay, at small size."""
    monkeypatch.chdir(tmp_path)
    lesson = runpy.run_path(str(ROOT / "notebooks" / "lesson.py"))
    asked = [words[0] for words in lesson["commands"]()]
    assert asked == [
        "compare", "vary", "matchup", "compare", "vary", "sturdiness", "handout", "replay",
    ]  # fmt: skip
    took = lesson["run"](20)
    assert len(took) == len(asked)
    assert min(took.values()) > 0.0
    pages = PdfReader(tmp_path / "lesson" / "handout" / "handout.pdf").pages
    assert len(pages) == 2
    for page, title in zip(pages, ("Tuesday", "Saturday"), strict=True):
        assert title in page.extract_text()
    assert (tmp_path / "lesson" / "replay" / "replay.html").stat().st_size > 1000
