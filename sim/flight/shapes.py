"""The throws and shapes a thrower can choose, in plain physical terms."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from sim.settings import check_settings, setting

THROWS = ("backhand", "forehand")
SHAPES = ("flat", "inside-out", "outside-in", "floated")

# Seen from above a right-hander's backhand turns clockwise, the forehand the other way.
SPIN_SIGN = (-1.0, 1.0)

# A disc with its outer edge low curves out to the side of the body it was thrown from: left for a
# right-hander's backhand, right for the forehand. Sign of the bank (+ is right edge down).
OUTER_EDGE_LOW = (-1.0, 1.0)


@dataclasses.dataclass(frozen=True)
class ThrowSettings:
    """How hard, how fast spinning and from where a disc is thrown."""

    release_height: float = setting(
        1.0, low=0.3, high=2.2, unit="m", source="common practice: about hip height"
    )
    catch_height: float = setting(
        1.2, low=0.3, high=2.5, unit="m", source="common practice: about chest height"
    )
    short_speed: float = setting(
        11.0, low=6.0, high=20.0, unit="m/s",
        source="judgement, in the published working range of 10-25 m/s (memory)",
        doc="release speed for a throw of no length",
    )  # fmt: skip
    speed_gain: float = setting(
        0.3, low=0.0, high=1.0, unit="1/s",
        source="judgement: 14 m/s at 10 m, the top speed at 47 m",
        doc="release speed added per metre of distance",
    )  # fmt: skip
    top_speed: float = setting(
        25.0, low=12.0, high=35.0, unit="m/s", source="working release speeds 10-25 m/s (memory)"
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
    bank: float = setting(
        15.0, low=5.0, high=40.0, unit="deg", source="judgement",
        doc="bank of inside-out and outside-in throws beyond that of the flat throw",
    )  # fmt: skip
    float_speed: float = setting(
        6.8, low=4.0, high=20.0, unit="m/s",
        source="judgement: hardly more than the least speed that gets there, by the model",
        doc="release speed for a floated throw of no length",
    )  # fmt: skip
    float_gain: float = setting(
        0.315, low=0.0, high=1.0, unit="1/s",
        source="judgement: hardly more than the least speed that gets there, by the model",
        doc="release speed added per metre of distance, floated throws",
    )  # fmt: skip
    headwind_gain: float = setting(
        0.5, low=0.0, high=1.0, unit="",
        source="judgement; common practice: throw harder into the wind",
        doc="release speed added per speed of a wind in the face",
    )  # fmt: skip
    most_attack: float = setting(
        10.0, low=0.0, high=20.0, unit="deg", source="judgement, near the trim angle",
        doc="greatest angle of attack at release",
    )  # fmt: skip

    def __post_init__(self) -> None:
        check_settings(self)

    def speed(self, shape: int, distance: Any, wind_along: Any = 0.0) -> Any:
        """Natural release speed (m/s) of a shape (code) over a distance (m), in a wind (m/s)."""
        slow = shape == SHAPES.index("floated")
        base = self.float_speed if slow else self.short_speed
        gain = self.float_gain if slow else self.speed_gain
        against = np.maximum(-np.asarray(wind_along, float), 0.0)
        wanted = base + gain * np.asarray(distance, float) + self.headwind_gain * against
        return np.minimum(wanted, self.top_speed)

    def spin(self, throw: Any, speed: Any) -> Any:
        """Signed spin (rad/s) of a right-hander's throw (code) at a release speed (m/s)."""
        ratio = np.asarray([self.backhand_spin, self.forehand_spin])[throw]
        size = np.maximum(ratio * speed, self.least_spin)
        return np.asarray(SPIN_SIGN)[throw] * size
