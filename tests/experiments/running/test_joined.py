"""The rehearsals of several studies in one table, and what its columns mean."""

from __future__ import annotations

import re
from pathlib import Path

import pandas as pd
import pyarrow.parquet as pq
import pytest

from experiments.cli import main
from experiments.errors import StallwiseError
from experiments.running.columns import COLUMNS
from experiments.running.engine import Engine
from experiments.running.joined import joined, write_joined
from experiments.situations.files import load
from experiments.studies.compare import compare
from experiments.studies.rehearse import rehearse
from experiments.studies.sturdiness.analysis import sturdiness
from experiments.studies.tuning.search import tune

README = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """A comparison of two plans, and rehearsals of another situation."""
    made = tmp_path_factory.mktemp("studies")
    one, other = made / "line", made / "denied"
    plans = ("line-first", "dump-first")
    compare(load("week-trapped-line"), plans, 20, engine=Engine(folder=one, progress=False))
    rehearse(load("week-denied-reset"), 30, engine=Engine(folder=other, progress=False))
    return [one, other]


def test_several_situations_and_plans_stand_in_one_table(folders: list[Path]) -> None:
    table = joined(folders)
    counts = table.groupby(["situation", "plan"]).size().to_dict()
    assert counts == {
        ("week-trapped-line", "line-first"): 20,
        ("week-trapped-line", "dump-first"): 20,
        ("week-denied-reset", "dump"): 30,
    }
    alone = rehearse(load("week-denied-reset"), 30, engine=Engine(progress=False)).table
    mine = table[table["situation"] == "week-denied-reset"].reset_index(drop=True)
    pd.testing.assert_frame_equal(mine[list(alone.columns)], alone)
    with pytest.raises(StallwiseError, match="allowed: at least one folder"):
        joined([])


def test_what_a_search_and_a_screening_looked_at_is_joined_too(tmp_path: Path) -> None:
    run = Engine(folder=tmp_path / "tuned", progress=False)
    tuned = tune(load("middle-reset"), {"wind.speed": (0.0, 6.0)}, 20, points=3, engine=run)
    table = joined([tmp_path / "tuned", tmp_path / "tuned" / "round-1"])
    rows = table.groupby("study").size()
    searched = sum(n for study, n in rows.items() if "round" in study)
    assert searched == sum(entry.n for entry in tuned.tried)
    fresh = {"best"} if tuned.fresh_in_use is None else {"best", "in use"}
    assert set(table.loc[table["study"] == str(tmp_path / "tuned"), "point"]) == fresh
    assert len(table) == tuned.made
    run = Engine(folder=tmp_path / "sturdy", progress=False)
    over = {"wind.speed": (0.0, 6.0)}
    found = sturdiness(load("middle-reset"), ("strike", "dump"), 20, over=over, count=2, engine=run)
    table = joined([tmp_path / "sturdy"])
    assert len(table) == found.made
    assert {"sturdy", "screening"} <= {Path(study).name for study in table["study"]}


def test_the_dictionary_has_every_column_and_no_other(folders: list[Path]) -> None:
    assert list(joined(folders).columns) == list(COLUMNS)


def test_the_fields_of_the_parquet_say_meaning_unit_and_throw(
    folders: list[Path], tmp_path: Path
) -> None:
    """Of the joined table and of the rehearsals kept in a study's folder."""
    whole = write_joined(joined(folders), tmp_path / "all.parquet")
    kept = next((folders[0] / "rehearsals").glob("*.parquet"))
    for path in (whole, kept):
        for field in pq.read_schema(path):
            told = {key.decode(): value.decode() for key, value in field.metadata.items()}
            assert told.items() >= COLUMNS[field.name]._asdict().items()
    pd.testing.assert_frame_equal(pd.read_parquet(whole), joined(folders))


def test_the_readme_has_the_same_dictionary() -> None:
    lines = re.findall(r"^\| `(\w+)` \| (.*?) \| (.*?) \| (.*?) \|$", README, re.M)
    assert lines == [(n, c.unit, c.throw, c.meaning) for n, c in COLUMNS.items()]


def test_a_command_joins_and_explains(
    folders: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new" / "all.csv"
    assert main(["table", *map(str, folders), "--out", str(out)]) == 0
    assert "70 rehearsals" in capsys.readouterr().out
    assert len(pd.read_csv(out)) == 70
    assert main(["table"]) == 0
    assert COLUMNS["catch_chance"].meaning in " ".join(capsys.readouterr().out.split())
    assert main(["table", str(folders[0]), "--out", "all.txt"]) == 2
    assert "allowed: .parquet or .csv" in capsys.readouterr().err
    assert main(["table", str(folders[0])]) == 2
    assert main(["table", str(tmp_path), "--out", str(out)]) == 2
