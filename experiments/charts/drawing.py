"""Draw what a study found: `draw` picks the chart by the kind of the result."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from matplotlib.axes import Axes

from experiments.charts.availability import availability
from experiments.charts.completion import completion_by_bearing, completion_by_distance
from experiments.charts.curve import curve
from experiments.charts.differences import differences_of_measures
from experiments.charts.flights import flights
from experiments.charts.heat import heat
from experiments.charts.matchup import matchup
from experiments.charts.off_centre import off_centre
from experiments.charts.openness import openness
from experiments.charts.play import play
from experiments.charts.start import start
from experiments.charts.sturdiness import screening, turns
from experiments.charts.style import Style, own_figure
from experiments.charts.tuning import tuning
from experiments.charts.whatif import before_and_after
from experiments.charts.where import where
from experiments.errors import StallwiseError, known_keywords, one_of_text
from experiments.situations.lineup import HANDS
from experiments.situations.situation import Situation
from experiments.studies.compare import Compared
from experiments.studies.completion import Passes
from experiments.studies.map import Map
from experiments.studies.matchup import Matchup
from experiments.studies.rehearse import Study
from experiments.studies.sturdiness.result import Sturdiness
from experiments.studies.tuning.result import Tuned
from experiments.studies.vary import Varied
from experiments.studies.whatif import WhatIf
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


def _varied(found: Varied, ax: Axes | None, style: Style | None) -> Axes:
    return (curve if len(found.settings) == 1 else heat)(found, ax, style)


def _flights(
    found: Situation, ax: Axes | None, style: Style | None, metres: float = FLIGHT
) -> Axes:
    own_figure(ax, "flights")
    if not 1.0 <= metres <= FARTHEST:
        raise StallwiseError(f"at: found {metres:g} m; allowed: from 1 to {FARTHEST:g} m")
    style, speed, toward = style or Style(), found.wind.speed, math.radians(found.wind.toward)
    blows = f", wind {speed:g} m/s" if speed else ""
    title = f"{title_of(found)}: backhand over {length(metres, style.units, 0)} downfield{blows}"
    wind = speed * math.cos(toward), speed * math.sin(toward)
    return flights(metres, wind=wind, hand=HANDS[found.holder.hand], title=title, style=style)[0]


KINDS: dict[type, dict[str, Callable[..., Axes]]] = {
    Situation: {"start": start, "flights": _flights},
    Passes: {"completion": completion_by_distance, "directions": completion_by_bearing},
    Study: {"play": play, "where": where, "off-centre": off_centre, "first": openness},
    Compared: {"differences": differences_of_measures},
    WhatIf: {"whatif": before_and_after},
    Varied: {"vary": _varied},
    Map: {"map": availability},
    Matchup: {"matchup": matchup},
    Tuned: {"tuning": tuning},
    Sturdiness: {"screening": screening, "turns": turns},
}
