"""Vary one or two settings of a situation over a range, every point with the same luck."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from experiments.errors import StallwiseError, known_keywords
from experiments.running.engine import ENGINE, Engine
from experiments.running.precision import asked_n, rehearse_many
from experiments.situations.asks import ASKS
from experiments.situations.grid import check_number, key_of, numeric_setting
from experiments.situations.lineup import line_up
from experiments.situations.setting_paths import Setting
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, share
from experiments.statistics.measures import MAIN, MEASURES, Measure, measure_named, measured
from experiments.statistics.subset_selection import Judge, stretch
from experiments.statistics.weights import Weights
from experiments.studies.result import DEFAULT_SEED, Result, table_of
from experiments.words.measured import headline, margin_told, number, span, told, unit_of, words_of
from experiments.words.text_table import TextTable
from experiments.words.wording import count, percent

DEFAULT_N = 1000


@dataclasses.dataclass(frozen=True)
class Point:
    """One point of what was varied.

    Attributes
    ----------
    values : of the settings, in their order.
    found : the main measures and the chosen one, by name.
    first_look : share of all in which the first look of the plan was what was thrown.
    behind : the judged measure less that of the best point, paired; None for a measure that is
        neither good nor bad.
    best : whether its estimate is the best.
    as_good : whether it is not clearly worse than the best by more than the margin.
    n : its rehearsals.
    """

    values: tuple[float, ...]
    found: Mapping[str, Estimate]
    first_look: Estimate
    behind: Estimate | None
    best: bool
    as_good: bool
    n: int


@dataclasses.dataclass(frozen=True)
class Varied(Result):
    """A situation rehearsed over values of one or two settings.

    Attributes
    ----------
    settings : those that were varied.
    measure : what is drawn and judged.
    margin : a point worse than the best by no more than this counts as equally good.
    points : in the order of the values, the last setting changing fastest.
    """

    charts = ("vary",)
    settings: tuple[Setting, ...]
    measure: Measure
    weights: Weights
    margin: float
    points: tuple[Point, ...]

    @property
    def best(self) -> Point | None:
        """The point with the best estimate; None for a measure that is neither good nor bad."""
        return next((p for p in self.points if p.best), None)

    @property
    def window(self) -> tuple[float, float] | None:
        """The range of values around the best that are all as good, for one setting."""
        if len(self.settings) > 1 or self.best is None:
            return None
        ordered = sorted(self.points, key=lambda point: point.values)
        low, high = stretch([point.as_good for point in ordered], ordered.index(self.best))
        return ordered[low].values[0], ordered[high].values[0]

    def table(self) -> pd.DataFrame:
        """One row a point: its values, every measure with its interval, how far behind."""
        paths = [setting.path for setting in self.settings]
        rows = []
        for point in self.points:
            row = {**dict(zip(paths, point.values, strict=True)), "n": point.n, **point.found}
            row["first_look"] = point.first_look.estimate
            if point.behind is not None:
                row |= {"behind": point.behind, "as_good": point.as_good}
            rows.append(row)
        return table_of(rows)

    def tables(self) -> dict[str, pd.DataFrame]:
        """The points."""
        return {"vary": self.table()}

    def answer(self) -> dict[str, Any]:
        return {
            "plan": self.situation.plan,
            "defence": self.situation.defence,
            "settings": [
                {"path": s.path, "unit": s.unit, "in_use": s.value} for s in self.settings
            ],
            "measure": self.measure.name,
            "weights": self.weights,
            "margin": self.margin,
            "window": self.window,
            "points": [
                {
                    "values": point.values,
                    "rehearsals": point.n,
                    "as_good": point.as_good if point.behind is not None else None,
                    "behind": point.behind,
                    "first_look": point.first_look,
                    **point.found,
                }
                for point in self.points
            ],
        }

    def told(self, units: str = "m") -> list[str | TextTable]:
        """The main measures at every point, and the window that is as good as the best."""
        s, judged = self.situation, self.best is not None
        in_use = [(r, "nothing" if r.value is None else number(r.value)) for r in self.settings]
        shown = list(dict.fromkeys(("completed", self.measure.name, "gain_m", "off_centre_m")))
        heads = [
            *(setting.path.rsplit(".", 1)[-1] for setting in self.settings),
            *(words_of(MEASURES[name], s) for name in shown),
            "first look thrown",
            *([f"best {self.measure.words}"] if judged else []),
        ]
        rows = [
            (
                *map(number, point.values),
                *(told(point.found[name], MEASURES[name], units) for name in shown),
                percent(point.first_look.estimate),
                *(["best" if point.best else "as good" if point.as_good else ""] if judged else []),
            )
            for point in self.points
        ]
        lines: list[str | TextTable] = [
            headline(s),
            f"{count(max(point.n for point in self.points))} rehearsals of each, all with the luck "
            f"of seed {self.seed}",
            *(f"{r.path} in use: {now} {unit_of(r)}".rstrip() for r, now in in_use),
            "",
            TextTable(heads, rows, left=0),
        ]
        if self.window is not None:
            near = f"to within {margin_told(self.margin, self.measure)}, as far as these rehearsals show"
            lines.append(
                f"As good as the best {near}: {span(self.window, unit_of(self.settings[0]))}"
            )
        return lines


@known_keywords
def vary(
    situation: Situation,
    values: Mapping[str, Sequence[float]],
    n: int | None = None,
    seed: int = DEFAULT_SEED,
    *,
    within: float | None = None,
    measure: str | None = None,
    weights: Weights | None = None,
    margin: float | None = None,
    engine: Engine = ENGINE,
) -> Varied:
    """Rehearse a situation with each value of a setting, or each pair of values of two.

    Parameters
    ----------
    values : by path of a setting, such as ``plans.strike.looks.0.release_offset``; one or two.
    n : rehearsals of each point; 1000 unless `within` is given.
    seed : the luck, the same at every point.
    within : rehearse until completion is known to plus or minus this much at every point.
    measure : what is judged and drawn, a name of `experiments.statistics.measures.MEASURES`; by
        default what the situation asks about.
    margin : a point worse than the best by no more than this counts as equally good; that of the
        measure if None.
    engine : how to run it, made by `experiments.running.engine.engine`.

    Raises
    ------
    SituationError : there is no such numeric setting (the text lists the nearest), or a value
        is not allowed.
    StallwiseError : more than two settings, no values, or too many points.
    RunError, StudyFolderError, RunInterrupted : as `experiments.running.runner.run`.
    """
    if len(values) not in (1, 2):
        raise StallwiseError(f"found {len(values)} settings to vary; allowed: one or two")
    chosen, worth = measure_named(measure or ASKS[situation.asks]), weights or Weights()
    settings = tuple(numeric_setting(situation, path) for path in values)
    paths = [setting.path for setting in settings]
    if len(set(paths)) < len(paths):
        raise StallwiseError(f"found {paths[0]} twice; allowed: two different settings")
    spots = [tuple(dict.fromkeys(map(float, listed))) for listed in values.values()]
    for path, listed in zip(paths, spots, strict=True):
        if not listed:
            raise StallwiseError(f"{path}: found no values; allowed: at least one")
    places = list(itertools.product(*spots))
    check_number(places)
    changes = [dict(zip(paths, place, strict=True)) for place in places]
    keys = [key_of(change) for change in changes]
    made = dict(zip(keys, map(situation.with_settings, changes), strict=True))
    n = asked_n(n, within, DEFAULT_N)
    done = rehearse_many(made, n, seed, within=within, together=True, engine=engine)
    near = chosen.margin if margin is None else margin
    behind: dict[str, Estimate] = {}
    best, good = "", set()
    if chosen.more:
        judge = Judge(chosen, worth, len(keys), near, level=done.level)
        best = judge.best(done.tables)
        behind = judge.behind(done.tables, best)
        good = {key for key in made if not judge.worse(behind[key])}
    tables = [done.tables[key] for key in keys]
    look, names = first_look(situation), dict.fromkeys((*MAIN, chosen.name))
    points = tuple(
        Point(
            place,
            {name: measured(table, MEASURES[name], worth, done.level) for name in names},
            share((table["look"] == look).to_numpy(bool), done.level),
            behind.get(key),
            key == best,
            key in good,
            len(table),
        )
        for place, key, table in zip(places, keys, tables, strict=True)
    )
    return Varied(settings, chosen, worth, near, points, **done.account(situation, seed))


def first_look(situation: Situation) -> str:
    """The name of the first look of the plan; "" if the plan has none."""
    return next(iter(line_up(situation).look_names), "")
