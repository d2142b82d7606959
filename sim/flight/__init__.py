"""Flight of the disc: its physics, releases that reach a point, and the table played from.

Playing needs only `lookup`. The equations are in `dynamics`, `release` and `rigidbody`, the search
for a release in `targets` and `solver`, and `python -m sim.flight.build` makes the table anew.
"""

from sim.flight.coefficients import (
    COEFFICIENTS,
    HUMMEL,
    POTTS_CROWTHER,
    Coefficients,
    coefficients,
)
from sim.flight.disc import Disc
from sim.flight.lookup import Table, duration, lay_out, load_table, reach
from sim.flight.shapes import SHAPES, THROWS, ThrowSettings

__all__ = [
    "COEFFICIENTS",
    "HUMMEL",
    "POTTS_CROWTHER",
    "SHAPES",
    "THROWS",
    "Coefficients",
    "Disc",
    "Table",
    "ThrowSettings",
    "coefficients",
    "duration",
    "lay_out",
    "load_table",
    "reach",
]
