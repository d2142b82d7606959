"""Charts of the sturdiness of a comparison: nothing is cut off, and the marks say what they do."""

from __future__ import annotations

import pandas as pd
import pytest

from experiments.charts.labels import renderer_of
from experiments.charts.sturdiness import TurnCurve, screening, turnings
from experiments.charts.style import Style

EFFECTS = pd.DataFrame(
    {
        "setting": [
            "defences.backing-off.handlers.cushion",
            "roster.offence.top_speed",
            "wind.speed",
        ],
        "mu_star": [0.08, 0.03, 0.0],
        "mu_star_spread": [0.04, 0.03, 0.0],
        "noise": [0.01, 0.02, 0.0],
        "matters": [True, False, False],
    }
)


@pytest.mark.parametrize("size", ["page", "clinic"])
def test_the_legend_of_a_screening_lies_within_the_figure(size):
    ax = screening(EFFECTS, advice=0.05, style=Style(size=size))
    figure = ax.figure
    figure.draw_without_rendering()
    box = ax.get_legend().get_window_extent(renderer_of(figure))
    assert box.x0 >= 0.0
    assert box.x1 <= figure.bbox.x1
    assert box.y1 <= figure.bbox.y1
    words = [text.get_text() for text in ax.get_legend().get_texts()]
    assert words == ["the difference in use", "matters", "no effect found", "luck alone"]


def test_the_largest_effect_is_on_top_and_what_matters_is_filled():
    ax = screening(EFFECTS, advice=-0.05)
    assert ax.get_ylim()[0] > ax.get_ylim()[1]
    lines = {line.get_gid(): line for line in ax.lines}
    assert lines["matters"].get_xydata().tolist() == [[0.08, 0.0]]
    assert lines["no effect found"].get_xydata().tolist() == [[0.03, 1.0], [0.0, 2.0]]
    assert lines["no effect found"].get_markerfacecolor() == "white"
    assert lines["advice"].get_xdata()[0] == 0.05


def test_turns_share_a_scale_and_show_what_is_in_use():
    curve = pd.DataFrame(
        {"value": [0, 1, 2], "estimate": [0.1, 0, -0.1], "low": [0.05, -0.1, -0.2],
         "high": [0.2, 0.1, 0.0]}
    )  # fmt: skip
    turns = [TurnCurve(f"wind.{k}", "m/s", 1.0 if k else None, curve) for k in range(3)]
    axes = turnings(turns, better="strike", other="dump", title="where it turns")
    assert len(axes) == 3
    assert len({ax.get_ylim() for ax in axes}) == 1
    assert [any(line.get_gid() == "now" for line in ax.lines) for ax in axes] == [False, True, True]
    assert axes[0].get_ylabel() == "strike ahead by"
