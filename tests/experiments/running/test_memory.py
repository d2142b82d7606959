"""What a study of very many rehearsals takes in memory, a rehearsal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from experiments import load, rehearse
from experiments.running.engine import Engine
from experiments.situations.lineup import line_up
from sim.record import OUTCOMES, Record, result_rows

FEW, MANY = 4000, 100_000
# Bytes, of rows that take twice as much as played ones. A study of 4,000 takes 210 MB; so one of 400,000
# takes less than 1.3 times that.
MOST = 250
STATUS = Path("/proc/self/status")


def rows(situation, ids, seed):
    """All columns of middle-reset without playing it, rather harder to pack than played ones."""
    luck = np.random.default_rng([seed, int(ids[0])])
    results = result_rows(len(ids))
    for name in results.dtype.names:
        if results.dtype[name].kind == "f":
            results[name] = luck.normal(10.0, 3.0, len(ids))
    results["rehearsal"], results["outcome"] = ids, luck.integers(0, len(OUTCOMES), len(ids))
    for name in ("thrower", "receiver", "stopper", "cover", "look"):
        results[name] = luck.integers(0, 3, len(ids))
    results["throws"] = 1
    record = Record(line_up(load("middle-reset")).scene, results, None, np.empty(0))
    return pd.DataFrame(record.columns(("strike", "dump", "swing")))


def peak(n: int, folder: str) -> float:
    """Bytes that this process took at most, to make a study of n rehearsals and tell of it."""
    study = rehearse(
        load("middle-reset"), n, 7, engine=Engine(rows=rows, folder=folder, progress=False)
    )
    assert study.n == n and str(study) and study.as_dict()["rehearsals"] == n
    (line,) = (line for line in STATUS.read_text().splitlines() if line.startswith("VmHWM"))
    return float(line.split()[1]) * 1024.0


@pytest.mark.skipif(not STATUS.exists(), reason="the system does not tell a process its peak")
@pytest.mark.slow
def test_a_rehearsal_more_takes_little_memory(tmp_path):
    program = "from tests.experiments.running.test_memory import peak; print(peak({}, {!r}))"
    few, many = (
        subprocess.run(
            [sys.executable, "-c", program.format(n, str(tmp_path / str(n)))],
            cwd=Path(__file__).parents[3],
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for n in (FEW, MANY)
    )
    each = (float(many) - float(few)) / (MANY - FEW)
    assert each < MOST, f"{each:.0f} bytes a rehearsal"
