"""Agent-steps a second: one play at a time in plain Mesa against the compiled ensemble.

    python -m tests.speed.benchmark

Speeds are of processor time, in this one process, medians of five turns. An agent-step is one player
deciding and moving for one tick of one rehearsal. Then, each in a process of its own: the whole
matchup of middle-reset, to within 0.01 in two processes, on the clock; peak memory at few and at many
rehearsals, as they are played and as a study in a folder (read from Linux); and the first rehearsal with
nothing compiled. It takes some minutes; `--quick` leaves all but the speeds out.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time

import numpy as np

from experiments import load
from experiments.situations.lineup import line_up
from sim.rehearsing import rehearse
from tests.speed.plain_mesa import PlainPlay

TURNS = 5
NAMES = ("middle-reset", "possession", "cup")
FEW, MANY = 4000, 400_000

# Each of these is run by a process of its own and prints one number or two.
_PLAYED = """
import numpy as np
from experiments import load
from experiments.running.batch import rehearse_rows
situation = load("middle-reset")
for first in range(0, {n}, 4000):
    rehearse_rows(situation, np.arange(first, min(first + 4000, {n})), 7)
"""
_STUDIED = """
import tempfile
from experiments import engine, load, rehearse
with tempfile.TemporaryDirectory() as folder:
    rehearse(load("middle-reset"), {n}, 7, engine=engine(folder=folder, progress=False))
"""
# What a process took at most, MB. `getrusage` would tell of the process that started it, too.
_PEAK = """
with open("/proc/self/status") as status:
    print(next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024.0)
"""
_MATCHED = """
import time
from experiments import engine, load, matchup
if __name__ == "__main__":
    began = time.perf_counter()
    found = matchup(load("middle-reset"), within=0.01, engine=engine(processes=2, progress=False))
    print(time.perf_counter() - began, sum(cell.n for row in found.cells for cell in row))
"""
_FIRST = """
import time, numpy as np
from experiments import load
from experiments.running.batch import rehearse_rows
began = time.process_time(), time.perf_counter()
rehearse_rows(load("middle-reset"), np.arange(1), 7)
print(time.process_time() - began[0], time.perf_counter() - began[1])
"""


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
    return _timed([load(name)], n, turn)


def matchup(n: int, turn: int) -> tuple[float, float]:
    """The same of every plan of middle-reset against every defence."""
    start = load("middle-reset")
    pairs = [
        start.with_settings({"plan": plan, "defence": defence})
        for plan in start.plans
        for defence in start.defences
    ]
    return _timed(pairs, max(n // len(pairs), 1), turn)


def _timed(situations: list, n: int, turn: int) -> tuple[float, float]:
    steps = took = 0.0
    for situation in situations:
        ready = line_up(situation)
        numbers = np.arange(turn * n, (turn + 1) * n)
        began = time.process_time()
        record = rehearse(ready.scene, ready.offence, ready.defence, numbers, 7)
        took += time.process_time() - began
        steps += record.results["ended"].sum() / ready.scene.tick * len(ready.scene.players)
    return float(steps / took), 1000.0 * took / (n * len(situations))


def alone(program: str, **environment: str) -> list[float]:
    """The numbers that a program prints, run by a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, **environment},
        check=True,
        capture_output=True,
        text=True,
    )
    return [float(word) for word in done.stdout.split()]


def main() -> None:
    """Print the speeds, their ratios, and what was asked for besides."""
    options = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    options.add_argument("--plays", type=int, default=40, help="plain plays a turn")
    options.add_argument("--rehearsals", type=int, default=2000, help="of the ensemble, a turn")
    options.add_argument("--quick", action="store_true", help="measure the speeds alone")
    given = options.parse_args()
    played = {name: lambda n, turn, name=name: ensemble(name, n, turn) for name in NAMES}
    played["6 x 6 matchup"] = matchup
    plain(1, 0)
    for run in played.values():
        run(5, 0)
    slow = statistics.median(plain(given.plays, turn) for turn in range(TURNS))
    print(f"load of the machine: {os.getloadavg()[0]:.1f}")
    print(f"{'plain Mesa, strike':<24}{slow:>12,.0f} agent-steps/s")
    for name, run in played.items():
        turns = [run(given.rehearsals, turn) for turn in range(TURNS)]
        speed, each = (statistics.median(values) for values in zip(*turns, strict=True))
        ratio = speed / slow
        print(f"{name:<24}{speed:>12,.0f} agent-steps/s {each:8.2f} ms a play, ratio {ratio:.1f}")
    if given.quick:
        return
    took, n = alone(_MATCHED)
    print(f"matchup to within 0.01, two processes: {took:.0f} s on the clock, {n:,.0f} rehearsals")
    for what, program in (("played", _PLAYED), ("studied", _STUDIED)):
        few, many = (alone(program.format(n=n) + _PEAK)[0] for n in (FEW, MANY))
        told = f"peak memory, {FEW:,} and {MANY:,} {what}:"
        print(f"{told} {few:.0f} and {many:.0f} MB, ratio {many / few:.2f}")
    with tempfile.TemporaryDirectory() as kept:
        busy, took = alone(_FIRST, STALLWISE_CACHE=kept)
        print(
            f"first rehearsal, nothing compiled: {busy:.0f} s of processor, {took:.0f} s on the clock"
        )


if __name__ == "__main__":
    main()
