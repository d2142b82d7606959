"""The playing field: sizes by standard, lines, zones and brick marks.

Metres. x is lateral, 0 on the long axis, positive to the right of a player who faces the attacked
end zone; y is downfield, 0 on the defended goal line. The offence attacks +y.

Rule numbers are those of the WFDF Rules of Ultimate 2021-24.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.settings import check_settings, setting

YARD = 0.9144
FOOT = 0.3048

_RULES = "WFDF Rules of Ultimate 2021-24"


@dataclass(frozen=True)
class Field:
    """A field of play and the counts that go with it.

    Raises
    ------
    ValueError
        If a size is outside its allowed range.
    """

    length: float = setting(
        64.0, low=10, high=150, unit="m", source=f"{_RULES}, 2.1", doc="between the goal lines"
    )
    width: float = setting(37.0, low=8, high=100, unit="m", source=f"{_RULES}, 2.1")
    end_zone: float = setting(
        18.0, low=2, high=40, unit="m", source=f"{_RULES}, 2.1", doc="depth of each end zone"
    )
    players: int = setting(7, low=1, high=11, unit="players a side", source=f"{_RULES}, 5.1")
    stall: int = setting(
        10, low=3, high=20, unit="count", source=f"{_RULES}, 9.1, 13.2.2", doc="out at this number"
    )
    stall_radius: float = setting(
        3.0, low=1, high=6, unit="m", source=f"{_RULES}, 9.3", doc="how near a marker must be"
    )
    name: str = "own size"

    def __post_init__(self) -> None:
        check_settings(self)
        for count in ("players", "stall"):
            value = getattr(self, count)
            if value != int(value):
                raise ValueError(f"{count} is {value:g}; it must be a whole number")

    @property
    def half_width(self) -> float:
        """Distance from the long axis to a sideline, m."""
        return self.width / 2

    @property
    def goal_line(self) -> float:
        """y of the attacked goal line, m; the defended one is at 0."""
        return self.length

    @property
    def back_lines(self) -> tuple[float, float]:
        """y of the back line of the defended and of the attacked end zone, m."""
        return -self.end_zone, self.length + self.end_zone

    @property
    def brick_points(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The brick marks before the defended and before the attacked goal line (rule 2.5).

        Each lies on the long axis, as far in from its goal line as an end zone is deep.
        """
        return (0.0, self.end_zone), (0.0, self.length - self.end_zone)

    def in_bounds(self, x: ArrayLike, y: ArrayLike) -> NDArray[np.bool_]:
        """Whether a point is in bounds; the perimeter lines themselves are out (rule 2.3)."""
        low, high = self.back_lines
        x, y = np.asarray(x), np.asarray(y)
        return (np.abs(x) < self.half_width) & (y > low) & (y < high)

    def in_end_zone(self, x: ArrayLike, y: ArrayLike) -> NDArray[np.bool_]:
        """Whether a point is in the attacked end zone.

        The goal line belongs to the central zone (rule 2.4), and a goal needs the first ground
        contacts wholly in the end zone (rule 14.1), so a point on the line does not count.
        """
        return self.in_bounds(x, y) & (np.asarray(y) > self.goal_line)

    def sideline_distance(self, x: ArrayLike) -> NDArray[np.float64]:
        """Distance to the nearer sideline, m; negative outside it."""
        return self.half_width - np.abs(np.asarray(x, dtype=float))

    def where_crossed(
        self, x0: ArrayLike, y0: ArrayLike, x1: ArrayLike, y1: ArrayLike
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Where the straight path from (x0, y0) to (x1, y1) leaves the field.

        A player who catches in bounds and is carried out pivots there (rule 11.3.2.1).

        Returns
        -------
        x, y : the crossing on the perimeter, broadcast shape of the inputs; the start itself if
            that is out already; NaN where the path stays in bounds.
        """
        x0, y0, x1, y1 = np.broadcast_arrays(
            *(np.asarray(a, dtype=float) for a in (x0, y0, x1, y1))
        )
        low, high = self.back_lines
        side = np.copysign(self.half_width, x1 - x0)
        back = np.where(y1 >= y0, high, low)
        to_side = _share(x0, x1, side)
        to_back = _share(y0, y1, back)
        first = np.minimum(np.minimum(to_side, to_back), 1.0)
        x = np.where(to_side <= to_back, side, x0 + first * (x1 - x0))
        y = np.where(to_back <= to_side, back, y0 + first * (y1 - y0))
        out_already = ~self.in_bounds(x0, y0)
        stays = ~out_already & self.in_bounds(x1, y1)
        x = np.where(out_already, x0, np.where(stays, np.nan, x))
        y = np.where(out_already, y0, np.where(stays, np.nan, y))
        return x, y


def _share(start: NDArray, end: NDArray, line: NDArray) -> NDArray[np.float64]:
    """Which share of the way from `start` to `end` lies before `line`; 2 if the end is too."""
    crosses = (end != start) & (np.abs(end - start) >= np.abs(line - start))
    return np.where(crosses, (line - start) / np.where(crosses, end - start, 1.0), 2.0)


FIELDS: dict[str, Field] = {
    # Rules 2.1, 2.5, 5.1, 9.1 and 9.3: 100 m over all, 18 m end zones.
    "wfdf": Field(64.0, 37.0, 18.0, 7, 10, 3.0, "wfdf"),
    # USA Ultimate Official Rules: 110 x 40 yd over all, 20 yd end zones, a marker within 10 ft.
    "usau": Field(70 * YARD, 40 * YARD, 20 * YARD, 7, 10, 10 * FOOT, "usau"),
    # WFDF beach 5-a-side: 75 x 25 m over all, 15 m end zones.
    "beach": Field(45.0, 25.0, 15.0, 5, 10, 3.0, "beach"),
    # EUF indoor: 40 x 20 m over all, 6 m end zones, stall of 8.
    "indoor": Field(28.0, 20.0, 6.0, 5, 8, 3.0, "indoor"),
}


def named(name: str) -> Field:
    """The field of a standard, by name: "wfdf", "usau", "beach" or "indoor".

    Raises
    ------
    ValueError
        If there is no standard of that name.
    """
    if name not in FIELDS:
        raise ValueError(f"no field is called {name!r}; there are {', '.join(FIELDS)}")
    return FIELDS[name]
