"""Zone with a cup: three defenders around the disc, the others in zones behind them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from policies.marks import Mark, start_of_mark
from policies.moves import inside, keep_with, length
from sim.elementary import bearing, cos, sin
from sim.intent import Intent, cover
from sim.rulebook import Team, ask
from sim.settings import Checked, setting

CUP = 3  # how many stand around the disc, the mark among them
# Zones of the others, in the order in which they are filled: to the open side and downfield of
# the disc, m. Two wings, one in the middle behind the cup, one deep.
ZONES = ((0.0, 13.0), (11.0, 9.0), (-11.0, 9.0), (0.0, 26.0))


@dataclass(frozen=True)
class Cup(Checked):
    """Cup: the mark and two more stand around the disc, the rest guard zones downfield."""

    zonal: ClassVar[bool] = True  # nobody guards one attacker, whatever the line-up says

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
    crash: float = setting(
        3.0, low=0.0, high=8.0, unit="m",
        doc="the off-marks close on an attacker who pops this near to them, and let the gap go",
    )  # fmt: skip

    def parts(self, names: Sequence[str]) -> list[Any]:
        """The mark."""
        return [self.mark]

    def starts(
        self,
        attackers: Sequence[tuple[float, float]],
        handlers: Sequence[bool],
        guards: Sequence[int],
        holder: int,
        open_side: int,
    ) -> list[tuple[float, float]]:
        """Where the defenders stand when play starts; arguments as for `Man.starts`."""
        disc_x, disc_y = attackers[holder]
        off = start_of_mark(self.mark.force, self.mark.angle, self.mark.distance, open_side)
        places = [(disc_x + off[0], disc_y + off[1])]
        for number in range(1, len(guards)):
            to_open, down = station(number, self.distance, math.radians(self.spread))
            places.append((disc_x + to_open * open_side, disc_y + down))
        return places

    @staticmethod
    def decide(me: Any, s: Any, team: Team) -> Intent:
        """Mark, close the cup, or guard a zone; the cup goes along while the disc flies."""
        number = me.slot - me.attackers
        if me.marking or (number < CUP and not me.flying and nearest_of_cup(me)):
            return ask(team, 0, me)
        centre_x, centre_y = me.disc_x, me.disc_y
        if me.flying:
            disc = me.seen[me.disc]
            centre_x, centre_y = disc.x, disc.y
        to_open, down = station(free_number(me, number), s.distance, s.spread)
        x, y = inside(me, centre_x + to_open * me.open, centre_y + down, 1.0)
        if number >= CUP:
            x, y = leaned(me, x, y, s.zone, s.shade)
        elif s.crash > 0.0:
            x, y = leaned(me, x, y, s.crash, 0.6)
        ux, uy = keep_with(me, x, y, 0.0, 0.0)
        # the others let go of the disc, so that no count is broken
        return cover(ux, uy, -2, bearing(me.disc_x - me.x, me.disc_y - me.y), 0)


def station(number: int, distance: float, spread: float) -> tuple[float, float]:
    """The place of a defender by number: m to the open side and downfield of the disc."""
    if number < CUP:
        toward = (number - 0.5) * spread
        return distance * sin(toward), distance * cos(toward)
    return ZONES[(number - CUP) % len(ZONES)]


def nearest_of_cup(me: Any) -> bool:
    """Whether nobody of the cup is nearer to the disc, nor marks already."""
    if me.mark >= 0 and me.mark != me.slot and me.mark < me.attackers + CUP:
        far = length(me.seen[me.mark].x - me.disc_x, me.seen[me.mark].y - me.disc_y)
        if far < 4.0:
            return False
    own = length(me.x - me.disc_x, me.y - me.disc_y)
    for q in range(me.attackers, min(me.attackers + CUP, me.everybody)):
        if q != me.slot and length(me.seen[q].x - me.disc_x, me.seen[q].y - me.disc_y) < own:
            return False
    return True


def free_number(me: Any, number: int) -> int:
    """The place in the cup of a defender who does not mark; the first takes that of the one who does."""
    if number >= CUP:
        return number
    marker = me.mark - me.attackers
    if marker <= 0 or marker >= CUP:
        return max(number, 1)
    return marker if number == 0 else number


def leaned(me: Any, x: float, y: float, zone: float, shade: float) -> tuple[float, float]:
    """A place shifted toward the nearest attacker within `zone` m of it."""
    best, near = zone, -1
    for q in range(me.attackers):
        far = length(me.seen[q].x - x, me.seen[q].y - y)
        if q != me.holder and far < best:
            best, near = far, q
    if near < 0:
        return x, y
    return x + shade * (me.seen[near].x - x), y + shade * (me.seen[near].y - y)
