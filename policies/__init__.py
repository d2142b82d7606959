"""What players decide: cuts and looks for the offence, marks, covers and help for the defence."""

from __future__ import annotations

from policies.check import check_policy
from policies.covers import Cover
from policies.cup import Cup
from policies.cuts import CUTS
from policies.help import Help
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import Mark

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
    "check_policy",
]
