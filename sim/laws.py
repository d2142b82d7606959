"""Judgements about bodies, eyes, hands and throws that hold for everybody in a play.

What one player can do better than another is in `sim.ability`. Each group here is a settings
dataclass; `write_laws` makes of them the numbers that the kernels take.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.settings import Checked, number_of, record_type, setting

_FEINT = "with the turn back it costs about 0.5 s (Henry 2012, J Sports Sci)"


@dataclass(frozen=True)
class Eyes(Checked):
    """What is seen of a runner, of a call and of a disc, and how late."""

    moving: float = setting(1.0, low=0.2, high=3.0, unit="m/s", doc="slower than this is standing")
    closing_in: float = setting(
        0.6, low=0.0, high=3.0, unit="", doc="seconds of lag lost per second of watching a run"
    )
    drifting_off: float = setting(
        0.15, low=0.0, high=3.0, unit="", doc="seconds of lag regained per second of rest"
    )
    wrong_step: float = setting(
        0.30, low=0.0, high=1.0, unit="s", source=_FEINT, doc="how long a misread lasts"
    )
    recent: float = setting(
        1.0, low=0.0, high=5.0, unit="s", doc="a start this soon after another is a second stimulus"
    )
    on_man: float = setting(
        0.85, low=0.5, high=1.0, unit="", doc="delay of a cover with eyes on the man alone, times"
    )
    disc_unseen: float = setting(
        0.40,
        low=0.0,
        high=1.5,
        unit="s",
        doc="later notice of a throw with the eyes on the man alone",
    )
    hear: float = setting(
        0.25, low=0.0, high=1.0, unit="s", source="simple reaction 0.2 s (Woods 2015) and a decision",
        doc="from a call to the first step",
    )  # fmt: skip
    hear_spread: float = setting(
        0.10, low=0.0, high=0.5, unit="s", doc="sd of that, one-sided: nobody goes early"
    )
    flight_error: float = setting(
        0.30, low=0.0, high=1.5, unit="m/s",
        doc="misjudged place of a disc per second that it still has to fly, sd along each axis",
    )  # fmt: skip
    flight_timing: float = setting(
        0.05, low=0.0, high=0.3, unit="",
        doc="misjudged time to the disc, relative, sd",
    )  # fmt: skip


@dataclass(frozen=True)
class Legs(Checked):
    """Bodies that take up room, and hips that have to turn."""

    apart: float = setting(
        0.6, low=0.2, high=1.0, unit="m", doc="from middle to middle of two bodies that touch"
    )
    round_room: float = setting(
        0.25, low=0.0, high=1.0, unit="m", doc="room kept beyond that by a runner who goes round"
    )
    round_ahead: float = setting(
        0.5, low=0.0, high=1.5, unit="s", doc="how far ahead a runner sees somebody in the way"
    )
    turn_rate: float = setting(
        420.0, low=90.0, high=1000.0, unit="deg/s", doc="turning of the hips: 180 degrees in 0.43 s"
    )
    backward: float = setting(
        0.60, low=0.3, high=1.0, unit="",
        source="backward running at about 60-70 % of forward speed (memory)",
        doc="speed straight backward, relative",
    )  # fmt: skip
    brake: float = setting(
        0.20, low=0.05, high=1.0, unit="s", doc="in which a player with the disc wants to stand"
    )
    ready_after: float = setting(
        0.30, low=0.0, high=2.0, unit="s", doc="from a catch until the next wind-up may start"
    )
    ready_below: float = setting(
        3.0, low=0.5, high=9.0, unit="m/s", doc="no wind-up while still faster than this"
    )


@dataclass(frozen=True)
class MarkBody(Checked):
    """How far a mark reaches, how fast, and what that does to a throw."""

    arm: float = setting(
        0.75, low=0.4, high=1.2, unit="m", source="shoulder to hand, anthropometry",
        doc="how far beside the chest a stretched hand gets",
    )  # fmt: skip
    lunge: float = setting(
        3.0, low=0.0, high=8.0, unit="m/s", doc="speed of that hand, a step with it"
    )
    hand: float = setting(
        0.16, low=0.05, high=0.4, unit="m", doc="a disc whose middle passes the hand by this is hit"
    )
    stop: float = setting(
        0.80,
        low=0.0,
        high=1.0,
        unit="",
        doc="chance that a disc through the middle of a hand stops",
    )
    bother: float = setting(
        0.55, low=0.1, high=1.5, unit="m", doc="furthest from the hand that a throw is bothered"
    )
    hurry: float = setting(
        0.7, low=0.0, high=3.0, unit="", doc="errors of a throw fully bothered grow by this share"
    )
    low_hand: float = setting(
        0.5, low=0.0, high=1.0, unit="m", source="judgement", doc="lowest that the hands work well"
    )
    high_hand: float = setting(
        1.7, low=1.0, high=2.4, unit="m", source="judgement", doc="highest that they do"
    )
    bite: float = setting(
        0.30, low=0.0, high=1.0, unit="", doc="chance that a fake is taken for a throw"
    )
    recover: float = setting(
        0.35, low=0.0, high=1.5, unit="s", doc="the mark's arm stays out after a fake bitten on"
    )


@dataclass(frozen=True)
class Release(Checked):
    """How a throw leaves the hand, and what makes it go wrong."""

    pivot_speed: float = setting(
        2.0,
        low=0.5,
        high=8.0,
        unit="m/s",
        source="judgement: a full step out and a throw take about half a second",
        doc="how fast a pivot brings the disc out",
    )
    off_balance: float = setting(
        0.12, low=0.0, high=1.0, unit="s/m", doc="share added to the errors per m/s still moving"
    )
    gust: float = setting(
        0.06, low=0.0, high=0.5, unit="s/m", doc="share added to the errors per m/s of wind"
    )
    slip_size: float = setting(
        4.0, low=1.0, high=10.0, unit="", doc="errors of a throw that slips, times"
    )
    over_price: float = setting(
        1.5, low=1.0, high=4.0, unit="", doc="errors of a throw released high, times"
    )
    low_price: float = setting(
        1.2, low=1.0, high=4.0, unit="", doc="errors of a throw released low, times"
    )
    hand_over: float = setting(
        1.5,
        low=0.5,
        high=3.0,
        unit="m",
        doc="a pass to nearer than this is handed over, not thrown",
    )


@dataclass(frozen=True)
class Hands(Checked):
    """How bodies and hands decide a disc in the air."""

    plays_if_late: float = setting(
        0.30, low=0.0, high=1.0, unit="s",
        doc="the receiver's defender goes for a disc missed by less than this",
    )  # fmt: skip
    replan: float = setting(
        0.10, low=0.05, high=0.5, unit="s", doc="between two looks at where to meet the disc"
    )
    closing: float = setting(
        6.0, low=2.0, high=12.0, unit="m/s", doc="speed of a hand toward the disc, body included"
    )
    timing: float = setting(
        0.06, low=0.01, high=0.3, unit="s", doc="sd of the difference of two hands' timing"
    )
    rival_room: float = setting(
        0.5, low=0.0, high=1.5, unit="m", doc="a rival further than this from a touch has no play"
    )
    crowd: float = setting(
        0.06, low=0.0, high=0.5, unit="", doc="share of catches lost with a rival's hand there too"
    )
    knee: float = setting(
        0.08,
        low=0.0,
        high=0.5,
        unit="",
        doc="share of catches lost at knee height, 0.5 m, and below",
    )
    touch: float = setting(
        0.85, low=0.0, high=1.0, unit="", doc="chance that a defender's easy attempt stops it"
    )
    touch_stretched: float = setting(
        0.45, low=0.0, high=1.0, unit="", doc="the same, jumping or laid out"
    )
    run_up: float = setting(
        2.5, low=0.0, high=6.0, unit="m/s", doc="slowest speed from which a player lays out"
    )
    shoulder: float = setting(
        1.3, low=1.0, high=1.7, unit="m", doc="below this height the arm's full length counts"
    )
    mark_recovers: float = setting(
        0.4, low=0.0, high=2.0, unit="s", doc="a mark goes for a disc this long after its release"
    )


@dataclass(frozen=True)
class Judgements:
    """All groups together, as a situation may change them."""

    eyes: Eyes = field(default_factory=Eyes)
    legs: Legs = field(default_factory=Legs)
    mark: MarkBody = field(default_factory=MarkBody)
    release: Release = field(default_factory=Release)
    hands: Hands = field(default_factory=Hands)


LAWS = np.dtype(
    [
        (entry.name, record_type(entry.default_factory))  # type: ignore[arg-type]
        for entry in dataclasses.fields(Judgements)
    ],
    align=True,
)


def write_laws(judgements: Judgements, laws: Any) -> None:
    """Write the judgements into a record LAWS as numbers, angles in rad."""
    for group in dataclasses.fields(judgements):
        settings, row = getattr(judgements, group.name), getattr(laws, group.name)
        for entry in dataclasses.fields(settings):
            setattr(row, entry.name, number_of(entry, getattr(settings, entry.name)))
