"""Ten rehearsals on one sheet, to be watched.

    python -m experiments.handouts.contact_sheets FOLDER [SITUATION]

A sheet for each plan against each defence of each shipped situation, or of one. A panel is a
rehearsal up to its first catch or failure: runs of both teams with a dot each second, the disc's
flight, and above it the log of the play. A whole possession is drawn to its end, the runs of the
players who catch the disc alone. Meant for whoever doubts the game, not for a class.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.axes import Axes

from experiments.charts.field import draw_field
from experiments.charts.style import DEFENCE, OFFENCE
from experiments.running.batch import rehearse_tape
from experiments.situations.files import load, shipped
from experiments.situations.situation import Situation
from experiments.studies.credibility import log_of

ROWS, COLUMNS = 2, 5
SEED = 20


def sheet(situation: Situation, seed: int = SEED, first: int = 0) -> plt.Figure:
    """Ten rehearsals of a situation's plan against its defence, from number `first` on."""
    numbers = np.arange(first, first + ROWS * COLUMNS)
    log = log_of(situation, numbers, seed)[1]
    figure, panels = plt.subplots(ROWS, COLUMNS, figsize=(25, 15), layout="constrained")
    for number, ax in zip(numbers, panels.flat, strict=True):
        tape = rehearse_tape(situation, int(number), seed)
        _draw(tape, ax, whole=situation.until == "possession")
        mine = log[log["rehearsal"] == number]
        ax.set_title(_words(mine, tape.outcome), fontsize=7, loc="left", family="monospace")
    figure.suptitle(f"{situation.title}: {situation.plan} against {situation.defence}")
    return figure


def _draw(tape: Any, ax: Axes, *, whole: bool) -> None:
    draw_field(tape.field, ax)
    # Of a whole possession, those who have the disc at some time.
    shown = np.unique(tape.holder[tape.holder >= 0]) if whole else range(len(tape.names))
    step = max(round(1.0 / float(tape.times[1] - tape.times[0])), 1)
    for p in shown:
        colour = OFFENCE if tape.teams[p] == "offence" else DEFENCE
        x, y = tape.positions[:, p].T
        ax.plot(x, y, color=colour, lw=0.9)
        ax.plot(x[::step], y[::step], ".", color=colour, ms=4)
        ax.text(x[0], y[0], tape.names[p].replace("on ", ""), fontsize=6, color=colour)
    flying = tape.holder < 0
    disc = np.where(flying[:, None], tape.disc[:, :2], np.nan)
    ax.plot(disc[:, 0], disc[:, 1], color="black", lw=1.2)
    ax.plot(*tape.disc[-1, :2], "x", color="black")
    if not whole:
        near = tape.disc[:, :2]
        ax.set_xlim(near[:, 0].min() - 14, near[:, 0].max() + 14)
        ax.set_ylim(near[:, 1].min() - 9, near[:, 1].max() + 13)
    ax.set_aspect("equal")


def _words(log: Any, outcome: str) -> str:
    lines = []
    for row in log.itertuples():
        if row.event == "thrown":
            words = f"{row.look} {row.estimate:.2f} -> {row.outcome} ({row.separation_m:.1f} m)"
        else:
            words = f"{row.event} {row.look}"
        lines.append(f"{row.at_s:5.1f} c{row.stall:3.1f} {words}"[:52])
    return "\n".join([*lines[-6:], outcome])


def main() -> None:
    """Write the sheets as PNG files."""
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for name in sys.argv[2:] or shipped():
        start = load(name)
        for plan in start.plans:
            for defence in start.defences:
                asked = start.with_setting("plan", plan).with_setting("defence", defence)
                figure, path = sheet(asked), folder / f"{name}--{plan}--{defence}.png"
                figure.savefig(path, dpi=60)
                plt.close(figure)
                print(path)


if __name__ == "__main__":
    main()
