"""The command line: what is asked wrongly is told in one message, exit code 2, no traceback."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from experiments.cli import main
from experiments.cli.output import print_json, print_table
from experiments.loading import shipped, shipped_text
from policies.registry import KINDS, names


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """The message of a command that must be refused, with nothing on stdout."""
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert err.strip()
    assert all(line.startswith("stallwise: ") for line in err.splitlines())
    return err


def answered(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command prints that must succeed, with nothing on stderr."""
    assert main(arguments) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def test_without_a_command_it_says_what_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    said = answered(capsys)
    assert said == answered(capsys, "--help")
    for command in ("demo", "try", "situations", "policies"):
        assert f"  {command} " in said
    assert "medical advice" in said


def test_situations_are_listed_a_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    head, *lines = answered(capsys, "situations").splitlines()
    assert head.split() == ["situation", "title", "question"]
    assert [line.split()[0] for line in lines] == shipped()
    assert set(json.loads(answered(capsys, "situations", "--json"))) == set(shipped())


def test_a_named_situation_prints_the_file_to_start_from(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said = answered(capsys, "situations", "middle-reset")
    assert said == shipped_text("middle-reset")
    assert tomllib.loads(said)["plan"] == "strike"


def test_policies_are_listed_with_what_they_do(capsys: pytest.CaptureFixture[str]) -> None:
    lines = answered(capsys, "policies").splitlines()[1:]
    known = [(kind, name) for kind in KINDS for name in names(kind)]
    assert [tuple(line.split()[:2]) for line in lines] == known
    assert all(len(line.split()) > 3 for line in lines), "each has a line about it"
    listed = json.loads(answered(capsys, "policies", "--json"))
    assert {"name", "unit", "low", "high", "default"} <= set(listed["cut"]["strike"]["settings"][0])


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["tri"], ["No such command 'tri'"]),
        (["try"], ["Missing argument", "SITUATION"]),
        (["try", "midle-reset"], ["midle-reset", "did you mean 'middle-reset'"]),
        (["try", "none.toml"], ["none.toml", "no such file"]),
        (["try", "middle-reset", "-n", "0"], ["-n", "0", "at least 1"]),
        (["try", "middle-reset", "-n", "-5"], ["-n", "-5", "at least 1"]),
        (["try", "middle-reset", "-n", "many"], ["-n", "'many'", "a whole number"]),
        (["try", "middle-reset", "--jobs", "0"], ["--jobs", "0", "at least 1"]),
        (["try", "middle-reset", "--seed", "-1"], ["--seed", "-1", "at least 0"]),
        (["try", "middle-reset", "--set", "stall"], ["--set stall", "PATH=VALUE"]),
        (["try", "middle-reset", "--set", "stal=3"], ["stal", "no such setting", "stall"]),
        (["try", "middle-reset", "--set", "stall=x"], ["stall", "'x'", "a number"]),
        (["try", "middle-reset", "--units", "feet"], ["--units", "feet", "yd"]),
        (["try", "middle-reset", "--nn", "3"], ["--nn"]),
        (["situations", "mid"], ["mid", "middle-reset"]),
        (["demo", "extra"], ["extra"]),
    ],
)
def test_wrong_options_are_told(
    capsys: pytest.CaptureFixture[str], arguments: list[str], told: list[str]
) -> None:
    said = refused(capsys, *arguments)
    for words in told:
        assert words in said


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("stall = 4.0", "stal = 4.0", ["stal", "unknown key", "did you mean 'stall'"]),
        ("stall = 4.0", "stall = [", ["not TOML", "line"]),
        ("stall = 4.0", "stall = 12", ["stall", "12", "less than 10"]),
        ("at = [0.0, 30.0]", "at = [40.0, 30.0]", ["attackers.1.at", "off the field", "18.5"]),
        ("disc = true", "disc = false", ["attackers", "nobody with the disc", "exactly one"]),
        ('cut = "strike"', 'cut = "stroke"', ["plans.strike.looks.0.cut", "'stroke'", "strike"]),
        ('policy = "man"', 'policy = "men"', ["defences.man.policy", "'men'", "'man'"]),
        ('plan = "strike"', 'plan = "stroke"', ["plan", "'stroke'", "dump"]),
    ],
)
def test_a_mistake_in_a_file_is_told_with_file_key_found_and_allowed(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, old: str, new: str, told: list[str]
) -> None:
    text = shipped_text("middle-reset")
    assert old in text
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(text.replace(old, new, 1), encoding="utf-8")
    said = refused(capsys, "try", str(wrong), "-n", "10")
    for words in [str(wrong), "found", "allowed", *told]:
        assert words in said


@pytest.mark.parametrize("command", [["try", "middle-reset", "-n", "10"], ["demo"]])
def test_a_folder_that_cannot_be_made_is_told_before_any_work(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: list[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    for out in (blocked, blocked / "inside"):
        said = refused(capsys, *command, "--out", str(out))
        assert str(out) in said
        assert "allowed: a folder" in said
    assert blocked.read_text() == "in the way"


def test_json_knows_no_nan(capsys: pytest.CaptureFixture[str]) -> None:
    print_json({"a": float("nan"), "b": [float("inf"), 1.5], "c": {"d": None}})
    said = capsys.readouterr().out
    assert json.loads(said, parse_constant=pytest.fail) == {
        "a": None,
        "b": [None, 1.5],
        "c": {"d": None},
    }


def test_tables_are_plain_and_take_names_as_they_are(
    capsys: pytest.CaptureFixture[str],
) -> None:
    print_table(("name", "share"), [("[bold]left[/bold]", "93 %"), ("right", "7 %")], title="T")
    assert capsys.readouterr().out.splitlines() == [
        "T",
        "name               share",
        "[bold]left[/bold]   93 %",
        "right                7 %",
    ]


def test_the_module_runs_as_a_program() -> None:
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-m", "experiments.cli", "situations", "nothing-like-it"],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
