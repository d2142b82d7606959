"""Directions that are common practice, with no source: sign only, paired under the same luck.

Each row compares two situations that differ in one thing; the first is expected to have more of the
measure than the second. n is 1,500, more where that is just enough under one seed and not under another
(tried under seeds 7, 101 and 202); a row comes out when the paired difference lies beyond 3.1 standard
errors (false alarm 0.001), or beyond 4.5 already after a third of the rehearsals (false alarm 3e-6,
Haybittle and Peto's rule: most rows do, and the rest is not played). A row that does not come out stands
in CAUSES with its cause and the figure found; it is held to be small, so that a change of the game that
brings it out fails here, and the luck of a seed does not.
The situations are shipped ones and changed ones, at the levels elite and club.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd
import pytest

from experiments import Situation, load
from experiments.situations.lineup import line_up
from sim.rehearsing import rehearse

pytestmark = pytest.mark.slow
N, SEED, PIECE = 1500, 7, 500
BEYOND, SURE = 3.1, 4.5  # standard errors, at the end and after the first third
SMALL = 0.01  # of a row that does not come out


def look(who: str, cut: str, start: float = 4.0, stop: float = 9.5, **more: Any) -> dict[str, Any]:
    """One look of a plan."""
    return {"who": who, "cut": cut, "from": start, "to": stop, **more}


LOOKS = {
    "dump": look("left", "dump"),
    "strike": look("left", "strike"),
    "up-line": look("right", "up-line"),
    "swing": look("right", "swing"),
    "around": look("left", "around", back=-3.0),
    "two-way": look("left", "two-way"),
}


def play(
    plan: str | dict[str, Any] | list[dict[str, Any]],
    level: str = "elite",
    *,
    cover: dict[str, Any] | None = None,
    defence: dict[str, Any] | None = None,
    settings: dict[str, Any] | None = None,
    **top: Any,
) -> str:
    """The reset from the middle with one plan and one defence, as text to be kept by."""
    data = load("middle-reset").to_dict()
    looks = LOOKS[plan] if isinstance(plan, str) else plan
    looks = looks if isinstance(looks, list) else [looks]
    data["plans"] = {
        "tried": {"policy": "looks", "free": False, **(settings or {}), "looks": looks}
    }
    data["defences"] = {"tried": {"policy": "man", "handlers": cover or {}, **(defence or {})}}
    data |= {"plan": "tried", "defence": "tried", "roster": {"offence": level, "defence": level}}
    for path, value in top.items():
        keys = path.split("__")
        part: Any = data
        for key in keys[:-1]:
            part = part[int(key)] if isinstance(part, list) else part.setdefault(key, {})
        part[keys[-1]] = value
    return json.dumps(data, sort_keys=True)


def rows(text: str, n: int = N) -> pd.DataFrame:
    """The first n rows of a situation."""
    return pd.concat([_piece(text, start) for start in range(0, n, PIECE)], ignore_index=True)


@lru_cache(maxsize=512)
def _piece(text: str, start: int) -> pd.DataFrame:
    """Some rows; each is rehearsed once, however many are asked for at a time."""
    ready = line_up(Situation.from_dict(json.loads(text)))
    numbers = np.arange(start, start + PIECE)
    record = rehearse(ready.scene, ready.offence, ready.defence, numbers, SEED)
    return pd.DataFrame(record.columns(getattr(ready.offence, "look_names", ())))


Measure = Callable[[pd.DataFrame], Any]


def completed(table: pd.DataFrame) -> Any:
    """Whether the disc was kept."""
    return table["completed"].astype(float)


def there(table: pd.DataFrame) -> Any:
    """Whether the cut itself was thrown, before last call, and kept."""
    thrown = ~table["look"].isin(["", "open player"]) & (table["stall_at_release"] < 8.0)
    return (table["completed"] & thrown).astype(float)


def untold(table: pd.DataFrame) -> Any:
    """Whether somebody who was not called was thrown to, and kept it."""
    return (table["completed"] & (table["look"] == "open player")).astype(float)


def kept_if_thrown(table: pd.DataFrame) -> Any:
    """Whether a throw was kept; nothing where none was made."""
    return table["completed"].astype(float).where(table["look"] != "")


def stalled(table: pd.DataFrame) -> Any:
    """Whether the count ran out."""
    return (table["outcome"] == "stalled").astype(float)


def column(name: str) -> Measure:
    """A column of the table."""
    return lambda table: table[name].astype(float)


@dataclass(frozen=True)
class Row:
    """One comparison: more of the measure in `more` than in `less`."""

    name: str
    more: str
    less: str
    measure: Measure = completed
    n: int = N


def stance(name: str, cushion: float = 1.2) -> dict[str, Any]:
    """A cover of the handlers."""
    return {"stance": name, "cushion": cushion}


LOOSE = stance("sagging", 2.5)
WALL = stance("fronting", 0.8)


def slower(level: str) -> dict[str, Any]:
    """Defenders with slower legs."""
    return {"level": level, "top_speed": 6.6}


def later(level: str) -> dict[str, Any]:
    """Defenders who see later."""
    return {"level": level, "reaction": 0.55, "tracking": 0.38}


def table_of_rows() -> list[Row]:
    """Every row, at both levels."""
    found: list[Row] = []
    for level in ("elite", "club"):

        def add(
            name: str,
            more: str,
            less: str,
            measure: Measure = completed,
            n: int = N,
            at: str = level,
        ) -> None:
            found.append(Row(f"{at} {name}", more, less, measure, n))

        add(
            "dump: tight, against one who takes the dump away",
            play("dump", level),
            play("dump", level, cover=stance("deny-dump")),
        )
        add(
            "dump: against one who takes the up-line away, than against one who takes the dump",
            play("dump", level, cover=stance("deny-up-line")),
            play("dump", level, cover=stance("deny-dump")),
        )
        add(
            "up-line: fronting, against one who backs off",
            play("up-line", level, cover=stance("fronting")),
            play("up-line", level, cover=stance("backing", 2.5)),
            there,
        )
        add(
            "strike: slower defenders",
            play("strike", level, roster__defence=slower(level)),
            play("strike", level),
            there,
        )
        add(
            "up-line: later defenders",
            play("up-line", level, roster__defence=later(level)),
            play("up-line", level),
            there,
            4500,
        )
        add(
            "swing: later defenders",
            play("swing", level, roster__defence=later(level)),
            play("swing", level),
            n=4500,
        )
        for plan in ("strike", "swing", "dump", "around"):
            cover = LOOSE if plan in ("swing", "around") else {}
            base = play(plan, level, cover=cover)
            add(
                f"{plan}: calm, than a wind of 8 m/s across",
                base,
                play(plan, level, cover=cover, wind={"speed": 8.0, "toward": 90.0}),
            )
            add(
                f"{plan}: steady throwers, than wild ones",
                base,
                play(
                    plan, level, cover=cover,
                    roster__offence={"level": level, "aim_error": 9.0, "loft_error": 5.0},
                ),
            )  # fmt: skip
            add(
                f"{plan}: good hands, than bad ones",
                base,
                play(plan, level, cover=cover, roster__offence={"level": level, "hands": 0.8}),
            )
        add(
            "strike: begun at 4, than at 7.5",
            play("strike", level),
            play(look("left", "strike", 7.5, 10.0), level, stall=7.0),
            there,
        )
        add(
            "dump: begun at 4, than at 8",
            play("dump", level),
            play(look("left", "dump", 8.0, 10.0), level, stall=8.0),
        )
        add(
            "swing: 8 m wide, than 16 m",
            play(look("right", "swing", wide=8.0), level, cover=LOOSE),
            play(look("right", "swing", wide=16.0), level, cover=LOOSE),
        )
        add(
            "around: a mark in front, than one round on the break side",
            play("around", level, cover=LOOSE, defence={"mark": {"angle": 15.0}}),
            play("around", level, cover=LOOSE, defence={"mark": {"angle": 70.0}}),
            n=3000,
        )
        add(
            "swing: forehand force, than a straight-up mark",
            play("swing", level, cover=LOOSE),
            play("swing", level, cover=LOOSE, force="straight-up"),
        )
        add(
            "a pickier thrower throws later",
            play("swing", level, settings={"picky": 0.97}),  # a dump is sure at once
            play("swing", level, settings={"picky": 0.6}),
            column("release_s"),
        )
        add(
            "fakes cost time off the count",
            play("dump", level, settings={"fakes": 2}),
            play("dump", level),
            column("release_s"),
        )
        add(
            "a deep strike: cutters who clear, than who hold",
            play(look("left", "strike", depth=16.0), level, settings={"others": "clear"}),
            play(look("left", "strike", depth=16.0), level),
            there,  # with the cutters' defenders in the way it is hardly thrown at all
        )
        add(
            "two-way, than the strike, against one who takes the strike away",
            play("two-way", level, cover=stance("inside")),
            play("strike", level, cover=stance("inside")),
            there,
        )
        add(
            "a poacher takes the strike",
            play("strike", level),
            play("strike", level, defence={"help": {"off": "weak-handler"}}),
            there,
        )
        seen = {"free": True}
        add(
            "a poacher's man is thrown to, untold",
            play("strike", level, settings=seen, defence={"help": {"off": "weak-handler"}}),
            play("strike", level, settings=seen),
            untold,
        )
        add(
            "up-line: against one who takes the dump away, than against one who takes the up-line",
            play("up-line", level, cover=stance("deny-dump")),
            play("up-line", level, cover=stance("deny-up-line", 2.0)),
            there,
        )
        add(
            "a pickier thrower completes more of what is thrown",
            play("around", level, settings={"picky": 0.95}),
            play("around", level, settings={"picky": 0.4}),
            kept_if_thrown,
        )
        wants, takes = {"picky": 1.0, "desperate": 1.0}, {"picky": 0.6, "desperate": 0.2}
        walls = {"cutters": WALL}
        add(
            "a pickier thrower stalls more",
            play("swing", level, settings=wants, cover=WALL, defence=walls),
            play("swing", level, settings=takes, cover=WALL, defence=walls),
            stalled,
        )
        for other in (slower, later):
            add(
                f"strike: {other.__name__} defenders leave more room",
                play("strike", level, roster__defence=other(level)),
                play("strike", level),
                column("separation_m"),
            )
        add(
            "dump: a tight cover leaves less room than a loose one",
            play("dump", level, cover=stance("tight", 2.5)),
            play("dump", level, cover=stance("tight", 1.0)),
            column("separation_m"),
        )
        for plan in ("dump", "swing", "up-line", "around", "strike"):
            pressed = {**LOOKS[plan], "from": 6.5, "to": 10.0}  # no time left to wait them out
            add(
                f"{plan} at 6.5: club defenders, than elite ones",
                play(pressed, level, stall=6.5, roster__defence="club"),
                play(pressed, level, stall=6.5, roster__defence="elite"),
                n=3000,
            )
    return found


# Rows that do not come out: why, and the paired figure (first - second, its standard error).
CAUSES: dict[str, str] = {
    "elite swing: forehand force, than a straight-up mark": "0.000 (0.001): a pass square to the "
    "side passes beside the hands of a mark in front",
    "elite a pickier thrower completes more of what is thrown": "+0.027 (0.010): an elite around "
    "gets little better by waiting: the mark who has settled is in the way of one throw in eight",
    "elite a pickier thrower stalls more": "0.000: as for the club",
    "club a pickier thrower stalls more": "+0.001 (0.001): at the end a throw with some chance is "
    "better than a stall to the pickiest as well, and somebody is always half open",
    "elite around: a mark in front, than one round on the break side": "-0.070 (0.008): round a mark "
    "who stands on the break side a forehand leaves early; in front of one who follows the disc half "
    "the forehands are stopped, and the thrower does not foresee how far that mark steps",
    "club around: a mark in front, than one round on the break side": "-0.056 (0.009): as for the elite",
}


def paired(row: Row, n: int) -> tuple[float, float]:
    """The difference of a row in its first n rehearsals and its standard error."""
    more, less = (row.measure(rows(text, n)) for text in (row.more, row.less))
    gap = np.asarray(more, float) - np.asarray(less, float)
    gap = gap[np.isfinite(gap)]
    return float(gap.mean()), float(gap.std(ddof=1) / np.sqrt(len(gap)))


@pytest.mark.parametrize("row", table_of_rows(), ids=lambda row: row.name)
def test_a_direction_comes_out(row: Row) -> None:
    if row.name not in CAUSES:
        difference, error = paired(row, row.n // 3)
        if difference > SURE * error:
            return
    difference, error = paired(row, row.n)
    found = f"{difference:+.3f}, standard error {error:.3f}"
    if row.name in CAUSES:
        assert difference - BEYOND * error < SMALL, f"it comes out: {found}"
    else:
        assert difference > BEYOND * error, found


def test_most_rows_come_out() -> None:
    """Nine in ten are wanted."""
    assert len(CAUSES) <= len(table_of_rows()) / 10
    assert set(CAUSES) <= {row.name for row in table_of_rows()}, "a cause without a row"
