"""The units in which lengths are shown; inside, everything is in metres."""

from __future__ import annotations

from sim.field import YARD

UNITS = {"m": 1.0, "yd": 1.0 / YARD}
UNIT_WORDS = {"m": "metres", "yd": "yards"}
