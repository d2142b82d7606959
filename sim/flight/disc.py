"""The disc itself and the air it flies in: mass, size, inertia, density."""

from __future__ import annotations

import dataclasses
import math

from sim.settings import Checked, setting


@dataclasses.dataclass(frozen=True)
class Disc(Checked):
    """A 175 g disc in air at sea level."""

    mass: float = setting(
        0.175, low=0.1, high=0.25, unit="kg", source="WFDF rules; Hummel 2003 (memory)"
    )
    area: float = setting(0.057, low=0.04, high=0.08, unit="m2", source="Hummel 2003 (memory)")
    axial_inertia: float = setting(
        0.002352, low=0.001, high=0.005, unit="kg m2", source="Hummel 2003 (memory)"
    )
    diametral_inertia: float = setting(
        0.001219, low=0.0005, high=0.0025, unit="kg m2", source="Hummel 2003 (memory)"
    )
    air_density: float = setting(
        1.23, low=0.9, high=1.4, unit="kg/m3", source="Hummel 2003 (memory); 0.9 is 2900 m up"
    )
    gravity: float = setting(9.81, low=9.76, high=9.84, unit="m/s2", source="textbook")

    @property
    def diameter(self) -> float:
        """Diameter (m) of the circle with this area: 0.269."""
        return 2 * math.sqrt(self.area / math.pi)
