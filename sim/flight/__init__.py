"""Flight of the disc: its physics, releases that reach a point, and the table played from.

Playing needs only what is named here. The equations are in `dynamics`, `release` and `rigidbody`,
the search for a release in `targets` and `solver`, and `python -m sim.flight.build` makes the
table anew.
"""

from sim.flight.coefficients import (
    COEFFICIENTS,
    HUMMEL,
    POTTS_CROWTHER,
    Coefficients,
    coefficients,
)
from sim.flight.disc import Disc
from sim.flight.shapes import SHAPES, THROWS, ThrowSettings
from sim.flight.table import FlightPaths, FlightTable, load_table

__all__ = [
    "COEFFICIENTS",
    "HUMMEL",
    "POTTS_CROWTHER",
    "SHAPES",
    "THROWS",
    "Coefficients",
    "Disc",
    "FlightPaths",
    "FlightTable",
    "ThrowSettings",
    "coefficients",
    "load_table",
]
