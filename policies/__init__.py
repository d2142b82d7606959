"""What players decide: cuts and looks for the offence, marks, covers and help for the defence."""

from __future__ import annotations

from policies.covers import Cover
from policies.cuts import CUTS
from policies.looks import Look, Looks
from policies.man import Man
from policies.marks import Mark

BUILT_IN: dict[str, dict[str, type]] = {
    "offence": {"looks": Looks},
    "defence": {"man": Man},
    "cut": dict(CUTS),
    "cover": {"cover": Cover},
    "mark": {"mark": Mark},
}

__all__ = ["BUILT_IN", "CUTS", "Cover", "Look", "Looks", "Man", "Mark"]
