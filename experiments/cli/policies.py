"""`stallwise policies`: the policies that situation files may name."""

from __future__ import annotations

from experiments.cli.options import Json
from experiments.cli.output import print_json, print_table
from experiments.situations.tables import parts_of, settings_of
from policies.registry import KINDS, UnknownPolicy, find, names, one_line

MOST = 6  # settings listed of a policy; `--json` has all, with units and ranges


def command(json: Json = False) -> None:
    """List the policies that files may name."""
    if json:
        print_json({kind: {name: _described(kind, name) for name in names(kind)} for kind in KINDS})
        return
    rows = [(kind, name, *_line(kind, name)) for kind in KINDS for name in names(kind)]
    print_table(("kind", "name", "what it does", "settings"), rows, left=4)


def _line(kind: str, name: str) -> tuple[str, str]:
    """What a policy does and the names of its settings; for a broken one, the error."""
    try:
        found = find(kind, name)
    except UnknownPolicy as error:
        return str(error), "-"
    own = vars(found).get("__annotations__", {})
    ordered = sorted(settings_of(found), key=lambda setting: setting not in own)
    settings = [*ordered, *(f"{part} (a table)" for part in parts_of(found))]
    shown = settings[:MOST]
    more = [f"and {len(settings) - MOST} more"] if len(settings) > MOST else []
    return one_line(kind, name), ", ".join([*shown, *more]) or "-"


def _described(kind: str, name: str) -> dict[str, object]:
    try:
        found = find(kind, name)
    except UnknownPolicy as error:
        return {"about": str(error), "settings": [], "parts": []}
    settings = [{"name": key, **about} for key, about in settings_of(found).items()]
    return {"about": one_line(kind, name), "settings": settings, "parts": [*parts_of(found)]}
