"""MODEL.md says what the code says: the ODD headings, every setting, the start of a play."""

from __future__ import annotations

import re

import pytest

from policies.model_text import BEGIN, END, FILE, kinds, tables
from sim.laws import Judgements
from sim.scene import Scene

TEXT = FILE.read_text("utf-8")
HEADINGS = (
    "Purpose and patterns",
    "Entities, state variables and scales",
    "Process overview and scheduling",
    "Design concepts",
    "Initialization",
    "Input data",
    "Submodels",
)


def test_the_seven_headings_stand_in_order() -> None:
    """Grimm et al. 2020, JASSS 23(2):7 (published)."""
    assert tuple(re.findall(r"^## \d\. (.+)$", TEXT, re.MULTILINE)) == HEADINGS


def test_the_tables_are_those_of_the_settings() -> None:
    """Made anew by python -m policies.model_text."""
    kept = TEXT[TEXT.index(BEGIN) + len(BEGIN) : TEXT.index(END)].strip()
    assert kept == tables().strip()


def test_every_judgement_is_among_them() -> None:
    names = {kind.__name__ for kind in kinds()}
    assert {"Ability", "Reading", "Looks", "Cover", "Mark", "Strike", "Disc"} <= names
    assert {type(getattr(Judgements(), group)).__name__ for group in vars(Judgements())} <= names


@pytest.mark.parametrize(
    "name", ["stall", "pace", "until", "resets", "time_cap", "spread", "tick", "decide_every"]
)
def test_the_start_of_a_play_has_the_defaults_that_stand_there(name: str) -> None:
    section = TEXT[TEXT.index("## 5. ") : TEXT.index("## 6. ")]
    lines = ([c.strip() for c in line.strip("|").split("|")] for line in section.splitlines())
    (line,) = (line for line in lines if line[0].startswith(f"`{name}`"))
    default = Scene.__dataclass_fields__[name].default
    assert line[2] == default if isinstance(default, str) else float(line[2]) == default
