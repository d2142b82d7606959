"""What players decide: cuts and looks for the offence, marks, covers and help for the defence."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from policies.covers import Cover
from policies.cup import Cup
from policies.cuts import CUTS
from policies.help import Help
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import Mark
from policies.reading import Reading

if TYPE_CHECKING:
    from policies.check import check_policy

BUILT_IN: dict[str, dict[str, type]] = {
    "offence": {"looks": Looks},
    "defence": {"man": Man, "cup": Cup},
    "cut": dict(CUTS),
    "cover": {"cover": Cover},
    "mark": {"mark": Mark},
}

__all__ = [
    "BUILT_IN",
    "CUTS",
    "Cover",
    "Cup",
    "Help",
    "Look",
    "Looks",
    "Man",
    "Mark",
    "Reading",
    "check_policy",
]


def __getattr__(name: str) -> Any:
    # imported when first asked for: it plays, and so brings the whole simulator with it
    if name == "check_policy":
        from policies.check import check_policy

        return check_policy
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
