"""Draw what a study found: `draw` picks the chart by the kind of the result."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes

from experiments.charts.availability import availability_of_forces
from experiments.charts.comparing import differences_of_measures
from experiments.charts.completion import completion_by_bearing, completion_by_distance
from experiments.charts.flights import flights
from experiments.charts.heat import heat
from experiments.charts.matchup import matchup
from experiments.charts.off_centre import off_centre
from experiments.charts.openness import openness
from experiments.charts.play import play
from experiments.charts.start import start
from experiments.charts.sturdiness import TurnCurve, screening, turnings
from experiments.charts.style import Style
from experiments.charts.timing import timing
from experiments.charts.tuning import tuning, tuning_of_settings
from experiments.charts.whatif import before_and_after
from experiments.charts.where import where
from experiments.errors import StallwiseError, known_keywords, one_of_text
from experiments.situations.lineup import HANDS
from experiments.situations.situation import Situation
from experiments.studies.compare import Compared
from experiments.studies.completion import RING, Passes
from experiments.studies.map import Map
from experiments.studies.matchup import Matchup
from experiments.studies.rehearse import Study
from experiments.studies.sturdiness.result import Sturdiness
from experiments.studies.tuning.result import Tuned
from experiments.studies.vary import Varied, first_look
from experiments.studies.whatif import WhatIf
from experiments.tapes.openness import abilities_of
from experiments.tapes.paths import first_part
from experiments.tapes.picking import pick_rehearsal
from experiments.words.looks import HALF, HARDLY, own_look, warned_title
from experiments.words.measured import headline, label_of, unit_of, words_of
from experiments.words.wording import length, title_of

AT = ("first", "flights")  # kinds that are drawn at some second, or over some metres
FLIGHT, FARTHEST = 20.0, 80.0  # m


@known_keywords
def draw(
    result: Any,
    kind: str | None = None,
    ax: Axes | None = None,
    style: Style | None = None,
    *,
    at: float | None = None,
) -> Axes:
    """Draw a result.

    Parameters
    ----------
    result : what a study returned.
    kind : which of the charts of such a result, a name of `kinds_of`; None draws the first.
    ax : axes to draw on; None makes a figure. Charts of several axes make a figure of their own.
    style : units, sizes and direction.
    at : of "first" the seconds after the start of the play, by default those at its first throw; of
        "flights" the metres from the thrower to the catch, by default 20.

    Raises
    ------
    StallwiseError : there is no chart of such a result, or none of that kind (the text lists
        them); or `ax` is given for a chart of several axes.
    """
    known = KINDS.get(type(result))
    if known is None:
        allowed = ", ".join(sorted(each.__name__ for each in KINDS))
        raise StallwiseError(f"draw: found a {type(result).__name__}; allowed: {allowed}")
    chosen = next(iter(known)) if kind is None else kind
    if chosen not in known:
        raise StallwiseError(f"kind: found {chosen!r}; allowed: {one_of_text(chosen, known)}")
    if at is None:
        return known[chosen](result, ax, style)
    if chosen not in AT:
        raise StallwiseError(f"at: found {at:g} for {chosen}; allowed: for {' and '.join(AT)} only")
    return known[chosen](result, ax, style, at)


def kinds_of(result: Any) -> tuple[str, ...]:
    """The kinds of charts that there are of a result; the first is drawn by default."""
    return tuple(KINDS.get(type(result), ()))


def _own_figure(ax: Axes | None, kind: str) -> None:
    if ax is not None:
        raise StallwiseError(f"ax: found axes for {kind}, a chart of several; allowed: None")


def _differences(found: Compared, ax: Axes | None, style: Style | None) -> Axes:
    _own_figure(ax, "differences")
    title = headline(found.situation, plan=False)
    return differences_of_measures(found, title=title, style=style)[0]


def _whatif(found: WhatIf, ax: Axes | None, style: Style | None) -> Axes:
    _own_figure(ax, "whatif")
    return before_and_after(found, style=style)[0]


def _varied(found: Varied, ax: Axes | None, style: Style | None) -> Axes:
    table = found.table()
    name, s = found.measure.name, found.situation
    names = [label_of(setting.path) for setting in found.settings]
    table["hardly"] = table["first_look"] < HALF
    words = words_of(found.measure, s)
    words = f"{words} ({found.measure.unit})" if found.measure.unit else words
    if len(names) == 1:
        first = found.settings[0]
        curve = table.rename(
            columns={
                first.path: "value",
                name: "estimate",
                f"{name}_low": "low",
                f"{name}_high": "high",
            }
        )
        now = float(first.value) if isinstance(first.value, (int, float)) else None
        return timing(
            curve,
            ax,
            style=style,
            setting=label_of(first.path),
            unit=unit_of(first),
            window=found.window,
            hardly=first_look(s),
            now=now,
            measure=words,
            share=found.measure.share,
            title=headline(s),
        )
    grid = table.rename(
        columns={found.settings[0].path: names[0], found.settings[1].path: names[1]}
    ).rename(columns={name: "estimate"})
    return heat(
        grid,
        ax,
        style=style,
        across=names[0],
        up=names[1],
        across_unit=unit_of(found.settings[0]),
        up_unit=unit_of(found.settings[1]),
        measure=words,
        share=found.measure.share,
        mark="as_good" if found.best is not None else None,
        hatch="hardly",
        hatch_words=f"{first_look(s)} {HARDLY}",
        title=headline(s),
    )


def _map(found: Map, ax: Axes | None, style: Style | None) -> Axes:
    _own_figure(ax, "map")
    places = found.table().rename(columns={"worked": "estimate"})
    s = found.situation
    title, look = headline(s, force=False), found.look or "any look"
    field = s.playing_field
    return availability_of_forces(places, field, look=look, title=title, style=style)[0]


def _matchup(found: Matchup, ax: Axes | None, style: Style | None) -> Axes:
    game, s = found.solved.game, found.situation
    looks = np.array(
        [[own_look(s, p, found.looks[p, d]) for d in found.defences] for p in found.plans]
    )
    return matchup(
        found.array("estimate"),
        found.array("low"),
        found.array("high"),
        ax,
        style=style,
        offence=found.plans,
        defence=found.defences,
        offence_mix=game.row_mix,
        defence_mix=game.column_mix,
        offence_range=game.row_range,
        defence_range=game.column_range,
        game_value=game.value,
        thrown=looks[..., 0],
        kept=looks[..., 1],
        measure=words_of(found.measure, s),
        share=found.measure.share,
        title=headline(s, plan=False, defence=False),
    )


def _tuned(found: Tuned, ax: Axes | None, style: Style | None) -> Axes:
    measure = found.judge.measure
    words = words_of(measure, found.situation)
    title = warned_title(found.situation, found.fresh_looks)
    words = f"{words} ({measure.unit})" if measure.unit else words
    frames = [
        pd.DataFrame(
            [
                {
                    "value": entry.values[place],
                    "estimate": shown.estimate,
                    "low": shown.low,
                    "high": shown.high,
                    "as_good": entry.as_good,
                    "best": entry.best,
                }
                for entry in found.tried
                for shown in (found.fresh if entry.best else entry.found,)
            ]
        )
        for place in range(len(found.ranges))
    ]
    if len(frames) == 1:
        r = found.ranges[0]
        return tuning(
            frames[0],
            ax,
            style=style,
            setting=label_of(r.path),
            unit=unit_of(r.setting),
            now=r.now,
            measure=words,
            share=measure.share,
            title=title,
        )
    _own_figure(ax, "tuning of several settings")
    return tuning_of_settings(
        frames,
        [label_of(r.path) for r in found.ranges],
        [unit_of(r.setting) for r in found.ranges],
        [r.now for r in found.ranges],
        measure=words,
        share=measure.share,
        title=title,
        style=style,
    )[0]


def _screening(found: Sturdiness, ax: Axes | None, style: Style | None) -> Axes:
    return screening(
        found.table(),
        ax,
        style=style,
        advice=found.advice.estimate,
        measure=found.measure.words,
        title=f"{found.better} or {found.other}: what it depends on",
    )


def _turns(found: Sturdiness, ax: Axes | None, style: Style | None) -> Axes:
    _own_figure(ax, "turns")
    curves = [
        TurnCurve(
            turn.range.path,
            unit_of(turn.range.setting),
            turn.range.now,
            pd.DataFrame(
                [
                    {"value": v, "estimate": d.estimate, "low": d.low, "high": d.high}
                    for v, d in turn.differences.items()
                ]
            ),
        )
        for turn in found.turns
    ]
    title = f"{found.better} or {found.other}: where it turns ({found.measure.words})"
    return turnings(curves, better=found.better, other=found.other, title=title, style=style)[0]


def _first(
    found: Study, ax: Axes | None, style: Style | None, seconds: float | None = None
) -> Axes:
    tape = found.tape(pick_rehearsal(found.table, "typical").rehearsal)
    last, flight = first_part(tape)
    then = float(tape.times[last if flight is None else flight.release])
    able = abilities_of(found.situation)
    seconds, title = then if seconds is None else seconds, headline(found.situation)
    try:
        return openness(tape, able, seconds, ax, style=style, title=title)
    except ValueError as error:
        raise StallwiseError(f"first: {error}") from None


def _flights(
    found: Situation, ax: Axes | None, style: Style | None, metres: float = FLIGHT
) -> Axes:
    _own_figure(ax, "flights")
    if not 1.0 <= metres <= FARTHEST:
        raise StallwiseError(f"at: found {metres:g} m; allowed: from 1 to {FARTHEST:g} m")
    toward, hand = math.radians(found.wind.toward), HANDS[found.holder.hand]
    wind = found.wind.speed * math.cos(toward), found.wind.speed * math.sin(toward)
    style = style or Style()
    blows = f", wind {found.wind.speed:g} m/s" if found.wind.speed else ""
    title = f"{title_of(found)}: backhand over {length(metres, style.units, 0)} downfield{blows}"
    return flights(metres, wind=wind, hand=hand, title=title, style=style)[0]


def _by_distance(found: Passes, ax: Axes | None, style: Style | None) -> Axes:
    return completion_by_distance(found.by_distance, ax, title=_passes_title(found), style=style)


def _by_bearing(found: Passes, ax: Axes | None, style: Style | None) -> Axes:
    p, units = found.passing, (style or Style()).units
    return completion_by_bearing(
        found.by_bearing,
        ax,
        covered=p.covered,
        mark=p.mark_bearing,
        title=f"{_passes_title(found)}, over {length(RING, units, 0)}",
        style=style,
    )


def _passes_title(found: Passes) -> str:
    levels = f"{found.passing.level} against {found.passing.defenders}"
    return f"Single passes, {levels}: {headline(found.situation, plan=False, defence=False)}"


_Draw = Callable[..., Axes]
KINDS: dict[type, dict[str, _Draw]] = {
    Situation: {"start": start, "flights": _flights},
    Passes: {"completion": _by_distance, "directions": _by_bearing},
    Study: {
        "play": lambda found, ax, style: play(found, ax, style=style),
        "where": lambda found, ax, style: where(found, ax, style=style),
        "off-centre": lambda found, ax, style: off_centre(found, ax, style=style),
        "first": _first,
    },
    Compared: {"differences": _differences},
    WhatIf: {"whatif": _whatif},
    Varied: {"vary": _varied},
    Map: {"map": _map},
    Matchup: {"matchup": _matchup},
    Tuned: {"tuning": _tuned},
    Sturdiness: {"screening": _screening, "turns": _turns},
}
