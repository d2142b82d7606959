"""What a player can do: legs, eyes, hands and throws, with the levels a roster is made of."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from sim.settings import Checked, setting

_SPRINT = "sprint law fits of team-sport players (Furusawa 1927; Clark 2019, as summarised)"
_REACT = "two-choice reaction 0.30-0.40 s (memory); Henry 2011, IJSPP 6(4):534"
_HANDS = "judgement, from passes that touch a receiver's hands in league play"
_AIM = "putting in disc golf (memory), and a mark: see MODEL.md, 'errors of a throw'"


@dataclass(frozen=True)
class Ability(Checked):
    """The abilities of one player. Defaults are the elite level."""

    # Legs
    top_speed: float = setting(8.8, low=4.0, high=10.5, unit="m/s", source="8-9 m/s (memory)")
    sprint_time: float = setting(
        1.15, low=0.6, high=1.6, unit="s", source=_SPRINT, doc="time constant of the sprint law"
    )
    grip: float = setting(
        8.0,
        low=3.0,
        high=10.0,
        unit="m/s2",
        source="peak deceleration 7-9 m/s2 (memory)",
        doc="largest acceleration the ground allows in any direction",
    )
    # Eyes
    reaction: float = setting(
        0.30,
        low=0.15,
        high=0.6,
        unit="s",
        source=_REACT,
        doc="delay of the first response to a movement nobody announced",
    )
    reaction_spread: float = setting(
        0.13, low=0.0, high=0.4, unit="", source="0.036/0.278, Henry 2011", doc="relative"
    )
    tracking: float = setting(
        0.22,
        low=0.08,
        high=0.4,
        unit="s",
        source="simple visual reaction 0.213-0.231 s, Woods 2015",
        doc="delay in following a movement already seen",
    )
    misread: float = setting(
        0.06, low=0.0, high=0.5, unit="", source="94 % right first decisions, Henry 2013"
    )
    misread_again: float = setting(
        0.17,
        low=0.0,
        high=0.6,
        unit="",
        source="83 % right after a second stimulus, Henry 2013",
        doc="chance of a wrong first step when the runner has just moved the other way",
    )
    # Hands
    place_error: float = setting(
        0.25,
        low=0.0,
        high=1.5,
        unit="m",
        source="judgement: about a foot's length",
        doc="how far off the place meant a defender stands, sd along each axis, anew after each catch",
    )
    arm: float = setting(
        0.75, low=0.5, high=1.0, unit="m", source="shoulder to hand plus a lean, anthropometry"
    )
    standing_reach: float = setting(2.25, low=1.7, high=2.7, unit="m", source="anthropometry")
    jump: float = setting(0.50, low=0.1, high=0.9, unit="m", source="running jump, judgement")
    dive: float = setting(
        1.1, low=0.0, high=1.8, unit="m", source="judgement", doc="what laying out adds to the arm"
    )
    hands: float = setting(
        0.99, low=0.5, high=1.0, unit="", source=_HANDS, doc="chance to hold an easy catch"
    )
    stretch_hands: float = setting(
        0.75, low=0.0, high=1.0, unit="", source=_HANDS, doc="the same, jumping or laid out"
    )
    # Throws
    strong_side: str = setting("backhand", choices=("backhand", "forehand"))
    aim_error: float = setting(
        2.5, low=0.0, high=15.0, unit="deg", source=_AIM, doc="sd of the direction of a throw"
    )
    loft_error: float = setting(
        2.0, low=0.0, high=10.0, unit="deg", source=_AIM, doc="sd of its elevation"
    )
    pace_error: float = setting(
        0.05, low=0.0, high=0.4, unit="", source=_AIM, doc="sd of its release speed, relative"
    )
    roll_error: float = setting(
        3.0, low=0.0, high=15.0, unit="deg", source=_AIM, doc="sd of the tilt of the disc"
    )
    spin_error: float = setting(
        0.08, low=0.0, high=0.4, unit="", source=_AIM, doc="sd of the spin, relative"
    )
    slip: float = setting(
        0.006,
        low=0.0,
        high=0.2,
        unit="",
        source="judgement",
        doc="share of throws that slip out of the hand: errors some times as large",
    )
    wind_feel: float = setting(
        0.25,
        low=0.0,
        high=1.0,
        unit="",
        source="judgement",
        doc="sd of the wind the thrower reckons with, relative",
    )
    weak_side: float = setting(
        1.1, low=1.0, high=3.0, unit="", source=_AIM, doc="errors on the weak side, times"
    )
    range: float = setting(
        60.0,
        low=10.0,
        high=90.0,
        unit="m",
        source="about 50 m skilled, 30 m unskilled forehand, Sasakawa & Sakurai 2008",
        doc="longest throw",
    )
    wind_up: float = setting(
        0.35, low=0.1, high=1.0, unit="s", source="judgement", doc="from decision to release"
    )
    pivot: float = setting(0.9, low=0.2, high=1.5, unit="m", source="a lunge and an arm, judgement")


LEVELS: dict[str, Ability] = {
    "elite": Ability(),
    "club": Ability(
        top_speed=8.0,
        sprint_time=1.10,
        grip=7.5,
        reaction=0.34,
        arm=0.72,
        standing_reach=2.2,
        jump=0.42,
        dive=0.9,
        hands=0.975,
        stretch_hands=0.65,
        aim_error=3.2,
        loft_error=2.6,
        pace_error=0.065,
        roll_error=4.0,
        spin_error=0.10,
        slip=0.012,
        wind_feel=0.35,
        weak_side=1.25,
        range=48.0,
        wind_up=0.40,
        pivot=0.8,
    ),
    "novice": Ability(
        top_speed=7.0,
        sprint_time=1.10,
        grip=6.5,
        reaction=0.40,
        tracking=0.23,
        arm=0.70,
        standing_reach=2.15,
        jump=0.35,
        dive=0.4,
        hands=0.92,
        stretch_hands=0.45,
        aim_error=4.3,
        loft_error=3.5,
        pace_error=0.09,
        roll_error=6.0,
        spin_error=0.15,
        slip=0.03,
        wind_feel=0.5,
        weak_side=1.6,
        range=30.0,
        wind_up=0.50,
        pivot=0.6,
    ),
}


def ability(level: str = "elite", **changes: float | str) -> Ability:
    """The ability of a level with some settings changed.

    Raises
    ------
    ValueError : unknown level or setting, or a value outside its range.
    """
    if level not in LEVELS:
        raise ValueError(f"level is {level!r}; allowed are {', '.join(LEVELS)}")
    known = {entry.name for entry in dataclasses.fields(Ability)}
    unknown = set(changes) - known
    if unknown:
        raise ValueError(f"unknown ability {sorted(unknown)[0]!r}; known are {', '.join(known)}")
    return dataclasses.replace(LEVELS[level], **changes)  # type: ignore[arg-type]
