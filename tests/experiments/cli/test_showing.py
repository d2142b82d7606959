"""The commands that show: a replay of a real situation, and a handout of a study's folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from experiments import load, rehearse, vary
from experiments.cli import main
from experiments.cli.handout import command as handout
from experiments.cli.replay import command as replay
from experiments.errors import StallwiseError
from experiments.handouts.answers import NOT_STUDIED
from experiments.handouts.folders import findings_in, sheets_from, studies_in
from experiments.handouts.handout import titles
from experiments.running.engine import Engine


def test_a_replay_of_a_shipped_situation(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    replay("middle-reset", tmp_path, n=60, jobs=1)
    said = capsys.readouterr().out
    assert "is the typical one" in said
    html = (tmp_path / "replay.html").read_text(encoding="utf-8")
    assert "is the typical one" in html
    assert "strike against man, force forehand" in html
    with Image.open(tmp_path / "replay.gif") as gif:
        assert gif.n_frames > 10


def test_a_pick_that_is_none_is_told(tmp_path: Path) -> None:
    with pytest.raises(StallwiseError, match=r"--pick nicest: .*typical, best, worst"):
        replay("middle-reset", tmp_path, pick="nicest", n=20, jobs=1)
    with pytest.raises(StallwiseError, match="no rehearsal 99; they run from 0 to 19"):
        replay("middle-reset", tmp_path, pick="99", n=20, jobs=1)


def test_a_handout_of_the_folder_of_a_study(tmp_path: Path) -> None:
    folder = tmp_path / "study"
    study = rehearse(load("middle-reset"), n=60, seed=3, engine=Engine(processes=1, folder=folder))
    (again,) = studies_in(folder, study.situation)
    assert again.seed == 3
    assert again.table.equals(study.table)
    assert again.situation.digest() == study.situation.digest()
    assert findings_in(folder) == ()
    (folder / "findings.txt").write_text("Later than 0.4 s it fails.\n\nDeeper it fails.\n")
    assert findings_in(folder) == ("Later than 0.4 s it fails.", "Deeper it fails.")
    handout([folder, folder], tmp_path / "out")
    pages = PdfReader(tmp_path / "out" / "handout.pdf").pages
    assert len(pages) == 1
    text = " ".join(pages[0].extract_text().split())
    assert text.count("Deeper it fails.") == 1
    assert NOT_STUDIED not in text
    assert study.situation.title in text


def test_a_page_a_situation_and_none_for_the_cells_of_a_study(tmp_path: Path) -> None:
    """Three plans, a curve and a matchup are one page; another force is another, and says so."""

    def asked(*words: str) -> Path:
        out = tmp_path / f"{words[0]}-{len(list(tmp_path.iterdir()))}"
        assert main([*words, "-n", "40", "--jobs", "1", "--out", str(out)]) == 0
        return out

    plans = ("--plans", "strike,dump")
    path = "plans.strike.looks.0.release_offset"
    folders = [
        asked("vary", "middle-reset", f"{path}=0,0.9"),
        asked("compare", "middle-reset", "--plans", "strike,dump,swing"),
        asked("matchup", "middle-reset", *plans, "--defences", "man,fronting"),
    ]
    assert len(sheets_from(folders)) == 1
    other = asked("try", "middle-reset", "--set", "force=backhand")
    sheets = sheets_from([*folders, other])
    assert titles(sheets) == [
        "Reset from the middle: force forehand",
        "Reset from the middle: force backhand",
    ]
    assert set(sheets[0].studies) == {"strike", "dump", "swing"}
    handout([*folders, other], tmp_path / "out")
    pages = PdfReader(tmp_path / "out" / "handout.pdf").pages
    assert len(pages) == 2
    assert "call: " in " ".join(pages[0].extract_text().split())


def test_cells_alone_have_no_page(tmp_path: Path) -> None:
    path = "plans.strike.looks.0.release_offset"
    out = tmp_path / "curve"
    assert main(["vary", "middle-reset", f"{path}=0.6,0.9", "-n", "20", "--out", str(out)]) == 0
    with pytest.raises(StallwiseError, match="folder of try or compare"):
        handout([out], tmp_path / "out")
    script = Engine(folder=tmp_path / "script")
    vary(load("middle-reset"), {path: [0.6, 0.9]}, n=20, engine=script)
    with pytest.raises(StallwiseError, match="only the points of a study"):
        handout([tmp_path / "script"], tmp_path / "out")


def test_a_folder_that_holds_no_study_is_told(tmp_path: Path) -> None:
    with pytest.raises(StallwiseError, match="holds no study"):
        handout([tmp_path], tmp_path / "out")


def test_a_pace_nobody_has_is_told(tmp_path: Path) -> None:
    folder = tmp_path / "study"
    rehearse(load("middle-reset"), n=20, seed=3, engine=Engine(processes=1, folder=folder))
    with pytest.raises(StallwiseError, match="pace of 9 m"):
        handout([folder], tmp_path / "out", pace=9.0)
