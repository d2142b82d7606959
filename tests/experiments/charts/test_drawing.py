"""`draw` finds the chart of a result, from Python as the commands do."""

from __future__ import annotations

import inspect
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure

import experiments
from experiments import (
    charts,
    compare,
    draw,
    map,
    matchup,
    rehearse,
    tune,
    vary,
    what_if,
)  # fmt: skip
from experiments.charts import drawing
from experiments.charts.drawing import KINDS, curve, heat, kinds_of
from experiments.charts.style import Style
from experiments.cli.draw import CHARTS
from experiments.errors import StallwiseError
from experiments.words.looks import HARDLY, looks_in_short
from experiments.words.measured import in_a_sentence
from tests.experiments.looking import by_gid, cut_off, overlapping, words
from tests.experiments.results import RESULTS, RUN, SITUATION, TWO, WIND, result


@pytest.mark.parametrize("study", RESULTS)
def test_each_kind_of_each_result_draws_something(study: str) -> None:
    found = result(study)
    kinds = kinds_of(found)
    assert kinds
    for kind in kinds:
        if kind == "turns" and not found.turns:
            continue
        ax = draw(found, kind, style=Style(units="yd"))
        assert ax.has_data() or ax.tables or ax.texts, kind
        ax.get_figure(root=True).canvas.draw()


def test_every_module_of_charts_is_reached_from_draw() -> None:
    """A chart that is drawn from nowhere is found by nobody."""
    here = Path(charts.__file__).parent
    reached, ahead = set(), ["drawing"]
    while ahead:
        name = ahead.pop()
        reached.add(name)
        text = (here / f"{name}.py").read_text()
        found = set(re.findall(r"^from experiments\.charts\.(\w+) import", text, re.M))
        ahead += found - reached
    assert reached == {path.stem for path in here.glob("*.py")} - {"__init__"}
    listed = {each for kinds in KINDS.values() for each in kinds.values()}
    for name, each in vars(drawing).items():
        if inspect.isfunction(each) and [*inspect.signature(each).parameters][:3] == TAKEN:
            assert each in {*listed, curve, heat}, name  # either is drawn of what was varied


@pytest.mark.parametrize("study", RESULTS)
def test_every_chart_is_kept_or_drawn_by_a_command(study: str) -> None:
    found = result(study)
    by_draw = [chart for chart, make in CHARTS.items() if chart in kinds_of(found)]
    assert {*kinds_of(found)} - {"turns"} <= {*by_draw, *getattr(found, "charts", ())}


TAKEN = ["found", "ax", "style"]
LATE = SITUATION.with_setting("stall", 6.0)  # too late for the strike that the plan is named after
LOOKED_AT = {
    "tune": lambda s: tune(s, {WIND: (0.0, 1.0)}, 40, 3, points=2, engine=RUN),
    "rehearse": lambda s: rehearse(s, 40, 3, engine=RUN),
    "compare": lambda s: compare(s, TWO, 40, 3, engine=RUN),
    "whatif": lambda s: what_if(s, {WIND: 1.0}, 40, 3, engine=RUN),
    "map": lambda s: map(s, [0.0], [20.0, 40.0], 40, 3, engine=RUN),
    "matchup": lambda s: matchup(s, TWO, ["man", "fronting"], n=40, seed=3, engine=RUN),
    "vary": lambda s: vary(s, {"spread": [0.2, 0.4, 0.6]}, 40, 3, engine=RUN),
    "heat": lambda s: vary(s, {"spread": [0.2, 0.4], WIND: [0.0, 1.0]}, 40, 3, engine=RUN),
}


@pytest.mark.slow
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
            assert bool(sized) is (
                hardly and study not in ("rehearse", "tune")
            )  # told in its title
            assert overlapping(figure) == []
            assert cut_off(figure) == []


def test_what_each_look_was_thrown_and_kept_stands_in_the_chart() -> None:
    compared = result("compare")
    text = words(draw(compared).get_figure(root=True))
    for plan, shares in compared.looks.items():
        assert f"plan {plan}: {looks_in_short(shares, 2, kept=True)}".replace(
            " ", ""
        ) in text.replace("\N{NO-BREAK SPACE}", "").replace(" ", "")
    for study, told in (("map", "strike left: thrown first in"), ("matchup", "kept")):
        assert told in words(draw(result(study)).get_figure(root=True))


def test_a_curve_is_hatched_where_the_first_look_is_no_longer_thrown() -> None:
    found = vary(SITUATION, {"stall": [2.0, 4.0, 6.0, 7.0]}, 40, 3, engine=RUN)
    (span,) = by_gid(draw(found), "hardly thrown")
    assert (span.get_x(), span.get_x() + span.get_width()) == pytest.approx((5.0, 7.0))


def test_before_and_after_show_the_same_part_of_the_field_and_what_changed() -> None:
    found: Any = result("whatif")
    ax = draw(found)
    figure: Any = ax.get_figure(root=True)
    before, after = (each for each in figure.axes if each.get_title(loc="left"))
    assert before.get_xlim() == after.get_xlim() and before.get_ylim() == after.get_ylim()
    assert before.get_title(loc="left").startswith("before: completed")
    assert looks_in_short(found.before.looks, 2) in before.get_title(loc="left").replace(
        "\N{NO-BREAK SPACE}", " "
    )
    text = words(figure)
    assert "strike against man, force forehand" in text
    assert "changed: speed (wind) 0 to 4 m/s; force forehand to backhand" in text
    said = in_a_sentence(found.comparison, SITUATION)
    assert said.split(":")[0] in text


def test_who_is_first_and_a_flight_are_drawn_where_asked() -> None:
    study: Any = result("rehearse")
    assert "0.5 s after the start" in words(draw(study, "first", at=0.5).get_figure(root=True))
    for metres in (1.0, 80.0):
        ax = draw(SITUATION, "flights", at=metres)
        assert f"over {metres:.0f} m" in words(ax.get_figure(root=True))


def test_axes_are_drawn_on_and_charts_of_several_refuse_them() -> None:
    ax = Figure(layout="constrained").add_subplot()
    study: Any = result("rehearse")
    assert draw(study, "off-centre", ax) is ax
    assert len(ax.patches) > 1
    with pytest.raises(StallwiseError, match="ax: found axes for differences"):
        draw(result("compare"), ax=ax)
    with pytest.raises(StallwiseError, match=r"found 'of-centre'.*mean 'off-centre'"):
        draw(study, "of-centre")
    with pytest.raises(StallwiseError, match="first: the rehearsal runs from"):
        draw(study, "first", at=90.0)
    with pytest.raises(StallwiseError, match="found 500 m; allowed: from 1 to 80 m"):
        draw(SITUATION, "flights", at=500.0)
    with pytest.raises(StallwiseError, match="found 3 for start; allowed: for first and flights"):
        draw(SITUATION, "start", at=3.0)
    with pytest.raises(StallwiseError, match="found a ndarray; allowed: Compared, Map"):
        draw(np.zeros(2))


def test_the_public_face_gives_what_it_lists_with_docstrings() -> None:
    for name in experiments.__all__:
        assert getattr(experiments, name).__doc__, name
    with pytest.raises(AttributeError):
        experiments.rehearsal  # noqa: B018
