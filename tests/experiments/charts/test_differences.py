"""All measures of a comparison on a page, and as many as stay readable on a slide."""

from __future__ import annotations

from typing import Any

import pytest

from experiments.charts.differences import differences_of_measures
from experiments.charts.style import Style
from experiments.running.engine import Engine
from experiments.situations.files import load
from experiments.studies.compare import Compared, compare
from tests.experiments.looking import cut_off, overlapping, smallest_text, texts


@pytest.fixture(scope="module")
def compared() -> Compared:
    plans = ["strike", "dump", "swing", "up-line"]
    return compare(load("middle-reset"), plans, n=60, seed=7, engine=Engine(progress=False))


def _axes(first: Any) -> list[Any]:
    return [ax for ax in first.figure.axes if ax.axison]


def test_a_page_shows_every_measure(compared: Compared) -> None:
    axes = _axes(differences_of_measures(compared))
    measures = {d.measure for d in compared.comparison.differences}
    assert len(axes) == len(measures) >= 4
    figure = axes[0].figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []
    assert not any(text.startswith("not shown") for text, _ in texts(figure))


def test_a_slide_shows_what_stays_readable_and_names_the_rest(compared: Compared) -> None:
    style = Style(size="clinic")
    axes = _axes(differences_of_measures(compared, style=style))
    figure = axes[0].figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []
    assert smallest_text(figure) >= style.sizes.text
    assert axes[0].get_xlabel().startswith("completed")
    (left_out,) = [text for text, _ in texts(figure) if text.startswith("not shown")]
    assert "trapped" in left_out


def test_a_slide_shows_the_measures_asked_for(compared: Compared) -> None:
    axes = _axes(
        differences_of_measures(compared, None, Style(size="clinic"), measures=["trapped"])
    )
    assert [ax.get_xlabel().split(":")[0] for ax in axes] == ["trapped"]
    with pytest.raises(ValueError, match="not compared: luck; compared are completed"):
        differences_of_measures(compared, measures=["luck"])
