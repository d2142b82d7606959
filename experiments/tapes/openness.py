"""Which team is first to each point of the field at an instant of a rehearsal.

A point is open to the offence when somebody of the offence can be there sooner than every
defender: the difference of the two soonest arrivals, each by `sim.reach.reach_time` from the
player's own position, velocity and ability at that instant. Nobody's reaction is counted: it says
who could be first if both set off now.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim import reach
from sim.ability import Ability
from sim.compiling import entry
from sim.machine_code import wanted

CELL = 0.5  # distance between neighbouring points, m


@dataclass(frozen=True)
class Openness:
    """Arrival times over a grid.

    Attributes
    ----------
    x, y : (Nx,) and (Ny,) metres.
    margin : (Ny, Nx) seconds by which the offence is first; negative where the defence is.
    soonest : (Ny, Nx) seconds until the first of the offence is there.
    first : (Ny, Nx) index of that player.
    time : seconds since the start of the rehearsal.
    index : the instant on the tape.
    """

    x: np.ndarray
    y: np.ndarray
    margin: np.ndarray
    soonest: np.ndarray
    first: np.ndarray
    time: float
    index: int


def abilities_of(situation: Any) -> list[Ability]:
    """The ability of each player of a situation, in the order of its tapes."""
    return [situation.ability_of(p) for p in (*situation.attackers, *situation.defenders)]


def instant(tape: Any, seconds: float) -> int:
    """Index of the instant of a tape that is nearest to a time.

    Raises
    ------
    ValueError : the time is before the start or after the end of the tape.
    """
    times = np.asarray(tape.times, dtype=float)
    if not times[0] - 1e-9 <= seconds <= times[-1] + 1e-9:
        raise ValueError(
            f"the rehearsal runs from {times[0]:.2f} to {times[-1]:.2f} s; {seconds:g} s is outside"
        )
    return int(np.argmin(np.abs(times - seconds)))


def openness(
    tape: Any,
    abilities: Sequence[Ability],
    seconds: float,
    *,
    low: float | None = None,
    high: float | None = None,
) -> Openness:
    """Who could be first at each point of the field.

    Parameters
    ----------
    tape : `sim.record.Tape`.
    abilities : one for each player, in the order of the tape.
    seconds : the instant.
    low, high : y between which the field is looked at, metres; None is the whole field.

    Raises
    ------
    ValueError : `seconds` is not on the tape, abilities do not fit its players, or one of the
        teams has nobody on the field.
    """
    if len(abilities) != len(tape.names):
        raise ValueError(f"{len(abilities)} abilities were given for {len(tape.names)} players")
    offence = np.array([team == "offence" for team in tape.teams])
    if offence.all() or not offence.any():
        raise ValueError("openness needs players of both teams")
    index = instant(tape, seconds)
    back = tape.field.length + tape.field.end_zone
    low = -tape.field.end_zone if low is None else max(low, -tape.field.end_zone)
    high = back if high is None else min(high, back)
    half = CELL * np.floor(tape.field.half_width / CELL)
    x = np.arange(-half, half + CELL / 2, CELL)
    y = np.arange(low + CELL / 2, high, CELL)
    places = np.asarray(tape.positions, dtype=float)[index]
    runs = np.asarray(tape.velocities, dtype=float)[index]
    arrivals = np.empty((len(abilities), len(y), len(x)))
    each = entry(reach.arrivals) if wanted() else reach.arrivals
    for player, able in enumerate(abilities):
        state = (*places[player], *runs[player], able.top_speed, able.sprint_time, able.grip)
        each(np.array(state), x, y, arrivals[player])
    ours = np.where(offence[:, None, None], arrivals, np.inf)
    theirs = np.where(offence[:, None, None], np.inf, arrivals)
    soonest = ours.min(axis=0)
    return Openness(
        x=x,
        y=y,
        margin=theirs.min(axis=0) - soonest,
        soonest=soonest,
        first=ours.argmin(axis=0),
        time=float(np.asarray(tape.times)[index]),
        index=index,
    )
