"""MODEL.md says what the code says: each setting with default and range, and the ODD headings."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sim.ability import LEVELS, Ability
from sim.contest import Hands
from sim.marking import MarkBody
from sim.settings import describe_settings

TEXT = (Path(__file__).parents[2] / "sim" / "MODEL.md").read_text("utf-8")
HEADINGS = (
    "Purpose and patterns",
    "Entities, state variables and scales",
    "Process overview and scheduling",
    "Design concepts",
    "Initialization",
    "Input data",
    "Submodels",
)


def _rows(name):
    return [line.split("|") for line in TEXT.splitlines() if re.match(rf"\| `{name}`[ (|]", line)]


def test_the_seven_headings_stand_in_order():
    """Grimm et al. 2020, JASSS 23(2):7 (published)."""
    found = re.findall(r"^## \d\. (.+)$", TEXT, re.MULTILINE)
    assert tuple(found) == HEADINGS


@pytest.mark.parametrize("kind", [Ability, MarkBody, Hands])
def test_every_setting_stands_in_its_table_as_the_code_has_it(kind):
    for row in describe_settings(kind):
        values = (
            [str(getattr(level, row["name"])) for level in LEVELS.values()]
            if kind is Ability
            else [str(row["default"])]
        )
        cells = [[cell.strip() for cell in found] for found in _rows(row["name"])]
        wanted = [row["unit"] or "-", *values]
        assert any(found[2 : 2 + len(wanted)] == wanted for found in cells), row["name"]
        if row["low"] is not None and row["high"] is not None:
            span = f"{row['low']:g} to {row['high']:g}"
            assert any(span in found for found in cells), f"{row['name']}: {span}"
        assert row["source"]
