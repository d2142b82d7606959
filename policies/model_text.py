"""The tables of `sim/MODEL.md`, made from the settings: python -m policies.model_text"""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path
from typing import Any

import policies
import sim
from sim.ability import LEVELS, Ability
from sim.flight.coefficients import COEFFICIENTS
from sim.settings import describe_settings
from sim.view import ARRAYS, ATTRIBUTES

FILE = Path(sim.__path__[0]) / "MODEL.md"
BEGIN, END = "<!-- tables: python -m policies.model_text -->", "<!-- end of tables -->"


def kinds() -> list[type]:
    """Every dataclass of sim and policies that declares settings of its own, by name."""
    found: dict[str, type] = {}
    for package in (sim, policies):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            for value in vars(importlib.import_module(module.name)).values():
                if isinstance(value, type) and hasattr(value, "__dataclass_fields__"):
                    found[f"{value.__module__}.{value.__qualname__}"] = value
    return [kind for _, kind in sorted(found.items()) if _own_rows(kind)]


def _own_rows(kind: type) -> list[dict[str, Any]]:
    """The settings that a class declares itself, or changes."""
    inherited = {
        row["name"]: row
        for base in kind.__mro__[1:]
        if hasattr(base, "__dataclass_fields__")
        for row in describe_settings(base)
    }
    return [row for row in describe_settings(kind) if inherited.get(row["name"]) != row]


def _shown(value: Any) -> str:
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    return f"{value:g}" if isinstance(value, float) else str(value) or "nobody"


def _allowed(row: dict[str, Any]) -> str:
    if row["choices"]:
        return ", ".join(row["choices"])
    if row["low"] is None or row["high"] is None:
        return "yes, no" if isinstance(row["default"], bool) else "any"
    return f"{row['low']:g} to {row['high']:g}"


def _table(kind: type) -> str:
    levels = kind is Ability
    columns = [*LEVELS] if levels else ["default"]
    lines = [
        f"`{kind.__module__}.{kind.__qualname__}`",
        "",
        f"| setting | unit | {' | '.join(columns)} | range | source |",
        "|" + "---|" * (len(columns) + 4),
    ]
    for row in _own_rows(kind):
        name = f"`{row['name']}`" + (f" ({row['doc']})" if row["doc"] else "")
        values = [row["default"]]
        if levels:
            values = [getattr(level, row["name"]) for level in LEVELS.values()]
        cells = [name, row["unit"] or "-", *map(_shown, values), _allowed(row), row["source"]]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


def _coefficients() -> str:
    names = [
        "lift_0",
        "lift_slope",
        "drag_0",
        "drag_slope",
        "moment_0",
        "moment_slope",
        "roll_by_spin",
        "roll_damping",
        "pitch_damping",
        "spin_damping",
    ]
    lines = [
        "Aerodynamic coefficients",
        "",
        "| set | CL0 | CLa | CD0 | CDa | CM0 | CMa | CRr | CRp | CMq | CNr | source |",
        "|" + "---|" * 12,
    ]
    for name, one in COEFFICIENTS.items():
        values = [f"{getattr(one, field):g}" for field in names]
        lines.append(f"| `{name}` | {' | '.join(values)} | {one.source} |")
    return "\n".join(lines)


def _view() -> str:
    lines = [
        "What a rule may see (`sim.view`)",
        "",
        "| attribute | unit | meaning |",
        "|---|---|---|",
    ]
    lines += [f"| `{name}` | {unit or '-'} | {text} |" for name, _, unit, text in ATTRIBUTES]
    lines += [f"| `{name}` | - | {text} |" for name, text in ARRAYS]
    return "\n".join(lines)


def tables() -> str:
    """All tables, ready to stand between the two marks of the file."""
    parts = [_view(), _coefficients(), *(_table(kind) for kind in kinds())]
    return "\n\n".join(parts)


def main() -> None:
    """Write the tables anew."""
    text = FILE.read_text("utf-8")
    before, after = text[: text.index(BEGIN)], text[text.index(END) :]
    FILE.write_text(f"{before}{BEGIN}\n\n{tables()}\n\n{after}", "utf-8")


if __name__ == "__main__":
    main()
