"""The command line: what is asked wrongly is told in one message, exit code 2, no traceback."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pandas as pd
import pytest

from experiments.cli import main
from experiments.cli.app import COMMANDS, module_of
from experiments.cli.demo import SITUATIONS
from experiments.cli.output import print_json, print_lines
from experiments.cli.study import FIRST_COMPILING
from experiments.situations.files import load, shipped, shipped_text
from experiments.words.text_table import TextTable
from policies.registry import KINDS, names
from tests.experiments import pretend

ROOT = Path(__file__).parents[3]


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
    """What a command prints that must succeed, with nothing on stderr but a first compiling."""
    assert main(arguments) == 0
    out, err = capsys.readouterr()
    assert set(err.splitlines()) <= {f"stallwise: {FIRST_COMPILING}"}
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
        (["tri"], ["no command 'tri'", "did you mean 'try'"]),
        (["try"], ["Missing argument", "SITUATION"]),
        (["try", "midle-reset"], ["midle-reset", "did you mean 'middle-reset'"]),
        (["try", "none.toml"], ["none.toml", "no such file"]),
        (["try", "middle-reset", "-n", "0"], ["-n", "0", "a whole number from 1 to"]),
        (["try", "middle-reset", "-n", "-5"], ["-n", "-5", "a whole number from 1 to"]),
        (["try", "middle-reset", "-n", "many"], ["-n", "'many'", "a whole number"]),
        (["try", "middle-reset", "--jobs", "0"], ["--jobs", "0", "a whole number from 1 to"]),
        (["try", "middle-reset", "--seed", "-1"], ["--seed", "-1", "a whole number from 0 to"]),
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
    rows = [("[bold]left[/bold]", "93 %"), ("right", "7 %")]
    print_lines([TextTable(("name", "share"), rows, title="T"), "end"])
    assert capsys.readouterr().out.splitlines() == [
        "T",
        "name               share",
        "[bold]left[/bold]   93 %",
        "right                7 %",
        "",
        "end",
    ]


def test_a_situation_is_tried_and_told_in_one_json_object(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said = json.loads(answered(capsys, "try", "middle-reset", "-n", "40", "--seed", "3", "--json"))
    assert (said["situation"], said["rehearsals"], said["seed"]) == ("middle-reset", 40, 3)
    assert sum(said["outcomes"].values()) == 40
    for name in ("completion", "gain_m", "off_centre", "trapped", "stall_at_release"):
        assert set(said[name]) == {"estimate", "low", "high", "n"}
    completion = said["completion"]
    assert completion["low"] <= completion["estimate"] <= completion["high"]
    kept = said["outcomes"]["completed"] + said["outcomes"]["goal"]
    assert completion["estimate"] == pytest.approx(kept / 40)
    again = json.loads(answered(capsys, "try", "middle-reset", "-n", "40", "--seed", "3", "--json"))
    assert again == said
    dump = answered(capsys, "try", "middle-reset", "-n", "40", "--set", "plan=dump", "--json")
    assert json.loads(dump)["plan"] == "dump"


def test_a_tried_situation_leaves_its_table_estimates_and_picture(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said = answered(capsys, "try", "middle-reset", "-n", "40", "--out", str(tmp_path / "new"))
    assert "95 % interval" in said
    assert "medical advice" in said
    table = pd.read_csv(tmp_path / "new" / "rehearsals.csv")
    assert len(table) == 40
    told = json.loads((tmp_path / "new" / "estimates.json").read_text())
    assert told["completion"]["estimate"] == pytest.approx(table["completed"].mean())
    assert (tmp_path / "new" / "play.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.slow
def test_the_demo_tells_every_plan_and_writes_charts(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said = answered(capsys, "demo", "-n", "30", "--jobs", "1", "--out", str(tmp_path))
    estimates = pd.read_csv(tmp_path / "estimates.csv")
    for name in SITUATIONS:
        situation = load(name)
        assert said.count(f"{name}: ") == 1
        assert set(estimates.loc[estimates.situation == name, "plan"]) == set(situation.plans)
        assert (tmp_path / f"{name}-{situation.plan}.png").exists()
    # A plan that scored and one that did not have the same columns.
    head, line, *_ = re.search(r"^(plan .*)\n(line-first .*)$", said, re.MULTILINE).groups()  # type: ignore[union-attr]
    assert len(re.split(r"  +", head)) == len(re.split(r"  +", line))
    assert len(pd.read_csv(tmp_path / "rehearsals.csv")) == 30 * len(estimates)


def test_a_look_that_is_hardly_thrown_is_told_before_the_figures(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The window of the strike begins when the thrower throws to anybody."""
    late = ("--set", "plans.strike.looks.0.from=8.5", "--set", "plans.strike.looks.0.to=10")
    said = answered(capsys, "try", "middle-reset", "--set", "plan=strike", *late, "-n", "30")
    assert "Careful: the strike of plan strike was thrown first in only" in said
    assert said.index("Careful") < said.index("completed")


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent as a POSIX signal")
def test_ctrl_c_ends_cleanly_and_says_what_was_kept(tmp_path: Path) -> None:
    out = tmp_path / "kept"
    command = ["try", "middle-reset", "-n", "200000", "--jobs", "2", "--out", str(out)]
    running = subprocess.Popen(
        [sys.executable, "-m", "experiments.cli", *command],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        **pretend.HEARS_CTRL_C,
    )
    try:
        until = time.monotonic() + 120
        while not list(out.glob("rehearsals/*.parquet")):
            assert running.poll() is None, running.communicate()
            assert time.monotonic() < until, "no rehearsals in two minutes"
            time.sleep(0.1)
        os.killpg(running.pid, signal.SIGINT)
        said, complaint = running.communicate(timeout=30)
    finally:
        if running.poll() is None:
            os.killpg(running.pid, signal.SIGKILL)
            running.communicate()
    assert running.returncode == 130
    assert said == ""
    assert "Traceback" not in complaint
    assert complaint.startswith("stallwise: stopped after")
    assert str(out) in complaint


def test_the_help_says_of_each_command_what_its_own_help_says() -> None:
    for name, line in COMMANDS.items():
        found = module_of(name).command
        assert found.__doc__.splitlines()[0] == line, name


def test_help_and_unknown_commands_do_not_import_the_game() -> None:
    """Which takes seconds."""
    for asked, code in ((["--help"], 0), (["--version"], 0), (["matchp"], 2)):
        program = (
            "import sys; from experiments.cli import main; code = main(sys.argv[1:]);"
            "sys.exit(99 if {'pandas', 'mesa', 'scipy', 'policies'} & set(sys.modules) else code)"
        )
        done = subprocess.run(
            [sys.executable, "-c", program, *asked],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == code, (asked, done)
    assert "did you mean 'matchup'" in done.stderr


@pytest.mark.parametrize(
    "asked",
    [["situations"], ["situations", "middle-reset"], ["situations", "--json"], ["policies"]],
)
def test_lists_do_without_the_engine_and_the_charts(asked: list[str]) -> None:
    """A compiler, an agent library, tables and charts take seconds to import."""
    heavy = {"numba", "llvmlite", "mesa", "pandas", "matplotlib"}
    program = (
        "import sys; from experiments.cli import main; code = main(sys.argv[1:]);"
        f"sys.exit(99 if {heavy} & set(sys.modules) else code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, *asked],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout


def test_the_module_runs_as_a_program() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "experiments.cli", "situations", "nothing-like-it"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
