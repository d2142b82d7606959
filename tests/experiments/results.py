"""Small results of every kind of study, each rehearsed once in a process and then looked at."""

from __future__ import annotations

import functools
from typing import Any

import experiments
from experiments import engine, load, passes, rehearse, sturdiness, tune, vary, what_if

SITUATION = load("middle-reset")
RUN = engine(progress=False)
WIND, OFFSET = "wind.speed", "plans.strike.looks.0.release_offset"
TWO = ("strike", "dump")
OFFSETS = [-0.5, -0.25, 0.0, 0.25]
RESULTS = {
    "situation": lambda: SITUATION,
    "passes": lambda: passes(SITUATION, 20),
    "rehearse": lambda: rehearse(SITUATION, 60, 3, engine=RUN),
    "compare": lambda: experiments.compare(SITUATION, TWO, 40, 3, engine=RUN),
    "whatif": lambda: what_if(SITUATION, {WIND: 4.0, "force": "backhand"}, 40, 3, engine=RUN),
    "vary": lambda: vary(SITUATION, {OFFSET: OFFSETS}, 40, 3, engine=RUN),
    "heat": lambda: vary(SITUATION, {OFFSET: [0.0, 0.5], WIND: [0.0, 4.0]}, 40, 3, engine=RUN),
    "map": lambda: experiments.map(SITUATION, [0.0, 5.0], [30.0, 45.0], 40, 3, engine=RUN),
    "matchup": lambda: experiments.matchup(SITUATION, TWO, n=40, seed=3, engine=RUN),
    "tune": lambda: tune(SITUATION, {WIND: (0.0, 4.0)}, 40, 3, points=3, engine=RUN),
    "sturdiness": lambda: sturdiness(
        SITUATION, TWO, 40, 3, over={WIND: (0.0, 4.0), OFFSET: (-0.5, 0.5)}, count=2, engine=RUN
    ),
}


@functools.cache
def result(name: str) -> Any:
    """One of them."""
    return RESULTS[name]()
