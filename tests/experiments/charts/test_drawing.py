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
from experiments.words.looks import HARDLY, looks_in_short
from tests.experiments.looking import by_gid, cut_off, overlapping, words

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


LATE = SITUATION.with_setting("stall", 6.0)  # too late for the strike that the plan is named after
LOOKED_AT = {
    "compare": lambda s: compare(s, TWO, 40, 3, engine=RUN),
    "map": lambda s: map(s, [0.0], [20.0, 40.0], 40, 3, engine=RUN),
    "matchup": lambda s: matchup(s, TWO, ["man", "siding"], n=40, seed=3, engine=RUN),
    "vary": lambda s: vary(s, {"spread": [0.2, 0.4, 0.6]}, 40, 3, engine=RUN),
    "heat": lambda s: vary(s, {"spread": [0.2, 0.4], WIND: [0.0, 1.0]}, 40, 3, engine=RUN),
}


@pytest.mark.parametrize("study", LOOKED_AT)
def test_a_look_that_was_hardly_thrown_is_seen_in_the_chart(study: str) -> None:
    for situation, hardly in ((SITUATION, False), (LATE, True)):
        found = LOOKED_AT[study](situation)
        for size in ("page", "clinic"):
            figure: Any = draw(found, style=Style(size=size)).get_figure(root=True)
            assert (HARDLY in words(figure)) is hardly
            marks = figure.findobj(lambda a: a.get_gid() in ("hardly thrown", "hatched cell"))
            sized = [
                mark
                for mark in marks
                if not hasattr(mark, "get_offsets") or len(mark.get_offsets())
            ]
            assert bool(sized) is hardly
            assert overlapping(figure) == []
            assert cut_off(figure) == []


def test_what_each_look_was_thrown_and_kept_stands_in_the_chart() -> None:
    compared = RESULTS["compare"]()
    text = words(draw(compared).get_figure(root=True))
    for plan, shares in compared.looks.items():
        assert f"plan {plan}: {looks_in_short(shares, 2, kept=True)}".replace(
            " ", ""
        ) in text.replace("\N{NO-BREAK SPACE}", "").replace(" ", "")
    for study, told in (("map", "strike left: thrown first in"), ("matchup", "kept")):
        assert told in words(draw(RESULTS[study]()).get_figure(root=True))


def test_a_curve_is_hatched_where_the_first_look_is_no_longer_thrown() -> None:
    found = vary(SITUATION, {"stall": [2.0, 4.0, 6.0, 7.0]}, 40, 3, engine=RUN)
    (span,) = by_gid(draw(found), "hardly thrown")
    assert (span.get_x(), span.get_x() + span.get_width()) == pytest.approx((5.0, 7.0))


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
