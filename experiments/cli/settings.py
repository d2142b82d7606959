"""`stallwise settings`: every setting of a situation, with its meaning, unit, value and range."""

from __future__ import annotations

from typing import Annotated

from experiments.cli import options
from experiments.cli.output import print_json, print_table
from experiments.errors import StallwiseError, did_you_mean
from experiments.situations.files import load
from experiments.situations.setting_paths import Setting, every_setting
from experiments.situations.tables import shown

PART = "Only paths that hold this word, such as mark, plans.strike or speed."


def command(
    situation: options.SituationName,
    part: Annotated[str | None, options.argument("[PART]", PART)] = None,
    json: options.Json = False,
) -> None:
    """List every setting of a situation: path, value, unit, what is allowed, meaning."""
    known = every_setting(load(situation))
    chosen = {path: found for path, found in known.items() if part is None or part in path}
    if not chosen:
        words = {word for path in known for word in path.split(".")}
        near = did_you_mean(str(part), words)
        raise StallwiseError(f"found no setting with {part!r}; allowed: a word of a path{near}")
    if json:
        print_json({path: _described(found) for path, found in chosen.items()})
        return
    rows = [
        (path, shown(found.value), _unit(found), allowed(found), found.doc)
        for path, found in chosen.items()
    ]
    print_table(("setting", "value", "unit", "allowed", "meaning"), rows, left=5)
    print()
    print("Change one with --set PATH=VALUE, or ask 'stallwise whatif SITUATION PATH=VALUE'.")


def allowed(found: Setting) -> str:
    """What a setting takes: words, or a range."""
    if found.choices is not None:
        return ", ".join(found.choices)
    if isinstance(found.value, bool):
        return "true, false"
    ends = [f"{end:g}" for end in (found.low, found.high) if end is not None]
    return " to ".join(ends)


def _unit(found: Setting) -> str:
    return found.unit.strip("()")


def _described(found: Setting) -> dict[str, object]:
    return {
        "value": found.value,
        "unit": _unit(found),
        "low": found.low,
        "high": found.high,
        "choices": found.choices,
        "meaning": found.doc,
        "source": found.source,
    }
