"""The promises of the layout: one-way imports, short modules, settings with a source."""

from __future__ import annotations

import ast
import importlib
import pkgutil
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
    wrong.write_text("def late():\n    from experiments.situation import Situation\n")
    assert imported(wrong) & set(PACKAGES) == {"experiments"}


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
