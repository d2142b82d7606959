"""`draw` finds the chart of a result, from Python as the commands do."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure

import experiments
from experiments import compare, draw, engine, load, map, matchup, rehearse, sturdiness, tune, vary
from experiments.charts.drawing import KINDS, kinds_of
from experiments.charts.style import Style
from experiments.errors import StallwiseError

SITUATION = load("middle-reset")
RUN = engine(progress=False)
WIND, OFFSET = "wind.speed", "plans.strike.looks.0.release_offset"
TWO = ("strike", "dump")
RESULTS = {
    "rehearse": lambda: rehearse(SITUATION, 60, 3, engine=RUN),
    "compare": lambda: compare(SITUATION, TWO, 40, 3, engine=RUN),
    "vary": lambda: vary(SITUATION, {OFFSET: [-0.5, 0.0]}, 40, 3, engine=RUN),
    "heat": lambda: vary(SITUATION, {OFFSET: [0.0, 0.5], WIND: [0.0, 4.0]}, 40, 3, engine=RUN),
    "map": lambda: map(SITUATION, [0.0, 5.0], [30.0], 40, 3, engine=RUN),
    "matchup": lambda: matchup(SITUATION, TWO, n=40, seed=3, engine=RUN),
    "tune": lambda: tune(SITUATION, {WIND: (0.0, 4.0)}, 40, 3, points=3, engine=RUN),
    "sturdiness": lambda: sturdiness(
        SITUATION, TWO, 40, 3, over={WIND: (0.0, 4.0)}, count=2, engine=RUN
    ),
}


@pytest.mark.parametrize("study", RESULTS)
def test_each_kind_of_each_result_draws_something(study: str) -> None:
    found = RESULTS[study]()
    kinds = kinds_of(found)
    assert kinds
    for kind in kinds:
        if kind == "turns" and not found.turns:
            continue
        ax = draw(found, kind, style=Style(units="yd"))
        assert ax.has_data() or ax.tables or ax.texts, kind
        ax.get_figure(root=True).canvas.draw()


def test_axes_are_drawn_on_and_charts_of_several_refuse_them() -> None:
    ax = Figure(layout="constrained").add_subplot()
    study: Any = RESULTS["rehearse"]()
    assert draw(study, "off-centre", ax) is ax
    assert len(ax.patches) > 1
    with pytest.raises(StallwiseError, match="ax: found axes for differences"):
        draw(RESULTS["compare"](), ax=ax)
    with pytest.raises(StallwiseError, match=r"found 'of-centre'.*mean 'off-centre'"):
        draw(study, "of-centre")
    with pytest.raises(StallwiseError, match="found a ndarray; allowed: Compared, Map"):
        draw(np.zeros(2))


def test_the_public_face_gives_what_it_lists_with_docstrings() -> None:
    assert len(KINDS) == 8, "one result type a study, and the start of a situation"
    for name in experiments.__all__:
        assert getattr(experiments, name).__doc__, name
    with pytest.raises(AttributeError):
        experiments.rehearsal  # noqa: B018
