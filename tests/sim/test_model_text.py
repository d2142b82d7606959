"""MODEL.md says what the code says: the ODD headings, every setting, constant and coefficient."""

from __future__ import annotations

import ast
import importlib
import re
from pathlib import Path
from typing import Any

import pytest

from sim.ability import LEVELS, Ability
from sim.flight.coefficients import COEFFICIENTS
from sim.scene import Scene
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
KINDS = (
    "sim.ability.Ability",
    "sim.marking.MarkBody",
    "sim.contest.Hands",
    "sim.flight.disc.Disc",
    "sim.flight.shapes.ThrowSettings",
    "policies.marks.Mark",
    "policies.covers.Cover",
    "policies.help.Help",
    "policies.man.Man",
    "policies.cup.Cup",
    "policies.looks.Looks",
    "policies.cuts.base.Cut",
    "policies.cuts.strike.Strike",
    "policies.cuts.two_way.TwoWay",
    "policies.cuts.resets.Dump",
    "policies.cuts.resets.Swing",
    "policies.cuts.resets.Around",
    "policies.cuts.resets.UpLine",
    "policies.cuts.resets.GiveAndGo",
    "policies.cuts.downfield.Under",
    "policies.cuts.downfield.Deep",
)
MODULES = (
    "sim.perception",
    "sim.throwing",
    "sim.possession",
    "sim.record",
    "sim.bodies",
    "policies.marks",
    "policies.reading",
    "policies.looks",
    "policies.pursuit",
    "policies.switching",
    "policies.shape",
)
CODES = {"BACKHAND", "FOREHAND", "KNOTS", "HELD", "WIND_UP", "FLYING", "OVER"}
CODES |= {"CAUGHT", "BLOCKED", "DROPPED"}
CUT = {row["name"] for row in describe_settings(importlib.import_module("policies.cuts").Cut)}


def of(path: str) -> Any:
    """What stands in the code at module.name."""
    module, name = path.rsplit(".", 1)
    return getattr(importlib.import_module(module), name)


def cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip().strip("|").split("|")]


def rows_below(path: str) -> dict[str, list[str]]:
    """The rows of the table that stands below a line with this name alone, by setting."""
    found = re.findall(rf"^`{re.escape(path)}`\n\n((?:\|.*\n)+)", TEXT, re.MULTILINE)
    assert len(found) == 1, path
    lines = [cells(line) for line in found[0].splitlines()[2:]]
    return {re.match(r"`(\w+)`", line[0])[1]: line for line in lines}  # type: ignore[index]


def shown(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    return str(value) or "nobody"


def allowed(row: dict[str, Any]) -> str:
    if row["choices"]:
        return ", ".join(row["choices"])
    if row["low"] is None or row["high"] is None:
        return "yes, no" if isinstance(row["default"], bool) else "any"
    return f"{row['low']:g} to {row['high']:g}"


def test_the_seven_headings_stand_in_order():
    """Grimm et al. 2020, JASSS 23(2):7 (published)."""
    found = re.findall(r"^## \d\. (.+)$", TEXT, re.MULTILINE)
    assert tuple(found) == HEADINGS


@pytest.mark.parametrize("path", KINDS)
def test_every_setting_stands_in_its_table_as_the_code_has_it(path):
    """Name, unit, default (that of every level for an ability), allowed range and source."""
    kind, table = of(path), rows_below(path)
    inherits = path.startswith("policies.cuts.") and not path.endswith(".Cut")
    wanted = [r for r in describe_settings(kind) if not (inherits and r["name"] in CUT)]
    assert set(table) == {row["name"] for row in wanted}
    for row in wanted:
        values = [shown(row["default"])]
        if kind is Ability:
            values = [shown(getattr(level, row["name"])) for level in LEVELS.values()]
        expected = [row["unit"] or "-", *values, allowed(row), row["source"]]
        assert table[row["name"]][1:] == expected, row["name"]


def constants() -> dict[str, str]:
    pattern = r"^\| `((?:sim|policies)\.[\w.]+\.[A-Z_]+)` \| (.+?) \|"
    return dict(re.findall(pattern, TEXT, re.MULTILINE))


@pytest.mark.parametrize(("path", "value"), constants().items())
def test_a_constant_has_the_value_that_stands_there(path, value):
    assert of(path) == ast.literal_eval(value)


@pytest.mark.parametrize("name", MODULES)
def test_no_constant_of_a_module_is_left_out(name):
    public = {
        key
        for key, value in vars(importlib.import_module(name)).items()
        if key.isupper()
        and not key.startswith("_")
        and key not in CODES
        and isinstance(value, (int, float))
    }
    told = {path.rsplit(".", 1)[1] for path in constants()}
    assert public <= told, public - told


@pytest.mark.parametrize("name", COEFFICIENTS)
def test_the_coefficients_of_the_disc_stand_there(name):
    one = COEFFICIENTS[name]
    (line,) = re.findall(rf"^\| `{name}` \|.*$", TEXT, re.MULTILINE)
    found = cells(line)
    values = [
        one.lift_0,
        one.lift_slope,
        one.drag_0,
        one.drag_slope,
        one.moment_0,
        one.moment_slope,
        one.roll_by_spin,
        one.roll_damping,
        one.pitch_damping,
        one.spin_damping,
    ]
    assert [float(cell) for cell in found[1:-1]] == values
    assert found[-1] == one.source


@pytest.mark.parametrize("name", ["stall", "pace", "until", "resets", "time_cap", "spread", "tick"])
def test_the_start_of_a_play_has_the_defaults_that_stand_there(name):
    section = TEXT[TEXT.index("## 5. ") : TEXT.index("## 6. ")]
    (line,) = (line for line in map(cells, section.splitlines()) if line[0].startswith(f"`{name}`"))
    default = Scene.__dataclass_fields__[name].default
    assert line[2] == default if isinstance(default, str) else float(line[2]) == default
