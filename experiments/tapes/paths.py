"""Reading a tape: when the disc was thrown, who ran where, which lane the throw used.

A tape holds the paths of one rehearsal. Everything here is numbers; `experiments.charts` draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.record import KEPT

# Seconds of a player's path that a replay draws: all of a reset, but only the last part of a long
# possession, where more would overlap.
TRAIL = 5.0


@dataclass(frozen=True)
class Flight:
    """One throw on a tape.

    Attributes
    ----------
    release, arrival : index of the last instant in the thrower's hand, and of the end of the
        flight (caught, stopped or the end of the tape).
    thrower, receiver : player index; receiver is -1 when the tape does not say.
    """

    release: int
    arrival: int
    thrower: int
    receiver: int


def flights(tape: Any) -> list[Flight]:
    """All throws of a tape, in order."""
    holder, names = np.asarray(tape.holder), list(tape.names)
    told = str(tape.row.get("receiver", ""))
    found = []
    released = np.flatnonzero((holder[:-1] >= 0) & (holder[1:] < 0))
    for release in released:
        later = np.flatnonzero(holder[release + 1 :] >= 0)
        arrival, receiver = len(holder) - 1, names.index(told) if told in names else -1
        if len(later):
            arrival = int(release + 1 + later[0])
            receiver = int(holder[arrival])
        found.append(Flight(int(release), arrival, int(holder[release]), receiver))
    return found


def trail_start(tape: Any, index: int) -> int:
    """Index from which a replay draws the paths of the players up to an instant."""
    times = np.asarray(tape.times, dtype=float)
    return int(np.searchsorted(times, times[index] - TRAIL - 1e-9))


def disc_at_end(tape: Any) -> str:
    """What became of the disc at the end of a tape: "kept", "lost", or "" when it was cut off."""
    if str(tape.outcome) in KEPT:
        return "kept"
    return "" if str(tape.outcome) == "time cap" else "lost"


# How a rehearsal ended, and with the name of whoever holds the disc then.
ENDINGS = {
    "goal": ("goal", "goal: {} has it in the end zone"),
    "completed": ("completed", "completed: {} has it"),
    "out of bounds": ("out of bounds: it came down outside", "out of bounds: {} is outside"),
    "dropped": ("dropped: a hand was on it",) * 2,
    "missed": ("missed: nobody reached it",) * 2,
    "stalled": ("stalled: the count ran out",) * 2,
    "time cap": ("not over: the rehearsal was cut off here",) * 2,
}


def ending(tape: Any) -> str:
    """How the rehearsal of a tape ended, in a few words, with the player's name."""
    outcome, holder = str(tape.outcome), int(tape.holder[-1])
    stopper = str(tape.row.get("stopper", ""))
    if outcome == "blocked" and stopper:
        by = f"blocked by {'the ' if stopper == 'mark' else ''}{stopper}"
        return by.replace("by on ", "by the one on ")
    who = str(tape.names[holder]) if holder >= 0 else ""
    return ENDINGS.get(outcome, (outcome, outcome))[bool(who)].format(who)


def first_part(tape: Any) -> tuple[int, Flight | None]:
    """The last index of the play up to the end of its first throw, and that throw."""
    thrown = flights(tape)
    if not thrown:
        return len(tape.times) - 1, None
    return thrown[0].arrival, thrown[0]


def time_marks(times: np.ndarray, path: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Where a runner was at each whole second, and which way it ran.

    Parameters
    ----------
    times : (T,) seconds.
    path : (T, 2) metres.

    Returns
    -------
    (instants (K,), points (K, 2), headings (K, 2) unit vectors), without the start.
    """
    start, end = float(times[0]), float(times[-1])
    instants = np.arange(1.0, end - start + 1e-9) + start
    points, ahead, behind = (
        np.column_stack([np.interp(instants + step, times, path[:, k]) for k in (0, 1)])
        for step in (0.0, 0.1, -0.1)
    )
    moved = ahead - behind
    size = np.hypot(moved[:, 0], moved[:, 1])
    running = size > 0.02
    return instants[running], points[running], moved[running] / size[running, None]


def distance_run(path: np.ndarray) -> float:
    """Length of a path (T, 2) in metres."""
    steps = np.diff(path, axis=0)
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum())


def lane(tape: Any, flight: Flight, width: float = 1.2) -> np.ndarray:
    """The outline (K, 2) of the lane a throw used: its path over the ground, made wide.

    The width is for drawing only: about the reach of a player's arms to both sides of the disc.
    """
    # The disc leaves the hand at the end of the thrower's reach, not where the thrower stands.
    path = np.asarray(tape.disc, dtype=float)[flight.release + 1 : flight.arrival + 1, :2]
    moved = np.hypot(*np.diff(path, axis=0).T)
    path = path[np.concatenate([[True], moved > 1e-6])]
    if len(path) < 2:
        return np.empty((0, 2))
    along = np.gradient(path, axis=0)
    along = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    aside = np.column_stack([along[:, 1], -along[:, 0]]) * width / 2.0
    return np.concatenate([path + aside, (path - aside)[::-1]])


def covered_sector(tape: Any, index: int, radius: float, steps: int = 24) -> np.ndarray:
    """The outline (K, 2) of what the mark covers at an instant; empty when there is no mark.

    Bearings are measured from downfield (+y), positive to the right (+x), from the thrower.
    """
    holder = int(tape.holder[index])
    low, high = np.asarray(tape.mark_reach, dtype=float)[index]
    if holder < 0 or int(tape.mark[index]) < 0 or not np.isfinite([low, high]).all():
        return np.empty((0, 2))
    thrower = np.asarray(tape.positions, dtype=float)[index, holder]
    bearing = np.linspace(low, high, steps)
    arc = np.column_stack([np.sin(bearing), np.cos(bearing)]) * radius
    return np.concatenate([thrower[None, :], thrower + arc])
