"""Figures of the model beside published and expected ranges: python -m experiments.studies.credibility

Writes the figures of `sim/MODEL.md`: the shape of whole possessions over five seeds, how often what
throwers say comes true, and completion by distance. Takes a few minutes.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from experiments.running.batch import play
from experiments.situations.files import load, shipped
from experiments.situations.situation import Situation
from experiments.studies.completion import Passing, by_throw

MODEL = Path(__file__).parents[2] / "sim" / "MODEL.md"
START, END = (
    "<!-- figures: python -m experiments.studies.credibility -->",
    "<!-- end of figures -->",
)
KEPT = ("completed", "goal")
PUBLISHED = ("completion", "completed passes", "goals")
WHY = {
    "goals": "46 m from the brick mark at 7 m a completed pass take seven of them",
    "handlers' share of catches": "by a little",
    "lost by throwaway": "by a little",
    "lost by block": "by a little",
}
FROM_MEMORY = (
    "Bands from memory: elite 5, 15, 25 and 40 m 0.95-0.99, 0.92-0.97, 0.80-0.92, 0.45-0.65 (40 yd "
    "and more\nabout 0.53, 2022, published); novice 5, 10 and 20 m 0.80-0.92, 0.60-0.80, 0.35-0.60."
)
SEEDS = (11, 22, 33, 44, 55)
# Bands: the first three published (see tests/outside/test_game_bands.py), the others from memory.
BANDS = {
    "completion": (0.89, 0.95),
    "completed passes": (4.0, 7.0),
    "goals": (0.52, 0.68),
    "handlers' share of catches": (0.40, 0.65),
    "passes that gain nothing": (0.20, 0.45),
    "throws of 30 m and more": (0.03, 0.12),
    "completed of those": (0.40, 0.70),
    "backhands": (0.35, 0.60),
    "released at count 6 or later": (0.05, 0.25),
    "catches on the break side": (0.15, 0.45),
    "from the call of a reset to its release, s": (0.8, 2.5),
    "lost by throwaway": (0.35, 0.60),
    "lost by block": (0.20, 0.45),
    "lost by drop": (0.08, 0.20),
    "lost by stall": (0.0, 0.05),
    "separation of a completed reset, m": (1.5, 3.5),
    "length, s": (18.0, 40.0),
}


def log_of(
    situation: Situation, numbers: np.ndarray, seed: int
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows of some rehearsals of a situation, and what was called, waved off and thrown."""
    record, looks = play(situation, numbers, seed)
    return pd.DataFrame(record.columns(looks)), pd.DataFrame(record.events(looks))


def played(situation: Situation, n: int, seed: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows and the throws of n rehearsals of a situation; `called_s` is when a look was called."""
    rows, events = log_of(situation, np.arange(n), seed)
    called = events["at_s"].where(events["event"] == "called")
    events["called_s"] = called.groupby(events["rehearsal"]).ffill()
    thrown = events[events["event"] == "thrown"].copy()
    thrown["kept"] = thrown["outcome"].isin(KEPT)
    thrown["later"] = thrown.groupby("rehearsal").cumcount() > 0
    return rows, thrown


def at_level(situation: Situation, level: str) -> Situation:
    """The same with both teams of a level."""
    data: dict[str, Any] = situation.to_dict()
    data["roster"] = {"offence": level, "defence": level}
    return Situation.from_dict(data)


def all_thrown(n: int = 200, seed: int = 815, names: Iterable[str] | None = None) -> pd.DataFrame:
    """Every throw of every plan against every defence of the shipped situations, elite and club.

    n rehearsals each, and luck of their own: under the same luck the throws of all situations err alike,
    and many throws tell little more than few.
    """
    parts: list[pd.DataFrame] = []
    for name in names or shipped():
        start = load(name)
        for level, plan, defence in product(("elite", "club"), start.plans, start.defences):
            asked = start.with_settings({"plan": plan, "defence": defence})
            _, thrown = played(at_level(asked, level), n, seed + len(parts))
            where = {"level": level, "situation": name, "plan": plan, "defence": defence}
            parts.append(thrown.assign(**where))
    return pd.concat(parts, ignore_index=True)


def reliability(thrown: pd.DataFrame, least: int = 100) -> pd.DataFrame:
    """Said and kept in tenths with `least` throws or more, first and later passes, each level."""
    every = thrown.assign(tenth=np.minimum((thrown["estimate"] * 10).astype(int), 9))
    return said_and_kept(every, ["level", "later", "tenth"], least)


def by_cell(thrown: pd.DataFrame, least: int = 100) -> pd.DataFrame:
    """The same by level, situation, plan, defence and look."""
    return said_and_kept(thrown, ["level", "situation", "plan", "defence", "look"], least)


def said_and_kept(thrown: pd.DataFrame, by: list[str], least: int) -> pd.DataFrame:
    """The chance that throwers said and the share kept, in groups of `least` throws or more."""
    found = (
        thrown.groupby(by, observed=True)
        .agg(throws=("kept", "size"), said=("estimate", "mean"), kept=("kept", "mean"))
        .reset_index()
    )
    return found[found["throws"] >= least]


def possession_shape(n: int = 600, seeds: Iterable[int] = SEEDS) -> pd.DataFrame:
    """The shape of a possession (elite, calm, man): mean over seeds, its standard error, the band."""
    start = load("possession")
    handlers = {p.name for p in start.attackers if p.role == "handler"}
    rows = [_shape(*played(start, n, seed), handlers) for seed in seeds]
    table = pd.DataFrame(rows)
    out = pd.DataFrame.from_dict(BANDS, orient="index", columns=["low", "high"])
    out.insert(0, "mean", table.mean())
    out.insert(1, "se", table.std(ddof=1) / np.sqrt(len(table)))
    return out.assign(inside=out["mean"].between(out["low"], out["high"]))


def _shape(rows: pd.DataFrame, thrown: pd.DataFrame, handlers: set[str]) -> dict[str, float]:
    kept = thrown[thrown["kept"]]
    lost = rows[~rows["completed"] & (rows["outcome"] != "time cap")]["outcome"]
    resets = kept[kept["receiver"].isin(handlers)]
    far = thrown["distance_m"] >= 30.0
    called = thrown[thrown["receiver"].isin(handlers) & (thrown["look"] != "open player")]
    return {
        "completion": thrown["kept"].mean(),
        "completed passes": len(kept) / len(rows),
        "goals": rows["goal"].mean(),
        "handlers' share of catches": kept["receiver"].isin(handlers).mean(),
        "passes that gain nothing": (kept["aim_y_m"] <= kept["y_m"]).mean(),
        "throws of 30 m and more": far.mean(),
        "completed of those": thrown.loc[far, "kept"].mean(),
        "backhands": (thrown["kind"] == "backhand").mean(),
        "released at count 6 or later": (thrown["stall"] >= 6.0).mean(),
        # all are right-handed and the force is forehand: the break side is the left
        "catches on the break side": (kept["aim_x_m"] < kept["x_m"]).mean(),
        "from the call of a reset to its release, s": (
            called["at_s"] - called["called_s"]
        ).median(),
        "lost by throwaway": lost.isin(["missed", "out of bounds"]).mean(),
        "lost by block": lost.isin(["blocked", "blocked by the mark"]).mean(),
        "lost by drop": (lost == "dropped").mean(),
        "lost by stall": (lost == "stalled").mean(),
        "separation of a completed reset, m": resets["separation_m"].median(),
        "length, s": rows["duration_s"].mean(),
    }


def by_distance(n: int = 400, seed: int = 5) -> pd.DataFrame:
    """Passes to a runner with a tight cover: said and kept, by distance, level and throw.

    Flat to a run across into the open side; floated to a run away.
    """
    parts = []
    throws = (
        ("flat", "to the open side", (5.0, 10.0, 15.0, 20.0, 25.0)),
        ("floated", "away", (38.0,)),
    )
    for level, (shape, run, distances) in product(("elite", "club", "novice"), throws):
        found = by_throw(distances, [20.0], (run,), Passing(level, shape=shape), n=n, seed=seed)
        parts.append(found.assign(level=level, throw=f"{shape}, {run}"))
    return pd.concat(parts, ignore_index=True)


def figures() -> str:
    """The text between the marks in `sim/MODEL.md`."""
    shape, thrown, far = possession_shape(), all_thrown(), by_distance()
    said, cells = reliability(thrown), by_cell(thrown)
    lines = ["A possession (elite, calm, man; mean over five seeds of 600):", ""]
    lines += ["| quantity | mean | standard error | band | |", "|---|---|---|---|---|"]
    for name, row in shape.iterrows():
        source = "published" if name in PUBLISHED else "memory"
        word = "inside" if row["inside"] else f"outside: {WHY.get(str(name), 'see known limits')}"
        band = f"{row['low']:g} to {row['high']:g} ({source})"
        lines.append(f"| {name} | {row['mean']:.3f} | {row['se']:.3f} | {band} | {word} |")
    near = (said["said"] - said["kept"]).abs() <= 0.05
    lines += [
        "",
        "Said and kept (throws), in tenths with 100 throws or more, over every plan and defence of the "
        "shipped",
        f"situations, 200 rehearsals each; {near.sum()} of {len(said)} tenths agree within 5 points:",
        "",
        "| level | pass | said, kept (throws) |",
        "|---|---|---|",
    ]
    for (level, later), part in said.groupby(["level", "later"]):
        tenths = "; ".join(f"{r.said:.2f} {r.kept:.2f} ({r.throws})" for r in part.itertuples())
        lines.append(f"| {level} | {'later' if later else 'first'} | {tenths} |")
    off = (cells["said"] - cells["kept"]).abs()
    worst = cells.loc[off.sort_values(ascending=False).index[:5]]
    lines += [
        "",
        "By look of one plan against one defence (100 throws or more) they are apart by "
        f"{np.average(off, weights=cells['throws']):.3f}",
        f"on average, and by more than 0.15 in {(off > 0.15).sum()} of {len(cells)}. The five worst:",
        "",
        "| level | situation | plan, defence | look | said | kept |",
        "|---|---|---|---|---|---|",
    ]
    for r in worst.itertuples():
        where = f"{r.level} | {r.situation} | {r.plan}, {r.defence} | {r.look}"
        lines.append(f"| {where} | {r.said:.2f} | {r.kept:.2f} |")
    lines += ["", "Completion by distance, a tight cover of the same level, 400 passes each:", ""]
    lines += ["| level | throw | distance, m | said | kept |", "|---|---|---|---|---|"]
    for r in far.itertuples():
        lines.append(
            f"| {r.level} | {r.throw} | {r.distance_m:g} | {r.thought:.2f} | {r.estimate:.2f} |"
        )
    lines += ["", FROM_MEMORY]
    return "\n".join(lines)


def main() -> None:
    """Write the figures into `sim/MODEL.md`."""
    text = MODEL.read_text(encoding="utf-8")
    before, _, rest = text.partition(START)
    _, end, after = rest.partition(END)
    if not end:
        raise SystemExit(f"{MODEL}: no '{START}' with '{END}' after it")
    MODEL.write_text(f"{before}{START}\n\n{figures()}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
