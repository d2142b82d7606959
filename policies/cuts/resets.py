"""The short resets: behind, across, up the line, around, and back to the giver."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from policies.cuts.base import NOT_YET, SIDES, Cut, side_of
from policies.moves import (
    at_disc,
    bend_into,
    inside,
    length,
    nearest_defender,
    sprint,
    towards,
    unit,
)
from sim.intent import Intent, cut
from sim.settings import setting

THERE = 1.5  # m; nearer to the spot than this a runner goes on as before
FROM_LINE = 2.0  # m that a spot keeps from the lines
AT_SPEED = 2.5  # m/s; a runner is on the way
RUN_ON = 4.0  # m past the spot at which the run is over
SHUFFLE = 2.5  # m from a defender to which somebody who stands steps aside
ROUND = 3.0  # m in front of the disc, or behind: there a run across it goes round thrower and mark
CROSSING = 2.0  # m from the disc at which a run would be in their way


@dataclass(frozen=True)
class ToSpot(Cut):
    """A cut through a spot beside the disc, at speed: nobody gets open by stopping there."""

    lasts: float = setting(2.5, low=0.5, high=20.0, unit="s")
    wide: float = setting(4.0, low=0.0, high=25.0, unit="m", doc="to the side of the disc")
    back: float = setting(3.5, low=-15.0, high=15.0, unit="m", doc="behind the disc")
    side: str = setting("own", choices=SIDES, doc="which side of the disc; own: where one stands")

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Straight through the spot, thrown at any time on the way."""
        return through(me, side_of(me, s.side) * s.wide, -s.back, s.pace)


def through(me: Any, wide: float, depth: float, pace: float) -> Intent:
    """Run through a spot, m to the open side and downfield of the disc, and a few metres on."""
    x, y = inside(me, me.disc_x + wide * me.open, me.disc_y + depth, FROM_LINE)
    x, y = round_the_disc(me, x, y)
    to_open, down = (x - me.x) * me.open, y - me.y
    far, cue, speed = length(to_open, down), me.since, length(me.vx, me.vy)
    passing = to_open * me.vx * me.open + down * me.vy < 0.0 and speed > AT_SPEED
    if passing and far > RUN_ON:
        cue = NOT_YET  # too far: turn, and run it again
    elif passing or (far < THERE and speed > AT_SPEED):
        to_open, down = me.vx * me.open, me.vy
    elif far < THERE:
        away_x, away_y = away_from_cover(me)
        to_open, down = away_x * me.open, away_y
    return sprint(me, to_open, down, pace, cue)


def round_the_disc(me: Any, x: float, y: float) -> tuple[float, float]:
    """A place, or on a way to it that would run into thrower and mark the place that goes round.

    In front of the mark to a place downfield of the disc, else behind the thrower.
    """
    way_x, way_y = unit(x - me.x, y - me.y)
    disc_x, disc_y = me.disc_x - me.x, me.disc_y - me.y
    ahead = disc_x * way_x + disc_y * way_y
    aside = abs(disc_x * way_y - disc_y * way_x)
    if aside > CROSSING or ahead < 0.0 or ahead > length(x - me.x, y - me.y):
        return x, y
    return me.disc_x, me.disc_y + (ROUND if y > me.disc_y else -ROUND)


def away_from_cover(me: Any) -> tuple[float, float]:
    """The unit vector away from the nearest defender but the mark; straight back with none near."""
    near = nearest_defender(me, me.x, me.y, 4.0, me.mark)
    if near < 0:
        return 0.0, -1.0
    return unit(me.x - me.seen[near].x, me.y - me.seen[near].y)


@dataclass(frozen=True)
class Dump(ToSpot):
    """Dump: a few metres behind the disc and to the side; safe, gives up ground."""

    wide: float = setting(4.0, low=0.0, high=25.0, unit="m", source="common practice")
    back: float = setting(
        3.5, low=-5.0, high=15.0, unit="m", source="3-4 m behind, common practice"
    )


@dataclass(frozen=True)
class Swing(ToSpot):
    """Swing: across to the handler on the open side, who steps back for it."""

    wide: float = setting(10.0, low=2.0, high=25.0, unit="m", source="handlers 9-12 m apart")
    back: float = setting(2.0, low=-5.0, high=10.0, unit="m")
    side: str = setting("open", choices=SIDES)


@dataclass(frozen=True)
class Around(ToSpot):
    """Around: into the break side, level with the disc or in front, thrown around the mark."""

    wide: float = setting(7.0, low=1.0, high=25.0, unit="m")
    back: float = setting(-1.0, low=-10.0, high=10.0, unit="m")
    side: str = setting("break", choices=SIDES)


@dataclass(frozen=True)
class UpLine(Cut):
    """Up the line: from beside the disc straight downfield, along the sideline of that side."""

    lasts: float = setting(3.0, low=0.5, high=20.0, unit="s")
    depth: float = setting(8.0, low=1.0, high=40.0, unit="m", doc="downfield of the disc")
    wide: float = setting(
        3.5, low=0.0, high=15.0, unit="m", doc="at least so far to the side of the disc"
    )
    side: str = setting("own", choices=SIDES)

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Downfield in the own lane or further out, never inward; thrown level with the disc or past it.

        A few metres past `depth` it is over, and the runner comes back: a long throw along the line
        is another matter.
        """
        side = side_of(me, s.side)
        wide = max(s.wide, side * me.to_open)
        x, y = at_disc(me, side * wide, me.down + 6.0)
        room = me.half_width - 2.0
        x = min(max(x, -room), room)
        way_x, way_y = unit(x - me.x, y - me.y)
        ux, uy = bend_into(me, way_x, way_y, me.top * s.pace)
        if me.down > s.depth:
            ux, uy = bend_into(me, 0.0, 1.0, me.top * s.pace)
        level = me.down / me.vy if me.vy > 0.4 * me.top else NOT_YET
        if me.down > s.depth + RUN_ON:
            ux, uy, level = 0.0, -me.top * s.pace, NOT_YET
        return cut(ux, uy, level)


@dataclass(frozen=True)
class GiveAndGo(UpLine):
    """Give and go: the one who has just thrown runs past the new thrower for the disc back."""

    wide: float = setting(2.5, low=0.0, high=15.0, unit="m")


@dataclass(frozen=True)
class Stand(Cut):
    """Stand: the receiver stays near the spot, shuffles into the free side and shows a hand."""

    lasts: float = setting(20.0, low=0.5, high=20.0, unit="s")

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Back to the spot, or a step aside from whoever is close; still once it is thrown."""
        if me.receiver == me.slot:
            return towards(me, me.to_open, me.down, s.pace, me.since)
        x, y = me.spots[me.slot, 0], me.spots[me.slot, 1]
        way_x, way_y = unit(me.disc_x - x, me.disc_y - y)
        near, aside = SHUFFLE, 0.0
        for q in range(me.attackers, me.everybody):
            dx, dy = me.seen[q].x - x, me.seen[q].y - y
            far = length(dx, dy)
            if far < near:
                near = far
                aside = SHUFFLE - far if dx * way_y - dy * way_x < 0.0 else far - SHUFFLE
        x, y = x + aside * way_y, y - aside * way_x
        return towards(me, (x - me.disc_x) * me.open, y - me.disc_y, 0.7 * s.pace, me.since)


@dataclass(frozen=True)
class Pop(Cut):
    """Pop: into the gap behind the cup or the mark, and straight on if it is not thrown."""

    lasts: float = setting(2.5, low=0.5, high=20.0, unit="s")
    wide: float = setting(3.0, low=-15.0, high=15.0, unit="m", doc="of the gap, to the open side")
    depth: float = setting(8.0, low=1.0, high=25.0, unit="m", doc="of the gap, downfield")

    @staticmethod
    def decide(me: Any, s: Any) -> Intent:
        """Toward the gap at speed, thrown as the cutter comes into it."""
        to_open, down = s.wide - me.to_open, s.depth - me.down
        far = length(to_open, down)
        if far < 1.0:
            to_open, down = me.vx * me.open, me.vy
        return sprint(me, to_open, down, s.pace, 1.0 - far / 4.0)
