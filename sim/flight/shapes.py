"""The throws and shapes a thrower can choose, in plain physical terms.

flat        level on the average of the flight: tilted at first, against the turning over that
            follows; thrown at the natural speed for the distance, softly over a few metres.
inside-out  as hard, but the outer edge lower than level by a set angle on the average of the
            flight: starts inside, curves out to the side of the body it was thrown from.
outside-in  the same with the outer edge higher: starts outside, curves in.
floated     outside-in, and from 12 m on lofted (less below, under 4 m not): at three quarters of
            its way it is still at a set height, above the reach of a defender who trails the
            receiver, and comes down from there. Its speed is found with the other numbers of the
            release. Level on the average it could not be lofted into a wind: it would turn over.

All are held so that the lift carries the weight at the airspeed of release, up to a greatest angle
of attack: a slow disc nose up, a fast one or one thrown into the wind nose down.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from sim.settings import Checked, setting

THROWS = ("backhand", "forehand")
SHAPES = ("flat", "inside-out", "outside-in", "floated")
BACKHAND, FOREHAND = range(2)
FLAT, INSIDE_OUT, OUTSIDE_IN, FLOATED = range(4)

# Seen from above a right-hander's backhand turns clockwise, the forehand the other way.
SPIN_SIGN = (-1.0, 1.0)

# The side of the body a throw comes from: left for a right-hander's backhand. With its outer edge
# low the disc leans to that side, and curves there.
OUTER_SIDE = (-1.0, 1.0)

_LEAN = (0.0, 1.0, -1.0, -1.0)


@dataclasses.dataclass(frozen=True)
class ThrowSettings(Checked):
    """How hard, how fast spinning, how tilted and from where a disc is thrown."""

    release_height: float = setting(
        1.0, low=0.3, high=2.2, unit="m", source="common practice: about hip height"
    )
    catch_height: float = setting(
        1.2, low=0.3, high=2.5, unit="m", source="common practice: about chest height"
    )
    short_speed: float = setting(
        11.0, low=6.0, high=20.0, unit="m/s",
        source="judgement, in the working range of 10-25 m/s (memory)",
        doc="release speed for a throw of no length",
    )  # fmt: skip
    speed_gain: float = setting(
        0.3, low=0.0, high=1.0, unit="1/s",
        source="judgement: 14 m/s at 10 m, the top speed at 47 m",
        doc="release speed added per metre of distance",
    )  # fmt: skip
    touch: float = setting(
        8.0, low=0.0, high=10.0, unit="m/s",
        source="judgement: short passes are thrown softly, 6 m/s at 3 m, 8 at 5 m, 10 at 8 m; "
        "the working range of 10-25 m/s (memory) is of full throws",
        doc="release speed taken off a throw of no length, less for longer ones",
    )  # fmt: skip
    touch_range: float = setting(
        20.0, low=5.0, high=30.0, unit="m", source="judgement",
        doc="distance from which throws are at full speed",
    )  # fmt: skip
    touch_wind: float = setting(
        20.0, low=2.0, high=30.0, unit="m/s",
        source="judgement: a soft throw drops in a wind from behind, so it is thrown firmly",
        doc="wind of any direction from which short throws have no touch, in proportion below",
    )  # fmt: skip
    hang_gain: float = setting(
        0.2, low=0.05, high=0.4, unit="m/m",
        source="judgement: from 12 m on above a hand at 2.8-3.2 m, a reach of 2.3 m and a jump",
        doc="height above the catch of a floated throw at three quarters of its way, per metre",
    )  # fmt: skip
    hang_most: float = setting(
        2.4, low=0.5, high=6.0, unit="m",
        source="judgement: as above; more would stay longer in the air than a throw of a game",
        doc="most height above the catch of a floated throw at three quarters of its way",
    )  # fmt: skip
    hang_wind: float = setting(
        10.0, low=5.0, high=40.0, unit="m/s",
        source="what the model can do: in a wind a lofted disc is carried off or turned over",
        doc="wind of any direction that halves hang_gain",
    )  # fmt: skip
    under_wind: float = setting(
        12.0, low=4.0, high=40.0, unit="m/s",
        source="judgement: the tilt is into the wind in a strong one",
        doc="wind under the raised edge in which a floated throw is held level",
    )  # fmt: skip
    headwind_gain: float = setting(
        0.5, low=0.0, high=1.0, unit="",
        source="common practice: harder into the wind; the size is judgement",
        doc="release speed added per speed of a wind in the face",
    )  # fmt: skip
    top_speed: float = setting(
        25.0, low=12.0, high=35.0, unit="m/s", source="working range of 10-25 m/s (memory)"
    )
    backhand_spin: float = setting(
        4.0, low=2.0, high=8.0, unit="rad/m",
        source="50-100 rad/s at 10-25 m/s (memory)",
        doc="spin per speed of release",
    )  # fmt: skip
    forehand_spin: float = setting(
        3.4, low=2.0, high=8.0, unit="rad/m",
        source="less than the backhand (Winograd & Engsberg); the size is judgement",
        doc="spin per speed of release",
    )  # fmt: skip
    least_spin: float = setting(
        50.0, low=20.0, high=80.0, unit="rad/s", source="spin 50-100 rad/s (memory)"
    )
    tilt: float = setting(
        20.0, low=5.0, high=40.0, unit="deg", source="judgement",
        doc="mean tilt of inside-out and outside-in throws",
    )  # fmt: skip
    most_attack: float = setting(
        10.0, low=0.0, high=20.0, unit="deg", source="judgement: near the trim angle",
        doc="greatest angle of attack at release",
    )  # fmt: skip

    def speed(self, distance: Any, wind_along: Any = 0.0, wind_across: Any = 0.0) -> Any:
        """Natural release speed (m/s) over a distance (m) in a wind (m/s); of all but floated."""
        distance = np.asarray(distance, float)
        against = np.maximum(-np.asarray(wind_along, float), 0.0)
        short = np.maximum(1.0 - distance / self.touch_range, 0.0)
        wind = np.hypot(wind_along, wind_across)
        soft = self.touch * short * short * np.maximum(1.0 - wind / self.touch_wind, 0.0)
        against = self.headwind_gain * against * (1.0 - short * short)
        firm = self.short_speed + self.speed_gain * distance + against
        return np.minimum(firm - soft, self.top_speed)

    def hang(self, distance: Any, wind_along: Any = 0.0, wind_across: Any = 0.0) -> Any:
        """Height (m) of a floated throw at three quarters of its way (distance in m, winds m/s)."""
        wind = np.hypot(wind_along, wind_across) / self.hang_wind
        rise = self.hang_gain / (1.0 + wind * wind) * np.asarray(distance, float)
        return self.catch_height + np.minimum(rise, self.hang_most)

    def lofted(self, distance: Any) -> Any:
        """Share by which a floated throw over a distance (m) is thrown for height, not for speed.

        None under 4 m, where there is no time to loft it: there it is a soft outside-in throw.
        """
        return np.clip((np.asarray(distance, float) - 4.0) / 8.0, 0.0, 1.0)

    def spin(self, throw: Any, speed: Any) -> Any:
        """Signed spin (rad/s) of a right-hander's throw (code) at a release speed (m/s)."""
        ratio = np.asarray([self.backhand_spin, self.forehand_spin])[throw]
        size = np.maximum(ratio * speed, self.least_spin)
        return np.asarray(SPIN_SIGN)[throw] * size

    def lean(self, throw: Any, shape: Any, wind_along: Any = 0.0, wind_across: Any = 0.0) -> Any:
        """Mean tilt over the flight, to the right, as the sine of an angle; codes, winds in m/s.

        A floated throw would be carried off by a wind under its raised edge, so it is held the
        flatter to that the stronger it is; not so in a wind in the face, where it would turn over.
        """
        side = np.asarray(OUTER_SIDE)[throw]
        under = np.maximum(-side * wind_across, 0.0) * np.clip(1.0 + wind_along / 6.0, 0.0, 1.0)
        flatter = np.where(np.equal(shape, FLOATED), 1.0 - under / self.under_wind, 1.0)
        return np.asarray(_LEAN)[shape] * side * flatter * np.sin(np.radians(self.tilt))
