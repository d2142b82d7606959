"""Make the pictures of the README anew: `python notebooks/make_pictures.py [folder] [n]`."""

from __future__ import annotations

import sys
from pathlib import Path

from experiments import load, rehearse
from experiments.charts.comparing import differences_of_measures
from experiments.charts.play import play
from experiments.charts.timing import timing
from experiments.running.engine import Engine
from experiments.studies.compare import compare
from experiments.studies.vary import vary

PATH = "plans.strike.looks.0.release_offset"
OFFSETS = [-0.6, -0.4, -0.2, 0.0, 0.2, 0.4, 0.6, 0.8]


def make(folder: Path, n: int = 2000) -> list[Path]:
    """Write the pictures into a folder; `n` rehearsals each."""
    folder.mkdir(parents=True, exist_ok=True)
    situation = load("middle-reset")
    varied = vary(situation, {PATH: OFFSETS}, n=n, engine=Engine(progress=False))
    curve = varied.table().rename(
        columns={
            PATH: "value",
            "completed": "estimate",
            "completed_low": "low",
            "completed_high": "high",
        }
    )
    axes = {
        "play": play(rehearse(situation, n, engine=Engine(progress=False))),
        "timing": timing(
            curve,
            setting="release after the cue",
            window=varied.window,
            now=0.0,
            title="When must the strike be thrown?",
        ),
        "plans": differences_of_measures(
            compare(situation, ["strike", "dump", "swing"], n=n, engine=Engine(progress=False)),
            title="Other plans against the strike",
        )[0],
    }
    written = []
    for name, ax in axes.items():
        path = folder / f"{name}.png"
        ax.get_figure(root=True).savefig(path, dpi=110)
        written.append(path)
    return written


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("pictures")
    for made in make(target, int(sys.argv[2]) if len(sys.argv) > 2 else 2000):
        print(f"wrote {made}")
