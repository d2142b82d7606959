"""Agent-steps a second: one play at a time in plain Mesa against a whole ensemble.

    python -m tests.speed.benchmark

Both run in this one process, in turns, on processor time, so that other programs on the machine
disturb neither more than the other. An agent-step is one player deciding and moving for one tick of
one rehearsal.
"""

from __future__ import annotations

import argparse
import dataclasses
import time
from collections.abc import Callable

import numpy as np

from experiments import load
from experiments.batch import ENSEMBLE, rehearse_rows
from experiments.lineup import LineUp, line_up
from sim.possession import Possession
from tests.speed.plain_mesa import PlainPlay

SITUATION = "middle-reset"


@dataclasses.dataclass(frozen=True)
class Speed:
    """What one side did: plays to their end, agent-steps, and seconds of processor time."""

    plays: int
    steps: int
    seconds: float

    @property
    def per_second(self) -> float:
        """Agent-steps a second."""
        return self.steps / self.seconds

    def __add__(self, other: Speed) -> Speed:
        return Speed(
            self.plays + other.plays, self.steps + other.steps, self.seconds + other.seconds
        )


def plain(ready: LineUp, plays: int, first: int = 0) -> Speed:
    """Play after play in plain Mesa."""

    def work() -> int:
        steps = 0
        for seed in range(first, first + plays):
            play = PlainPlay(ready.scene, ready.offence, ready.defence, ready.open_side, seed)
            play.run()
            steps += play.ticks * len(play.agents)
        return steps

    return _timed(plays, work)


def ensemble(ready: LineUp, rehearsals: int, first: int = 0, size: int = ENSEMBLE) -> Speed:
    """Rehearsals by the ensemble, `size` advanced together."""

    def work() -> int:
        steps = 0
        for start in range(first, first + rehearsals, size):
            ids = np.arange(start, min(start + size, first + rehearsals))
            possession = Possession(
                ready.scene, ready.offence, ready.defence, ids, 7, open_side=ready.open_side
            )
            possession.run()
            steps += possession.agent_steps
        return steps

    return _timed(rehearsals, work)


def _timed(plays: int, work: Callable[[], int]) -> Speed:
    began = time.process_time()
    steps = work()
    return Speed(plays, steps, time.process_time() - began)


def compare(plays: int = 60, rehearsals: int = ENSEMBLE, turns: int = 3) -> tuple[Speed, Speed]:
    """Both in turns, after one unmeasured turn each: (plain, ensemble)."""
    ready = line_up(load(SITUATION))
    plain(ready, 1)
    ensemble(ready, min(rehearsals, 50))
    slow, fast = Speed(0, 0, 0.0), Speed(0, 0, 0.0)
    for turn in range(turns):
        slow += plain(ready, plays, turn * plays)
        fast += ensemble(ready, rehearsals, turn * rehearsals)
    return slow, fast


def report(slow: Speed, fast: Speed) -> str:
    """Both speeds and their ratio, a line each."""
    lines = [
        f"{name:<28}{one.per_second:>12,.0f} agent-steps/s  {1000 * one.seconds / one.plays:8.2f} "
        f"ms a play  ({one.plays} plays, {one.seconds:.1f} s)"
        for name, one in (("plain Mesa, one play", slow), (f"ensembles of {ENSEMBLE}", fast))
    ]
    return "\n".join([*lines, f"ratio {fast.per_second / slow.per_second:.1f}"])


def main() -> None:
    """Print the speeds, the ratio, and the seconds of a study of the usual size."""
    options = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    options.add_argument("--plays", type=int, default=60, help="plain plays a turn")
    options.add_argument("--rehearsals", type=int, default=ENSEMBLE, help="of the ensemble, a turn")
    options.add_argument("--turns", type=int, default=3)
    options.add_argument("--study", type=int, default=4000, help="rehearsals of the study")
    given = options.parse_args()
    print(report(*compare(given.plays, given.rehearsals, given.turns)))
    began, cpu = time.perf_counter(), time.process_time()
    rehearse_rows(load(SITUATION), np.arange(given.study), 7)
    wall, cpu = time.perf_counter() - began, time.process_time() - cpu
    print(f"{given.study} rehearsals of {SITUATION} in one process: {wall:.1f} s ({cpu:.1f} s CPU)")


if __name__ == "__main__":
    main()
