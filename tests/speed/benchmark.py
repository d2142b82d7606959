"""Agent-steps a second: one play at a time in plain Mesa against the compiled ensemble.

    python -m tests.speed.benchmark

All in this one process, on processor time, medians of five turns. An agent-step is one player deciding
and moving for one tick of one rehearsal. `--memory N` also plays N rehearsals, streamed in chunks, and
says how much memory that took; `--fresh` measures the first compilation with an empty cache.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time

import numpy as np

from experiments import load
from experiments.running.batch import ENSEMBLE, rehearse_rows
from experiments.situations.lineup import line_up
from sim.possession import rehearse
from tests.speed.plain_mesa import PlainPlay

TURNS = 5


def plain(plays: int, turn: int) -> float:
    """Agent-steps a second of the plain model."""
    ready = line_up(load("middle-reset"))
    steps, began = 0, time.process_time()
    for seed in range(turn * plays, (turn + 1) * plays):
        play = PlainPlay(ready.scene, ready.offence, ready.defence, ready.scene.open_side, seed)
        play.run()
        steps += play.ticks * len(play.agents)
    return steps / (time.process_time() - began)


def ensemble(name: str, n: int, turn: int) -> tuple[float, float]:
    """Agent-steps a second and ms a play of a shipped situation, compiled."""
    ready = line_up(load(name))
    numbers = np.arange(turn * n, (turn + 1) * n)
    began = time.process_time()
    record = rehearse(ready.scene, ready.offence, ready.defence, numbers, 7)
    took = time.process_time() - began
    steps = record.results["ended"].sum() / ready.scene.tick * len(ready.scene.players)
    return float(steps / took), 1000.0 * took / n


def fresh() -> float:
    """Seconds of the first rehearsal of middle-reset with an empty cache."""
    code = (
        "from experiments import *; from experiments.running.batch import *; import numpy as np; "
    )
    code += "rehearse_rows(load('middle-reset'), np.arange(1), 7)"
    with tempfile.TemporaryDirectory() as kept:
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "STALLWISE_CACHE": kept}, check=True
        )
        return time.perf_counter() - began


def memory(n: int) -> float:
    """Peak memory of this process, MB, after n rehearsals in chunks that are not kept."""
    situation = load("middle-reset")
    for first in range(0, n, ENSEMBLE):
        rehearse_rows(situation, np.arange(first, min(first + ENSEMBLE, n)), 7)
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def main() -> None:
    """Print the speeds, their ratios, and what was asked for besides."""
    options = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    options.add_argument("--plays", type=int, default=40, help="plain plays a turn")
    options.add_argument("--rehearsals", type=int, default=2000, help="of the ensemble, a turn")
    options.add_argument(
        "--memory", type=int, default=0, help="play so many and say how much it took"
    )
    options.add_argument("--fresh", action="store_true", help="measure the first compilation")
    given = options.parse_args()
    names = ("middle-reset", "possession", "cup")
    plain(1, 0)
    for name in names:
        ensemble(name, 5, 0)
    slow = statistics.median(plain(given.plays, turn) for turn in range(TURNS))
    print(f"{'plain Mesa, strike':<24}{slow:>12,.0f} agent-steps/s")
    for name in names:
        turns = [ensemble(name, given.rehearsals, turn) for turn in range(TURNS)]
        speed, each = (statistics.median(values) for values in zip(*turns, strict=True))
        print(
            f"{name:<24}{speed:>12,.0f} agent-steps/s {each:8.2f} ms a play, ratio {speed / slow:.1f}"
        )
    if given.memory:
        print(f"peak memory at {ENSEMBLE}: {memory(ENSEMBLE):.0f} MB")
        print(f"peak memory at {given.memory}: {memory(given.memory):.0f} MB")
    if given.fresh:
        print(f"first rehearsal with an empty cache: {fresh():.1f} s")


if __name__ == "__main__":
    main()
