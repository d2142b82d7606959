"""Flight of the disc: physics, releases that reach a point, and the table played from."""

from sim.flight.shapes import SHAPES, THROWS
from sim.flight.table import FlightPaths, FlightTable, load_table

__all__ = ["SHAPES", "THROWS", "FlightPaths", "FlightTable", "load_table"]
