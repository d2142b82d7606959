"""What is written down of each rehearsal: one row, its calls and throws, and the path if asked for."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as default
from typing import Any

import numpy as np

from sim.field import Field
from sim.play import TRAPPED_WITHIN
from sim.scene import Scene
from sim.state import CALLED, FAKED, THROWN, WAVED_OFF, fields_of

__all__ = ["KEPT", "OUTCOMES", "TRAPPED_WITHIN", "Record", "Tape", "result_rows"]

OUTCOMES = (
    "completed",
    "goal",
    "blocked by the mark",
    "blocked",
    "dropped",
    "missed",
    "out of bounds",
    "stalled",
    "time cap",
)
KEPT = OUTCOMES[:2]  # the offence still has the disc, or has scored
EVENTS = {CALLED: "called", WAVED_OFF: "waved off", THROWN: "thrown", FAKED: "faked"}

_OF_THE_THROW = "at count said distance separation aim_x aim_y"  # nan without one
RESULT = fields_of(
    "rehearsal outcome throws thrower receiver stopper look cover calls waved",
    "end_x end_y ended trapped_for flight_s " + _OF_THE_THROW + " catch_chance",
)


def result_rows(count: int) -> Any:
    """Empty rows of results, (count,) records RESULT."""
    rows = np.zeros(count, RESULT).view(np.recarray)
    for name in _OF_THE_THROW.split():
        rows[name] = np.nan
    return rows


class Record:
    """Results of rehearsals.

    The columns about a throw are of the last one; `stall_at_release`, `release_s`, `look`, `cover`,
    `estimate`, `distance_m`, `separation_m`, `catch_chance` and the aim are of the first.
    `catch_chance` is what stood for the catch before the coins of the hands were thrown, see
    `sim.contest.chance_caught`; 0 where no hand came to the disc, or none of the offence could hold it.

    Parameters
    ----------
    results : (R,) records RESULT. log : (E,) records `sim.state.EVENT`, what was called, waved off,
        faked and thrown. log_of : (E,) the number of the rehearsal of each.
    """

    def __init__(self, scene: Scene, results: Any, log: Any, log_of: np.ndarray) -> None:
        self.scene, self.results, self.log, self.log_of = scene, results, log, log_of

    def columns(self, looks: tuple[str, ...] = ()) -> dict[str, np.ndarray]:
        """The table as named columns, one entry a rehearsal."""
        r = self.results
        names = np.array([p.name for p in self.scene.players] + [""], dtype=object)
        completed = r["outcome"] < len(KEPT)
        goal = r["outcome"] == OUTCOMES.index("goal")
        off_centre = np.abs(r["end_x"])
        edge = self.scene.field.half_width - TRAPPED_WITHIN
        start_x, start_y = self.scene.attackers[self.scene.holder].at
        return {
            "rehearsal": r["rehearsal"],
            "outcome": np.array(OUTCOMES, dtype=object)[r["outcome"]],
            "completed": completed,
            "goal": goal,
            "throws": r["throws"],
            "look": _look_names(r["look"], r["throws"] > 0, looks),
            "thrower": names[r["thrower"]],
            "receiver": names[r["receiver"]],
            "cover": names[r["cover"]],
            "stopper": names[r["stopper"]],
            "calls": r["calls"],
            "waved_off": r["waved"],
            "stall_at_release": r["count"],
            "release_s": r["at"],
            "estimate": r["said"],
            "distance_m": r["distance"],
            "flight_s": r["flight_s"],
            "separation_m": r["separation"],
            "start_x_m": np.full(len(r), float(start_x)),
            "start_y_m": np.full(len(r), float(start_y)),
            "end_x_m": r["end_x"],
            "end_y_m": r["end_y"],
            "trapped_s": r["trapped_for"],
            "duration_s": r["ended"],
            "aim_x_m": r["aim_x"],
            "aim_y_m": r["aim_y"],
            "gain_m": np.where(completed, r["end_y"] - start_y, np.nan),
            "off_centre_m": np.where(completed, off_centre, np.nan),
            "trapped": completed & ~goal & (off_centre > edge),
            "catch_chance": r["catch_chance"],
        }

    def events(self, looks: tuple[str, ...] = ()) -> dict[str, np.ndarray]:
        """What was called, waved off, faked and thrown, one entry each, in order.

        Of a throw: to whom, who covered, what the thrower said it was worth, how it ended, and who
        stopped it. `clearance_m` is how near it passed to the mark's hands.
        """
        e = self.log
        names = np.array([p.name for p in self.scene.players] + [""], dtype=object)
        return {
            "rehearsal": self.log_of,
            "event": np.array([EVENTS[int(k)] for k in e["event"]], dtype=object),
            "at_s": e["at"],
            "stall": e["count"],
            "look": _look_names(e["look"], e["event"] != FAKED, looks),
            "thrower": names[e["who"]],
            "receiver": names[e["to"]],
            "cover": names[e["cover"]],
            "separation_m": e["separation"],
            "estimate": e["said"],
            "margin_s": e["margin"],
            "past_mark": e["past_mark"],
            "wild": e["wild"],
            "x_m": e["x"],
            "y_m": e["y"],
            "aim_x_m": e["aim_x"],
            "aim_y_m": e["aim_y"],
            "distance_m": e["distance"],
            "kind": np.where(e["kind"] == 1, "forehand", "backhand"),
            "shape": np.array(("flat", "inside-out", "outside-in", "floated"))[e["curve"]],
            "clearance_m": e["clearance"],
            "flight_s": e["flight_s"],
            "outcome": np.array([*OUTCOMES, ""], dtype=object)[e["outcome"]],
            "stopper": names[e["stopper"]],
        }


def _look_names(look: np.ndarray, thrown: np.ndarray, looks: tuple[str, ...]) -> np.ndarray:
    """The names of looks; whoever stood open without a call is "open player"."""
    known = np.array([*looks, ""], dtype=object)[np.clip(look, -1, len(looks))]
    if looks:
        known[(look < 0) & thrown] = "open player"
    return known


@dataclass(frozen=True)
class Tape:
    """The whole path of one rehearsal, T instants.

    Attributes
    ----------
    times : (T,) s. positions, velocities : (T, P, 2). disc : (T, 3) m.
    holder : (T,) slot, -1 while the disc flies. count : (T,) stall count, 0 with none.
    mark : (T,) slot of the marker or -1. mark_reach : (T, 2) bearings (rad) it stops.
    names, teams, roles : of the P players. outcome, row : the rehearsal's result.
    """

    times: np.ndarray
    positions: np.ndarray
    velocities: np.ndarray
    disc: np.ndarray
    holder: np.ndarray
    count: np.ndarray
    mark: np.ndarray
    mark_reach: np.ndarray
    names: tuple[str, ...]
    teams: tuple[str, ...]
    roles: tuple[str, ...]
    field: Field
    outcome: str
    row: dict[str, Any] = default(default_factory=dict)
