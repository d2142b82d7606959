"""The mark: which lines its body and arms stop, and which they only bother.

A disc that passes within the mark's quick reach is stopped more often than not; further out, to
the end of a stretched arm and a slide, the thrower is hurried and the throw errs more. Trade
practice for size: a good mark stops about 90 degrees and bothers 45 to 60 degrees more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.settings import check_settings, setting


@dataclass(frozen=True)
class MarkBody:
    """How far a mark reaches, and what that does to a throw."""

    stop_at_body: float = setting(
        0.85, low=0.0, high=1.0, unit="", doc="chance to stop a line through the mark's chest"
    )
    body: float = setting(
        0.30, low=0.1, high=0.6, unit="m", doc="half width of chest and shoulders"
    )
    stretch: float = setting(
        0.80,
        low=0.4,
        high=1.2,
        unit="m",
        source="stops about 90 degrees from 1.1 m: 1.1 sin(45 deg) = 0.78, common practice",
        doc="furthest line that a hand still stops",
    )
    bother: float = setting(
        1.10,
        low=0.5,
        high=2.0,
        unit="m",
        source="bothers 45-60 degrees more: 1.1 sin(70 deg) = 1.03, common practice",
        doc="furthest line that a hand still bothers",
    )
    hurry: float = setting(
        0.7, low=0.0, high=3.0, unit="", doc="errors of a throw fully bothered grow by this share"
    )
    slide: float = setting(
        2.0, low=0.0, high=4.0, unit="m/s", doc="shuffle toward the side of the wind-up"
    )
    bite: float = setting(
        0.20, low=0.0, high=1.0, unit="", doc="chance to slide the wrong way, for a fake"
    )
    over_reach: float = setting(
        0.45, low=0.0, high=1.0, unit="", doc="share of the stopping left for a throw over the top"
    )
    over_price: float = setting(
        1.5, low=1.0, high=3.0, unit="", doc="errors of a throw over the top, times"
    )
    passed: float = setting(
        0.45, low=0.0, high=1.0, unit="m", doc="extra room of a line that starts beyond the mark"
    )

    def __post_init__(self) -> None:
        check_settings(self)
        for far, near in (("stretch", "body"), ("bother", "stretch")):
            if getattr(self, far) <= getattr(self, near):
                raise ValueError(
                    f"{far} is {getattr(self, far):g} m; it must be more than {near}, "
                    f"{getattr(self, near):g} m"
                )


def release_point(
    place: np.ndarray, aim: np.ndarray, side: np.ndarray, pivot: np.ndarray
) -> np.ndarray:
    """Where the disc leaves the hand: a lunge to `side` and half a lunge forward.

    Parameters
    ----------
    place, aim : (..., 2) thrower and target, m.
    side : (...) +1 releases to the right of the line to the target, -1 to the left.
    pivot : (...) reach of the lunge, m.
    """
    dx, dy = _towards(place, aim)
    across, along = side * pivot * (0.75**0.5), pivot * 0.5
    return np.stack(
        [place[..., 0] + along * dx + across * dy, place[..., 1] + along * dy - across * dx],
        axis=-1,
    )


def clearance(release: np.ndarray, aim: np.ndarray, mark: np.ndarray, body: MarkBody) -> np.ndarray:
    """How far the line of a throw passes from the mark's chest, m, (...).

    A line that leaves the mark behind from the start gets some room added for that.
    """
    dx, dy = _towards(release, aim)
    mx, my = mark[..., 0] - release[..., 0], mark[..., 1] - release[..., 1]
    along = mx * dx + my * dy
    across = np.abs(mx * dy - my * dx)
    behind = np.minimum(along, 0.0)
    near = np.sqrt(across * across + behind * behind)
    return near + body.passed * np.clip(-along / 0.3, 0.0, 1.0)


def stop_chance(room: np.ndarray, over: np.ndarray, body: MarkBody) -> np.ndarray:
    """Chance that the mark's hand stops a line with `room` metres of clearance, (...)."""
    share = np.clip((body.stretch - room) / (body.stretch - body.body), 0.0, 1.0)
    smooth = share * share * (3.0 - 2.0 * share)
    return body.stop_at_body * smooth * np.where(over, body.over_reach, 1.0)


def pressure(room: np.ndarray, body: MarkBody) -> np.ndarray:
    """How much the mark bothers such a line: 0 not at all, 1 fully, (...)."""
    return np.clip((body.bother - room) / (body.bother - 0.5 * body.stretch), 0.0, 1.0)


def slid(
    mark: np.ndarray,
    release: np.ndarray,
    aim: np.ndarray,
    time: np.ndarray,
    bites: np.ndarray,
    body: MarkBody,
) -> np.ndarray:
    """Where the mark's chest is at release, after sliding `time` s toward the line, or off it."""
    dx, dy = _towards(release, aim)
    mx, my = mark[..., 0] - release[..., 0], mark[..., 1] - release[..., 1]
    across = mx * dy - my * dx  # + : the mark stands to the right of the line
    way = body.slide * np.maximum(time, 0.0)
    way = np.where(bites, -0.5 * way, np.minimum(way, np.abs(across)))
    shift = -np.sign(across) * way
    return np.stack([mark[..., 0] + shift * dy, mark[..., 1] - shift * dx], axis=-1)


def covered_sector(
    thrower: np.ndarray, mark: np.ndarray, body: MarkBody
) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest bearing (rad from +y, + right) that the mark stops for the thrower."""
    mx, my = mark[..., 0] - thrower[..., 0], mark[..., 1] - thrower[..., 1]
    distance = np.maximum(np.sqrt(mx * mx + my * my), 1e-9)
    half = np.arcsin(np.clip(body.stretch / distance, 0.0, 1.0))
    middle = np.arctan2(mx, my)
    return middle - half, middle + half


def _towards(start: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    dx, dy = end[..., 0] - start[..., 0], end[..., 1] - start[..., 1]
    length = np.maximum(np.sqrt(dx * dx + dy * dy), 1e-9)
    return dx / length, dy / length
