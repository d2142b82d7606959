"""Aerodynamic coefficients of a flying disc: two published sets, selectable by name."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np

from sim.flight.disc import Disc

# Drag of a round plate square to the stream: Hoerner 1965, Fluid-Dynamic Drag (from memory).
PLATE_DRAG = 1.1


@dataclasses.dataclass(frozen=True)
class Coefficients:
    """Coefficients of a disc in the form CL = CL0 + CLa*a, CD = CD0 + CDa*(a - a0)^2, CM = ...

    Attributes
    ----------
    name : the name the set is selected by.
    lift_0, lift_slope : CL0 and CLa, the slope per radian of angle of attack.
    drag_0, drag_slope : CD0 and CDa per radian squared, about the angle of zero lift.
    moment_0, moment_slope : CM0 and CMa of the pitching moment, positive nose up.
    roll_by_spin : CRr, rolling moment per unit of spin; the advancing side lifts more.
    roll_damping, pitch_damping, spin_damping : CRp, CMq, CNr per unit of the same rate.
    rate_time : seconds; rates in rad/s are made plain numbers by this factor, sqrt(d/g).
    stall : angle of attack (rad, either sign) up to which the formulas are taken to hold; from
        there lift and moment go to nothing and drag to that of a plate at 90 degrees.
    source : where the numbers come from.

    Notes
    -----
    The rates of the damping terms are read as omega*sqrt(d/g), 0.166 s, as Hummel (2003) made
    them plain numbers (from memory). Read per rad/s instead, the roll moment due to spin alone
    would turn a disc's nose up at some 75 deg/s at 14 m/s, which no thrown disc does.
    """

    name: str
    lift_0: float
    lift_slope: float
    drag_0: float
    drag_slope: float
    moment_0: float
    moment_slope: float
    roll_by_spin: float
    roll_damping: float
    pitch_damping: float
    spin_damping: float
    rate_time: float
    stall: float
    source: str

    @property
    def zero_lift_angle(self) -> float:
        """Angle of attack without lift (rad), -CL0/CLa."""
        return -self.lift_0 / self.lift_slope

    @property
    def trim_angle(self) -> float:
        """Angle of attack without pitching moment (rad), -CM0/CMa."""
        return -self.moment_0 / self.moment_slope

    def lift(self, angle: Any) -> Any:
        """Lift coefficient at an angle of attack (rad)."""
        held = np.clip(angle, -self.stall, self.stall)
        return (self.lift_0 + self.lift_slope * held) * self._fade(angle)

    def drag(self, angle: Any) -> Any:
        """Drag coefficient at an angle of attack (rad); beyond the stall toward a plate's."""
        held = np.clip(angle, -self.stall, self.stall)
        off = held - self.zero_lift_angle
        beyond = (np.abs(angle) - np.abs(held)) / (0.5 * math.pi - self.stall)
        return (1 - beyond) * (self.drag_0 + self.drag_slope * off * off) + beyond * PLATE_DRAG

    def moment(self, angle: Any) -> Any:
        """Pitching moment coefficient at an angle of attack (rad), positive nose up."""
        held = np.clip(angle, -self.stall, self.stall)
        return (self.moment_0 + self.moment_slope * held) * self._fade(angle)

    def _fade(self, angle: Any) -> Any:
        return np.minimum(np.cos(angle) / math.cos(self.stall), 1.0)

    def level_speed(self, angle: float, disc: Disc | None = None) -> float:
        """Airspeed (m/s) at which the lift at this angle of attack carries the weight.

        Raises
        ------
        ValueError : if the disc has no upward lift at this angle.
        """
        disc = Disc() if disc is None else disc
        lift = float(self.lift(angle))
        if lift <= 0:
            raise ValueError(f"no lift at an angle of attack of {math.degrees(angle):g} degrees")
        weight = disc.mass * disc.gravity
        return math.sqrt(2 * weight / (disc.air_density * disc.area * lift))


_RATE_TIME = math.sqrt(Disc().diameter / Disc().gravity)

HUMMEL = Coefficients(
    name="hummel",
    lift_0=0.3331,
    lift_slope=1.9124,
    drag_0=0.1769,
    drag_slope=0.685,
    moment_0=-0.0821,
    moment_slope=0.4338,
    roll_by_spin=0.00171,
    roll_damping=-0.0125,
    pitch_damping=-0.0144,
    spin_damping=-3.4e-5,
    rate_time=_RATE_TIME,
    stall=math.radians(45),
    source="Hummel 2003, MSc thesis, UC Davis, long-flight set (from memory)",
)

POTTS_CROWTHER = Coefficients(
    name="potts-crowther",
    lift_0=0.2,
    lift_slope=2.96,
    drag_0=0.08,
    drag_slope=2.65,
    moment_0=-0.02,
    moment_slope=0.13,
    roll_by_spin=0.0,
    roll_damping=-0.0125,
    pitch_damping=-0.0144,
    spin_damping=-3.4e-5,
    rate_time=_RATE_TIME,
    stall=math.radians(45),
    source="Potts & Crowther 2002, AIAA 2002-3150, wind tunnel (from memory); spin terms: Hummel",
)

COEFFICIENTS = {entry.name: entry for entry in (HUMMEL, POTTS_CROWTHER)}


def coefficients(name: str) -> Coefficients:
    """Return the set with this name.

    Raises
    ------
    ValueError : if there is no such set; the message names those there are.
    """
    if name not in COEFFICIENTS:
        raise ValueError(f"no coefficients {name!r}; there are {', '.join(sorted(COEFFICIENTS))}")
    return COEFFICIENTS[name]
