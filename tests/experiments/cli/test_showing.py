"""The commands that show: a replay of a real situation, and a handout of a study's folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from experiments import load, rehearse
from experiments.cli.handout import command as handout
from experiments.cli.handout import findings_in, studies_in
from experiments.cli.replay import command as replay
from experiments.errors import StallwiseError
from experiments.handouts.answers import NOT_STUDIED
from experiments.running.engine import Engine


def test_a_replay_of_a_shipped_situation(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    replay("middle-reset", tmp_path, n=60, jobs=1)
    said = capsys.readouterr().out
    assert "is the typical one" in said
    html = (tmp_path / "replay.html").read_text(encoding="utf-8")
    assert "is the typical one" in html
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
    (again,) = studies_in(folder)
    assert again.seed == 3
    assert again.table.equals(study.table)
    assert again.situation.digest() == study.situation.digest()
    assert findings_in(folder) == ()
    (folder / "findings.txt").write_text("Later than 0.4 s it fails.\n\nDeeper it fails.\n")
    assert findings_in(folder) == ("Later than 0.4 s it fails.", "Deeper it fails.")
    handout([folder, folder], tmp_path / "out")
    pages = PdfReader(tmp_path / "out" / "handout.pdf").pages
    assert len(pages) == 2
    text = " ".join(pages[0].extract_text().split())
    assert "Deeper it fails." in text
    assert NOT_STUDIED not in text
    assert study.situation.title in text


def test_a_folder_that_holds_no_study_is_told(tmp_path: Path) -> None:
    with pytest.raises(StallwiseError, match="holds no study"):
        handout([tmp_path], tmp_path / "out")


def test_a_pace_nobody_has_is_told(tmp_path: Path) -> None:
    folder = tmp_path / "study"
    rehearse(load("middle-reset"), n=20, seed=3, engine=Engine(processes=1, folder=folder))
    with pytest.raises(StallwiseError, match="pace of 9 m"):
        handout([folder], tmp_path / "out", pace=9.0)
