"""The throws and shapes a thrower can choose, in plain physical terms.

flat        level on the average of the flight: tilted at first, so that turning over early and
            fading late even out; thrown at the natural speed for the distance.
inside-out  as hard, but the outer edge lower than level by a set angle on the average of the
            flight: starts inside, curves out to the side of the body it was thrown from.
outside-in  the same with the outer edge higher: starts outside, curves in.
floated     level like the flat throw, but hardly faster than gets there: higher, later.

All are held so that the lift carries the weight at the airspeed of release, up to a greatest angle
of attack: a slow disc nose up, a fast one or one thrown into the wind nose down.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from sim.settings import check_settings, setting

THROWS = ("backhand", "forehand")
SHAPES = ("flat", "inside-out", "outside-in", "floated")
BACKHAND, FOREHAND = range(2)
FLAT, INSIDE_OUT, OUTSIDE_IN, FLOATED = range(4)

# Seen from above a right-hander's backhand turns clockwise, the forehand the other way.
SPIN_SIGN = (-1.0, 1.0)

# The side of the body a throw comes from: left for a right-hander's backhand. With its outer edge
# low the disc leans to that side, and curves there.
OUTER_SIDE = (-1.0, 1.0)

_LEAN = (0.0, 1.0, -1.0, 0.0)


@dataclasses.dataclass(frozen=True)
class ThrowSettings:
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
    float_speed: float = setting(
        7.0, low=4.0, high=15.0, unit="m/s",
        source="judgement: a little more than the least speed that gets there, by the model",
        doc="release speed for a floated throw of no length",
    )  # fmt: skip
    float_gain: float = setting(
        0.32, low=0.0, high=1.0, unit="1/s",
        source="judgement: a little more than the least speed that gets there, by the model",
        doc="release speed added per metre of distance, floated throws",
    )  # fmt: skip
    headwind_gain: float = setting(
        0.5, low=0.0, high=1.0, unit="",
        source="common practice: harder into the wind; the size is judgement",
        doc="release speed added per speed of a wind in the face",
    )  # fmt: skip
    tailwind_gain: float = setting(
        0.35, low=0.0, high=1.0, unit="",
        source="judgement: a wind from behind takes lift, and a slow throw would drop",
        doc="release speed added per speed of a wind from behind, floated throws",
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

    def __post_init__(self) -> None:
        check_settings(self)

    def speed(self, shape: Any, distance: Any, wind_along: Any = 0.0) -> Any:
        """Natural release speed (m/s) of a shape (code) over a distance (m) in a wind (m/s)."""
        wind_along = np.asarray(wind_along, float)
        against, behind = np.maximum(-wind_along, 0.0), np.maximum(wind_along, 0.0)
        firm = self.short_speed + self.speed_gain * distance
        soft = self.float_speed + self.float_gain * distance + self.tailwind_gain * behind
        wanted = np.where(np.equal(shape, FLOATED), soft, firm) + self.headwind_gain * against
        return np.minimum(wanted, self.top_speed)

    def spin(self, throw: Any, speed: Any) -> Any:
        """Signed spin (rad/s) of a right-hander's throw (code) at a release speed (m/s)."""
        ratio = np.asarray([self.backhand_spin, self.forehand_spin])[throw]
        size = np.maximum(ratio * speed, self.least_spin)
        return np.asarray(SPIN_SIGN)[throw] * size

    def lean(self, throw: Any, shape: Any) -> Any:
        """Mean tilt over the flight, to the right, as the sine of an angle; codes in."""
        return (
            np.asarray(_LEAN)[shape] * np.asarray(OUTER_SIDE)[throw] * np.sin(np.radians(self.tilt))
        )
