"""Invented tapes, tables and studies for the tests of what is shown.

Nothing here comes from the simulator: the numbers are made up so that every outcome occurs and
every mark has its place. They test drawing and wording, never the game.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.studies.rehearse import Study
from sim.field import named
from sim.record import Tape

MIDDLE = load("middle-reset")

OFFENCE = (
    ("middle", "handler", (0.0, 30.0)),
    ("left", "handler", (-9.0, 29.0)),
    ("right", "handler", (9.5, 29.0)),
    ("front", "cutter", (2.0, 45.0)),
    ("wide left", "cutter", (-11.0, 46.0)),
    ("wide right", "cutter", (12.0, 46.0)),
    ("deep", "cutter", (0.0, 54.0)),
)


def invented_tape(*, completed: bool = True, mirror: float = 1.0, name: str = "left") -> Tape:
    """A strike from the break side, 4 s long: thrown at 2.5 s, in the air for 0.8 s."""
    times = np.round(np.arange(0.0, 4.0001, 0.05), 6)
    count, players = len(times), 14
    spots = np.array([spot for _, _, spot in OFFENCE])
    covers = spots + np.array([0.9, -0.8])
    covers[0] = (-1.0, 31.2)
    positions = np.repeat(np.concatenate([spots, covers])[None], count, axis=0)
    running = np.clip(times - 0.6, 0.0, 2.7)
    go = 7.0 * (running - 0.8 * (1 - np.exp(-running / 0.8)))
    positions[:, 1] = spots[1] + go[:, None] * np.array([0.90, 0.44])
    late = np.clip(times - 0.95, 0.0, 2.7)
    chase = 7.0 * (late - 0.8 * (1 - np.exp(-late / 0.8)))
    positions[:, 8] = covers[1] + chase[:, None] * np.array([0.90, 0.44])
    positions[:, 2, 1] += 0.6 * np.clip(times - 1.0, 0.0, 3.0)
    positions[:, 5, 0] += 1.1 * np.clip(times - 1.0, 0.0, 3.0)
    positions[..., 0] *= mirror
    velocities = np.gradient(positions, times, axis=0)
    release, arrival = 50, 66
    holder = np.zeros(count, dtype=int)
    holder[release + 1 : arrival] = -1
    holder[arrival:] = 1 if completed else -1
    disc = np.zeros((count, 3))
    start = positions[:, 0] + np.array([0.7 * mirror, 0.2])
    end = positions[arrival, 1]
    share = np.clip((times - times[release]) / (times[arrival] - times[release]), 0.0, 1.0)
    disc[:, :2] = start + (end - start) * share[:, None]
    disc[:, 0] += mirror * 0.5 * np.sin(np.pi * share)
    disc[:, 2] = 1.1 + 0.9 * np.sin(np.pi * share)
    low, high = sorted((mirror * np.radians(-105.0), mirror * np.radians(8.0)))
    names = (*(n for n, _, _ in OFFENCE), "mark", *(f"on {n}" for n, _, _ in OFFENCE[1:]))
    names = tuple(name if n == "left" else n for n in names)
    return Tape(
        times=times,
        positions=positions,
        velocities=velocities,
        disc=disc,
        holder=holder,
        count=np.minimum(4.0 + times, 9.9),
        mark=np.full(count, 7),
        mark_reach=np.tile([low, high], (count, 1)),
        names=names,
        teams=("offence",) * 7 + ("defence",) * 7,
        roles=(*(r for _, r, _ in OFFENCE), *("defender",) * (players - 7)),
        field=named("wfdf"),
        outcome="completed" if completed else "dropped",
        row={"rehearsal": 0, "receiver": name, "thrower": "middle", "completed": completed},
    )


def invented_table(n: int = 1200, seed: int = 1) -> pd.DataFrame:
    """A record table in which every outcome occurs."""
    rng = np.random.default_rng(seed)
    causes = {
        "completed": 0.85,
        "goal": 0.02,
        "blocked by the mark": 0.02,
        "blocked": 0.03,
        "dropped": 0.02,
        "missed": 0.03,
        "out of bounds": 0.01,
        "stalled": 0.01,
        "time cap": 0.01,
    }
    outcome = rng.choice(list(causes), size=n, p=list(causes.values()))
    end_x = rng.normal(4.0, 2.2, n)
    end_y = rng.normal(35.5, 1.6, n)
    by_mark = outcome == "blocked by the mark"
    end_x[by_mark], end_y[by_mark] = rng.normal(0.6, 0.4, by_mark.sum()), 30.8
    out = outcome == "out of bounds"
    end_x[out] = 18.5 + rng.uniform(0.0, 1.0, out.sum())
    end_y[outcome == "goal"] = 66.0
    never = np.isin(outcome, ["stalled", "time cap"])
    end_x[never], end_y[never] = 0.0, 30.0
    completed = np.isin(outcome, ["completed", "goal"])
    release = rng.normal(2.5, 0.3, n)
    return pd.DataFrame(
        {
            "rehearsal": np.arange(n),
            "outcome": outcome,
            "completed": completed,
            "goal": outcome == "goal",
            "throws": np.where(never, 0, 1),
            "look": np.where(never, "", "strike"),
            "receiver": np.where(never, "", "left"),
            "thrower": "middle",
            "stall_at_release": np.where(never, np.nan, 4.0 + release),
            "release_s": np.where(never, np.nan, release),
            "estimate": rng.uniform(0.7, 1.0, n),
            "distance_m": np.hypot(end_x, end_y - 30.0),
            "flight_s": rng.normal(0.8, 0.1, n),
            "separation_m": rng.gamma(4.0, 0.5, n),
            "start_x_m": 0.0,
            "start_y_m": 30.0,
            "end_x_m": end_x,
            "end_y_m": end_y,
            "gain_m": np.where(completed, end_y - 30.0, np.nan),
            "off_centre_m": np.where(completed, np.abs(end_x), np.nan),
            "trapped": completed & (np.abs(end_x) > 13.5),
            "catch_chance": np.where(completed, 0.96, 0.3) * ~never,
            "trapped_s": 0.0,
            "duration_s": release + 0.8,
            "stopper": np.where(outcome == "blocked", "on left", ""),
            "aim_x_m": end_x,
            "aim_y_m": end_y,
        }
    )


def titled(title: str, **changes: Any) -> Situation:
    """A shipped situation under another title."""
    return MIDDLE.model_copy(update={"title": title, **changes})


@dataclass(frozen=True, kw_only=True)
class InventedStudy(Study):
    """A study of an invented table, whose every rehearsal took the same invented path."""

    rows: pd.DataFrame = field(default_factory=invented_table)
    situation: Situation = field(default_factory=lambda: titled("Middle reset"))
    seed: int = 7
    play: Tape = field(default_factory=invented_tape)

    def tape(self, rehearsal: int) -> Tape:
        return self.play
