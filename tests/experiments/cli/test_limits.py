"""What would never end, or fill the screen, is refused at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from experiments import load
from experiments.cli.app import app
from experiments.cli.output import complain
from experiments.errors import SituationError


@pytest.mark.parametrize(
    "line",
    [
        "try middle-reset -n 1000000000000",
        "compare middle-reset plan=strike,dump -n 999999999999",
        "vary middle-reset stall=1:2:100000000",
        "vary middle-reset stall=" + ",".join(["1"] * 5000),
        "vary middle-reset stall=1:2:" + "9" * 5000,
        "tune middle-reset plans.strike.picky=0.5:0.9 --points 1000000",
        "try middle-reset --seed 99999999999999999999999999",
        "try middle-reset --jobs 100000",
        "try middle-reset -n " + "9" * 6000,
    ],
)
def test_what_would_never_end_is_refused_in_a_short_message(line: str) -> None:
    done = CliRunner().invoke(app, line.split())
    assert done.exit_code != 0
    assert len(done.output) < 1500
    assert not isinstance(done.exception, (MemoryError, OverflowError, KeyError, TypeError))


def test_a_complaint_is_cut_to_what_somebody_reads(capsys: pytest.CaptureFixture[str]) -> None:
    complain("x" * 165_000 + "\n" + "\n".join(["y"] * 400))
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) <= 31 and max(map(len, lines)) < 420


@pytest.mark.parametrize(
    "text",
    [
        "stall = " + "9" * 400,
        "stall = " + "9" * 5000,
        "stall = " + "[" * 5000 + "]" * 5000,
        "attackers = [{ at = [" + "9" * 400 + ", 0.0] }]",
    ],
)
def test_a_file_of_huge_numbers_or_brackets_is_refused_in_words(text: str, tmp_path: Path) -> None:
    file = tmp_path / "huge.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SituationError) as refused:
        load(file)
    assert "huge.toml" in str(refused.value)
