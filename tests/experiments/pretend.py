"""Rehearsals with known answers, to test what runs, keeps and counts rehearsals.

Nothing here is a game: outcomes are drawn with rates that the test sets, so it knows the truth.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.errors import RunInterrupted
from experiments.running.engine import Engine
from experiments.running.frames import Packed, Rehearsals
from experiments.running.manifest import read_manifest
from experiments.running.runner import run
from experiments.running.store import read_chunks
from experiments.running.tasks import Task
from experiments.statistics.tables import Table, data_frame

# Seconds a rehearsal takes, by this name in the environment.
PAUSE = "STALLWISE_TEST_PAUSE"
# For a process that is to be sent Ctrl-C: one started in the background may have been told to ignore it.
HEARS_CTRL_C: dict[str, Any] = (
    {} if os.name == "nt" else {"preexec_fn": lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)}
)
BASE = {"rate": 0.9, "gain": 8.0, "trapped": 0.2}


def task(key: str = "one", n: int = 1000, seed: int = 7, **changes: Any) -> Task:
    """A task for `rows`."""
    return Task(key, {**BASE, **changes}, n, seed)


def kept(folder: Path) -> dict[str, Rehearsals]:
    """What the folder of a study has, finished or not, up to the first gap of each task."""
    tables = {}
    for index, told in enumerate(read_manifest(folder).tasks):
        whole: list[Packed] = []
        for first, part in read_chunks(folder, index, told.n):
            if first != sum(before.rows for before in whole):
                break
            whole.append(part)
        if whole:
            tables[told.key] = Rehearsals(whole, sum(part.rows for part in whole))
    return tables


def luck(seed: int, ids: npt.NDArray[np.int64], purpose: int) -> npt.NDArray[np.float64]:
    """Uniform numbers addressed by seed, rehearsal and purpose (SplitMix64's mixing)."""
    with np.errstate(over="ignore"):
        x = ids.astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15)
        x += np.uint64(seed) * np.uint64(0xD1B54A32D192ED03) + np.uint64(purpose + 1)
        for _ in range(2):
            x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
            x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
            x ^= x >> np.uint64(31)
    return (x >> np.uint64(11)) / float(2**53)


def rows(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Passes completed at `rate`; those gain about `gain`, and `trapped` of them are trapped."""
    # Not in the situation: how fast a rehearsal runs does not make it another.
    time.sleep(float(os.environ.get(PAUSE, "0")) * len(ids))
    if situation.get("fails_at", -1) in ids:
        raise ValueError("the pass met a wall")
    done = luck(seed, ids, 0) < situation["rate"]
    lateral = 12.0 * luck(seed, ids, 1) - 6.0
    gain = situation["gain"] + 4.0 * luck(seed, ids, 2) - 2.0
    return pd.DataFrame(
        {
            "rehearsal": ids,
            "outcome": np.where(done, "completed", "dropped"),
            "completed": done,
            "goal": np.zeros(len(ids), dtype=bool),
            "throws": np.ones(len(ids), dtype=np.int64),
            "look": ["strike" if ok else "" for ok in done],
            "gain_m": np.where(done, gain, np.nan),
            "off_centre_m": np.where(done, np.abs(lateral), np.nan),
            "end_x_m": np.where(lateral > 5.9, -0.0, lateral),
            "trapped": done & (luck(seed, ids, 3) < situation["trapped"]),
        }
    )


def only_completed(
    situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int
) -> pd.DataFrame:
    """The least a study needs."""
    return pd.DataFrame({"rehearsal": ids, "completed": luck(seed, ids, 0) < situation["rate"]})


def same(these: Table, others: Table) -> bool:
    """Whether two tables have the same columns, kinds, words and bits."""
    one, other = data_frame(these), data_frame(others)
    if list(one.columns) != list(other.columns) or list(one.dtypes) != list(other.dtypes):
        return False
    for name in one.columns:
        a, b = one[name], other[name]
        if a.dtype.kind in "biuf":
            if a.to_numpy().tobytes() != b.to_numpy().tobytes():
                return False
        elif a.tolist() != b.tolist():
            return False
    return True


def study(folder: str, n: int, jobs: int) -> None:
    """Run a study in a process of its own, to be killed or interrupted from outside."""
    try:
        run(
            study_tasks(n),
            Engine(rows=rows, processes=jobs, folder=folder, chunk=40, progress=False),
        )
    except RunInterrupted as stop:
        print(stop, flush=True)
        raise SystemExit(130) from None


def study_tasks(n: int) -> list[Task]:
    """What `study` rehearses."""
    return [task("one", n), task("two", n // 2, rate=0.8)]
