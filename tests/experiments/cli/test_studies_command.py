"""The commands of the studies, each rehearsed tiny in the game itself."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from experiments.charts.style import SIZES
from experiments.cli import main
from experiments.cli.output import write_csv
from experiments.running.engine import Engine
from experiments.running.manifest import read_manifest
from experiments.running.runner import run
from experiments.situations.files import load, shipped_text
from experiments.studies import map as map_study
from tests.experiments import pretend
from tests.experiments.looking import DOTS, room, sizes_of

FEW = ("-n", "16", "--jobs", "1")
COMMANDS = {
    "try": ((), ("rehearsals.csv", "play.png")),
    "compare": (("--plans", "strike,dump"), ("differences.csv", "differences.png")),
    "whatif": (("stall=6",), ("differences.csv", "whatif.png")),
    "vary": (("wind.speed=0,6",), ("vary.csv", "vary.png")),
    "map": (("--x=-6", "--y", "40"), ("map.csv", "map.png")),
    "matchup": (
        ("--plans", "strike,dump", "--defences", "man,flip"),
        ("values.csv", "mixes.csv", "matchup.png"),
    ),
    "tune": (
        ("plans.strike.looks.0.from=4:6", "--points", "2"),
        ("tried.csv", "tuning.png", "findings.txt"),
    ),
    "sturdiness": (
        ("--plans", "strike,dump", "--over", "wind.speed", "--paths", "2"),
        ("assumptions.csv", "turns.csv", "screening.png", "findings.txt"),
    ),
}


def strictly(text: str) -> Any:
    """JSON without the NaN and Infinity that Python's reader would let pass."""

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


@pytest.mark.slow
@pytest.mark.parametrize("command", COMMANDS)
def test_a_study_answers_keeps_its_folder_and_goes_on_from_it(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its pictures are for a page, or of the size of the room when asked again for that."""
    asked, files = COMMANDS[command]
    told = [command, "middle-reset", *asked, *FEW, "--out", str(tmp_path)]
    assert main([*told, "--json"]) == 0
    first = capsys.readouterr().out
    strictly(first)
    for name in files:
        assert (tmp_path / name).stat().st_size > 0, name
    answer = tmp_path / ("estimates.json" if command == "try" else "answer.json")
    kept, page = answer.read_bytes(), sizes_of(tmp_path)
    assert strictly(kept.decode()) == strictly(first)
    assert main([*told, "--size", "clinic"]) == 0
    said = capsys.readouterr().out
    assert "All rehearsals were in the folder already." in said
    assert "medical advice" in said
    assert answer.read_bytes() == kept, "the folder gives the same answer, bit for bit"
    shown = sizes_of(tmp_path)
    assert page and page.keys() == shown.keys()
    for picture, size in shown.items():
        assert size == pytest.approx(room(), abs=1), picture
        assert page[picture][0] == pytest.approx(DOTS * SIZES["page"].width, abs=1), picture


@pytest.mark.slow
@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        (("try", "--within", "0.06", "--set", "plan=dump"), "estimates.json"),
        (("vary", "wind.speed=0,6", "--measure", "gain_m", *FEW[:2]), "answer.json"),
        (
            ("matchup", "--plans", "strike", "--defences", "man,flip", "--seed", "3", *FEW[:2]),
            "answer.json",
        ),
    ],
)
def test_a_study_is_run_again_from_its_folder_alone(
    asked: tuple[str, ...], answer: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command, *rest = asked
    mine = tmp_path / "mine.toml"
    mine.write_text(shipped_text("middle-reset"), "utf-8")
    kept, new = tmp_path / "kept", tmp_path / "new"
    assert main([command, str(mine), *rest, "--jobs", "1", "--out", str(kept)]) == 0
    mine.unlink()
    kept.rename(tmp_path / "moved")
    capsys.readouterr()
    assert main(["again", str(tmp_path / "moved"), "--jobs", "1", "--out", str(new)]) == 0
    out, err = capsys.readouterr()
    assert err == "", "the program has not changed in between"
    assert "All rehearsals were in the folder already." not in out
    assert (new / answer).read_bytes() == (tmp_path / "moved" / answer).read_bytes()


def test_a_folder_says_how_many_rehearsals_were_usual(tmp_path: Path) -> None:
    """So that it can be run again by a program that takes other numbers for usual."""
    assert (
        main(["map", "middle-reset", "--x=0", "--y=30", "--jobs", "1", "--out", str(tmp_path)]) == 0
    )
    assert read_manifest(tmp_path).settings["options"]["n"] == map_study.DEFAULT_N


def test_a_folder_that_no_command_made_is_not_run_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run([pretend.task(n=5)], Engine(rows=pretend.rows, folder=tmp_path / "kept", progress=False))
    assert main(["again", str(tmp_path / "kept"), "--out", str(tmp_path / "new")]) == 2
    assert "does not say which command made it" in capsys.readouterr().err
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("n", 400.5, "--rehearsals"),
        ("n", "many", "--rehearsals"),
        ("n", {"a": 1}, "found n ="),
        ("within", [0.1, {}], "found within ="),
        ("seed", -3, "--seed"),
        ("units", "feet", "--units"),
        ("no_such", 1, "no_such"),
        ("situation", "other", "situation"),
    ],
)
def test_again_checks_the_options_it_reads(
    name: str, value: Any, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = tmp_path / "kept"
    situation = load("middle-reset").to_dict()
    said = {"command": "try", "options": {"n": 16}, "situation": situation}
    engine = Engine(rows=pretend.rows, folder=kept, progress=False, settings=said)
    run([pretend.task(n=5)], engine)
    path = kept / "manifest.json"
    data = json.loads(path.read_text())
    data["settings"]["options"][name] = value
    path.write_text(json.dumps(data))
    assert main(["again", str(kept), "--out", str(tmp_path / "new")]) == 2
    out, err = capsys.readouterr()
    assert told in err and "Traceback" not in err
    assert out == ""


@pytest.mark.slow
def test_try_rehearses_until_completion_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["try", "middle-reset", "--within", "0.03", "--jobs", "1", "--json"]) == 0
    found = strictly(capsys.readouterr().out)
    done = found["completion"]
    assert (done["high"] - done["low"]) / 2.0 <= 0.03
    assert found["rehearsals"] == done["n"] == sum(found["outcomes"].values()) < 4000
    assert main(["try", "middle-reset", "--within", "0.03", "-n", "10"]) == 2
    assert "one of the two" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("compare", "--plans", "strike,dmp"), "did you mean 'dump'"),
        (("compare", "--weights", "gian=1"), "did you mean 'gain'"),
        (("compare", "--within", "0.02"), "one of the two"),
        (("vary", "wind.sped=1,2"), "wind.speed"),
        (("vary", "wind.speed=0:99:3"), "from 0 to 10 m/s"),
        (("vary", "wind.speed"), "without '='"),
        (("vary", "wind.speed=a:b:3"), "allowed: a number"),
        (("vary", "wind.speed=0,1", "--measure", "goals"), "goal"),
        (("map", "--x=-90", "--y", "20"), "allowed: x from"),
        (("map", "--forces", "up"), "straight-up"),
        (("map", "--look", "nope"), "strike left"),
        (("matchup", "--defences", "mann"), "did you mean 'man'"),
        (("matchup", "--measure", "trapped"), "wants much of"),
        (("tune", "wind.speed=5:1"), "lower end first"),
        (("tune", "wind.speed=5"), "LOW:HIGH"),
        (("sturdiness", "--plans", "strike"), "two of"),
        (("sturdiness", "--plans", "strike,dump", "--over", "wind.speed=3"), "LOW:HIGH"),
    ],
)
def test_a_slip_is_told_in_one_message(
    asked: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    command, *rest = asked
    assert main([command, "middle-reset", *rest, *FEW]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert told in err
    assert "Traceback" not in err


@pytest.mark.slow
def test_a_folder_of_another_study_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = ("--out", str(tmp_path))
    assert main(["vary", "middle-reset", "wind.speed=0,6", *FEW, *out]) == 0
    kept = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    capsys.readouterr()
    assert main(["vary", "middle-reset", "wind.speed=0,3", *FEW, *out]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == kept


def test_a_long_table_written_in_pieces_is_the_table_written_at_once(tmp_path):
    rows = run([pretend.task(n=950)], Engine(rows=pretend.rows, chunk=300)).tables["one"]
    assert len(list(rows.pieces())) == 4
    written = write_csv(rows, tmp_path / "rows.csv").read_text()
    assert written == pretend.rows(pretend.BASE, np.arange(950), 7).to_csv(index=False)
