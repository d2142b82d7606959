"""Zone with a cup: three defenders around the disc, the others in zones behind them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from policies.frame import Frame, length
from policies.marks import Mark
from policies.pursuit import follow
from sim.intent import Intent
from sim.settings import check_settings, setting
from sim.view import View

# Zones of the others, in the order in which they are filled: to the open side and downfield of
# the disc, m. Two wings, one in the middle behind the cup, one deep.
ZONES = ((0.0, 13.0), (11.0, 9.0), (-11.0, 9.0), (0.0, 26.0))


@dataclass(frozen=True)
class Cup:
    """Cup: the mark and two more stand around the disc, the rest guard zones downfield."""

    mark: Mark = field(default_factory=Mark)
    distance: float = setting(
        3.5,
        low=3.0,
        high=8.0,
        unit="m",
        source="off-marks 3-4 m from the disc, common practice; at least 3 m, rule 18.1.1.5",
        doc="of the off-marks from the thrower",
    )
    spread: float = setting(
        52.5,
        low=20.0,
        high=90.0,
        unit="deg",
        source="45-60 degrees apart, common practice",
        doc="between the neighbours in the cup",
    )
    shade: float = setting(
        0.5, low=0.0, high=1.0, unit="", doc="how far a zone defender leans to the nearest attacker"
    )
    zone: float = setting(8.0, low=2.0, high=20.0, unit="m", doc="how far a zone reaches")

    def __post_init__(self) -> None:
        check_settings(self)

    def starts(
        self,
        attackers: np.ndarray,
        handlers: np.ndarray,
        guards: np.ndarray,
        holder: int,
        open_side: int,
    ) -> np.ndarray:
        """Where the defenders stand when play starts, (D, 2); arguments as for `Man.starts`."""
        count = len(guards)
        side = np.full(count, float(open_side))
        frame = Frame(np.broadcast_to(attackers[holder], (count, 2)), side)
        stations = [self._station(number, count, frame)[number] for number in range(count)]
        mark = attackers[holder] + self.mark.off(side)[0]
        return np.array([mark, *stations[1:]])

    def decide(self, view: View) -> Intent:
        """Mark, close the cup, or guard a zone."""
        number = view.slot - len(view.scene.attackers)
        if view.marking:
            return self.mark.stand(view)
        count = len(view.defenders)
        frame = Frame(view.disc, view.open_side)
        place = self._station(number, count, frame)
        if number >= 3:
            place = self._lean(view, place)
        # the first of the cup marks; the others let go of the disc so that no count is broken
        watch = view.holder if number == 0 else np.full(len(view), -1)
        return Intent(run=follow(view, place, np.zeros_like(place)), watch=watch)

    def _station(self, number: int, count: int, frame: Frame) -> np.ndarray:
        """The place of the defender with this number, (R, 2)."""
        if number < 3:
            # the mark stands to the break side; the off-marks close the front and the open side
            bearing = np.deg2rad(
                (number - 0.5) * self.spread - 0.5 * self.mark.angle * (number == 0)
            )
            spot = self.distance * np.array([np.sin(bearing), np.cos(bearing)])
        else:
            spot = np.array(ZONES[(number - 3) % len(ZONES)])
        return frame.out(np.broadcast_to(spot, frame.origin.shape))

    def _lean(self, view: View, place: np.ndarray) -> np.ndarray:
        """A place shifted toward the nearest attacker in the zone, (R, 2)."""
        seen = view.seen(view.attackers[None, :]).pos
        gap = length(seen - place[:, None])
        gap = np.where(view.attackers[None, :] == view.holder[:, None], np.inf, gap)
        nearest = np.argmin(gap, axis=1)
        rows = np.arange(len(view))
        reach = (gap[rows, nearest] < self.zone)[:, None]
        toward = place + self.shade * (seen[rows, nearest] - place)
        return np.where(reach, toward, place)
