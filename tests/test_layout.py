"""The promises of the layout: one-way imports, short modules, settings with a source."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import tomllib
from pathlib import Path

import pytest

import experiments
import policies
import sim
from sim.settings import describe_settings

ROOT = Path(__file__).parent.parent
PACKAGES = {"sim": sim, "policies": policies, "experiments": experiments}
MAY_IMPORT = {
    "sim": {"sim"},
    "policies": {"sim", "policies"},
    "experiments": {"sim", "policies", "experiments"},
}
FILES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))


def imported(path: Path) -> set[str]:
    """The first part of the name of every module that a file imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.add(node.module.split(".")[0])
    return found


def settings_classes() -> list[type]:
    """Every dataclass of the three packages that declares a setting."""
    found: dict[str, type] = {}
    for package in PACKAGES.values():
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if module.name.endswith("__main__"):
                continue
            for value in vars(importlib.import_module(module.name)).values():
                if isinstance(value, type) and hasattr(value, "__dataclass_fields__"):
                    found[f"{value.__module__}.{value.__qualname__}"] = value
    return [kind for _, kind in sorted(found.items()) if describe_settings(kind)]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_one_way_and_modules_are_short(path: Path) -> None:
    package = path.relative_to(ROOT).parts[0]
    upward = imported(path) & set(PACKAGES) - MAY_IMPORT[package]
    assert not upward, f"{package} may not import {upward}"
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= 400, f"{lines} lines"


def test_the_import_check_sees_an_upward_import(tmp_path: Path) -> None:
    """The check above is only worth something if it would notice."""
    wrong = tmp_path / "wrong.py"
    wrong.write_text("def late():\n    from experiments.situations.situation import Situation\n")
    assert imported(wrong) & set(PACKAGES) == {"experiments"}


# Each room of experiments imports from itself and from the rooms before it.
ROOMS = (
    "errors", "statistics", "situations", "words", "running", "tapes", "studies", "charts",
    "handouts", "notebook", "cli",
)  # fmt: skip
ROOM_FILES = [
    path
    for path in FILES
    if path.is_relative_to(ROOT / "experiments") and path != ROOT / "experiments" / "__init__.py"
]


def rooms_of(source: str) -> set[str]:
    """The rooms that a text imports from, at the top or inside a function."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "a relative import"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        found |= {name.split(".")[1] for name in names if name.startswith("experiments.")}
    return found


def later_rooms(room: str, source: str) -> set[str]:
    """What a text of a room imports although it comes later, or is no room at all."""
    return rooms_of(source) - set(ROOMS[: ROOMS.index(room) + 1])


@pytest.mark.parametrize("path", ROOM_FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_rooms_import_from_rooms_before_them_only(path: Path) -> None:
    room = path.relative_to(ROOT / "experiments").parts[0].removesuffix(".py")
    assert room in ROOMS, f"{path.name} is in no room"
    later = later_rooms(room, path.read_text(encoding="utf-8"))
    assert not later, f"{room} may not import from {sorted(later)}"


def test_the_check_of_rooms_sees_a_late_import() -> None:
    wrong = (
        "def f():\n    from experiments.charts.style import x\n    from experiments import load\n"
    )
    assert later_rooms("studies", wrong) == {"charts", "load"}
    assert later_rooms("charts", "from experiments.charts import style\n") == set()


def test_each_room_lists_its_modules() -> None:
    for init in (ROOT / "experiments").rglob("__init__.py"):
        if init.parent in (ROOT / "experiments", ROOT / "experiments" / "cli"):
            continue
        listed = {
            line.split("  ")[0]
            for line in ast.get_docstring(ast.parse(init.read_text(encoding="utf-8"))).splitlines()
            if "  " in line
        }
        inside = {p.stem for p in init.parent.glob("*.py")} - {"__init__"}
        inside |= {p.parent.name for p in init.parent.glob("*/__init__.py")}
        assert listed == inside, init.parent.name


def test_every_setting_has_a_source_and_a_default_within_its_range() -> None:
    kinds = settings_classes()
    assert len(kinds) >= 5
    for kind in kinds:
        for row in describe_settings(kind):
            where = f"{kind.__module__}.{kind.__name__}.{row['name']}"
            assert row["source"].strip(), f"{where} has no source"
            if row["choices"] is not None:
                assert row["default"] in row["choices"], where
            elif isinstance(row["default"], (int, float)) and not isinstance(row["default"], bool):
                assert row["low"] is None or row["low"] <= row["default"], where
                assert row["high"] is None or row["default"] <= row["high"], where


def test_nothing_in_the_packages_shows_a_plot_or_imports_everything() -> None:
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                assert all(alias.name != "*" for alias in node.names), path
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                assert node.func.attr != "show", path


def test_every_change_that_the_mutants_make_still_finds_its_place() -> None:
    """Each `old` of `tests/mutants.toml` stands exactly once in its file."""
    with (ROOT / "tests" / "mutants.toml").open("rb") as stream:
        changes = tomllib.load(stream)
    found = {
        name: (ROOT / "sim" / change["file"]).read_text(encoding="utf-8").count(change["old"])
        for name, change in changes.items()
    }
    assert {name for name, count in found.items() if count != 1} == set()
