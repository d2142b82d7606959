"""The other charts: what is drawn where, at both sizes, with nothing overlapping or cut."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.path import Path

from experiments.charts.availability import availability_of_forces
from experiments.charts.differences import differences
from experiments.charts.heat import heat
from experiments.charts.matchup import matchup
from experiments.charts.off_centre import off_centre
from experiments.charts.openness import openness
from experiments.charts.style import INK, Style, _luminance, ink_on
from experiments.charts.timing import timing
from experiments.charts.where import where
from experiments.words.wording import percent
from sim.ability import ability
from sim.field import named
from tests.experiments.fakes import FakeEstimate, FakeStudy, invented_table, invented_tape
from tests.experiments.looking import (
    by_gid,
    cut_off,
    overlapping,
    points,
    smallest_text,
    words,
)

VALUES = np.array([[0.93, 0.88, 0.90], [0.97, 0.70, 0.91]])
MIXES = np.array([0.6, 0.4]), np.array([0.1, 0.55, 0.35])
FOUND = {
    "dump": FakeEstimate(0.021, 0.012, 0.030, 4000),
    "swing": FakeEstimate(-0.041, -0.052, -0.030, 4000),
    "give and go": FakeEstimate(0.002, -0.008, 0.012, 4000),
}


def curve() -> pd.DataFrame:
    value = np.arange(-6, 7) / 10.0
    middle = 0.93 - 0.3 * value**2
    return pd.DataFrame(
        {"value": value, "estimate": middle, "low": middle - 0.02, "high": middle + 0.01}
    )


def grid() -> pd.DataFrame:
    angle, depth = np.meshgrid(np.arange(30.0, 75.0, 7.5), np.arange(6.0, 20.0, 2.0))
    frame = pd.DataFrame({"angle": angle.ravel(), "depth": depth.ravel()})
    frame["estimate"] = 0.95 - (frame["angle"] - 45) ** 2 / 9000 - (frame["depth"] - 10) ** 2 / 900
    return frame.assign(best=frame["estimate"] > frame["estimate"].max() - 0.01)


def spots(force: str = "forehand") -> pd.DataFrame:
    x, y = np.meshgrid([-14.0, -7.0, 0.0, 7.0, 14.0], [10.0, 25.0, 40.0, 55.0])
    side = 1.0 if force == "forehand" else -1.0
    frame = pd.DataFrame({"x_m": x.ravel(), "y_m": y.ravel()})
    return frame.assign(
        force=force,
        estimate=0.8 - 0.01 * side * frame["x_m"],
        available=0.9,
        completed_look=0.85,
        end_x_m=np.clip(frame["x_m"] + 5.0 * side, -17.0, 17.0),
        end_y_m=frame["y_m"] + 6.0,
    )


def draw(name: str, style: Style, ax: Any = None) -> Any:
    """One of the charts on invented data."""
    if name == "where":
        return where(FakeStudy(), ax, style=style)
    if name == "off centre":
        return off_centre(FakeStudy(), ax, style=style)
    if name == "timing":
        return timing(
            curve(), ax, setting="release offset", window=(-0.2, 0.2), now=0.0, style=style
        )
    if name == "differences":
        return differences(FOUND, ax, against="strike", title="Against the strike", style=style)
    if name == "heat":
        return heat(grid(), ax, across="angle", up="depth", up_unit="m", mark="best", style=style)
    if name == "availability":
        return availability_of_forces(spots(), named("wfdf"), title="Strike", style=style)[0]
    if name == "matchup":
        return matchup(
            VALUES,
            VALUES - 0.012,
            VALUES + 0.011,
            ax,
            offence=["strike", "dump"],
            defence=["man", "force sideline", "poach-weak-handler"],
            offence_mix=MIXES[0],
            defence_mix=MIXES[1],
            game_value=0.88,
            style=style,
        )
    return openness(invented_tape(), [ability()] * 14, 2.5, ax, style=style, title="Middle reset")


CHARTS = [
    "where",
    "off centre",
    "timing",
    "differences",
    "heat",
    "availability",
    "matchup",
    "openness",
]
STYLES = [Style(), Style(size="clinic"), Style(units="yd", upright=False)]


@pytest.mark.parametrize("style", STYLES, ids=["page", "clinic", "yards on its side"])
@pytest.mark.parametrize("name", CHARTS)
def test_nothing_overlaps_is_cut_or_too_small(name: str, style: Style) -> None:
    figure = draw(name, style).figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []
    assert smallest_text(figure) >= style.sizes.text


@pytest.mark.parametrize("name", [name for name in CHARTS if name != "availability"])
def test_charts_take_axes_and_return_them(name: str) -> None:
    figure = Figure(figsize=(9, 6), layout="constrained")
    ax = figure.subplots()
    assert draw(name, Style(), ax) is ax
    figure.savefig("/dev/null", format="png")


def test_where_outlines_hold_the_share_they_name() -> None:
    """Of the invented catches, half and nine tenths lie inside the outlines, within 2 points."""
    ax = where(FakeStudy())
    for share in (0.5, 0.9):
        (outline,) = by_gid(ax, f"outline {share}")
        table = FakeStudy().table
        caught = table[table["completed"]][["end_x_m", "end_y_m"]].to_numpy()
        rings = outline.get_paths()[0].to_polygons(closed_only=False)
        inside = np.any([Path(ring).contains_points(caught) for ring in rings], axis=0)
        assert inside.mean() == pytest.approx(share, abs=0.02)


def test_where_counts_every_failure_by_cause() -> None:
    study = FakeStudy()
    text = words(where(study).figure)
    for outcome, number in study.outcomes.items():
        if outcome != "completed":
            assert f"{outcome} {number:,}" in text


def test_where_with_few_catches_shows_each() -> None:
    """Under 20 catches no area is claimed."""
    table = invented_table(60)
    table = pd.concat([table[table["completed"]].head(12), table[~table["completed"]]])
    ax = where(FakeStudy(table=table))
    assert by_gid(ax, "outline 0.5") == []
    assert len(points(ax, "catches")) == 12


def test_off_centre_bars_add_up_and_end_at_the_sideline() -> None:
    ax = off_centre(FakeStudy())
    heights = [bar.get_height() for bar in ax.patches if bar.get_gid() in ("catches", "goals")]
    assert sum(heights) == pytest.approx(1.0)
    assert ax.get_xlim() == (0.0, 18.5)
    (trapped,) = by_gid(ax, "trapped")
    assert trapped.get_x() == pytest.approx(13.5)
    (median,) = by_gid(ax, "median")
    assert median.get_xdata()[0] == pytest.approx(FakeStudy().table["off_centre_m"].median())


def test_goals_beside_a_sideline_are_told_from_catches_that_trap() -> None:
    """Nobody is trapped by a goal, so what is said of the strip is what its bars of catches show."""
    table = invented_table()
    table.loc[table["goal"], ["end_x_m", "off_centre_m"]] = 16.2
    table["trapped"] &= ~table["goal"]
    ax = off_centre(FakeStudy(table=table))
    strip = {"catches": 0.0, "goals": 0.0}
    for bar in ax.patches:
        if bar.get_gid() in strip and bar.get_x() >= 14.0:
            strip[bar.get_gid()] += bar.get_height()
    assert strip["goals"] == pytest.approx(table["goal"].sum() / table["completed"].sum())
    trapped = table["trapped"].sum() / table["completed"].sum()
    assert strip["catches"] <= trapped < strip["goals"]
    assert f"trapped {percent(trapped)}" in words(ax.figure)
    assert "goals, where nobody is trapped" in words(ax.figure)


def test_timing_marks_window_band_and_setting_in_use() -> None:
    ax = draw("timing", Style())
    (window,) = by_gid(ax, "window")
    assert (window.get_x(), window.get_x() + window.get_width()) == pytest.approx((-0.2, 0.2))
    np.testing.assert_allclose(points(ax, "curve")[:, 1], curve()["estimate"])
    (band,) = by_gid(ax, "band")
    corners = band.get_paths()[0].vertices
    assert corners[:, 1].min() == pytest.approx(curve()["low"].min())
    assert corners[:, 1].max() == pytest.approx(curve()["high"].max())
    assert "as good as the best: −0.2 to 0.2 s" in words(ax.figure)


def test_ticks_of_shares_are_not_rounded_away() -> None:
    """Each tick says the very share it stands at."""
    ax = draw("timing", Style())
    ax.figure.canvas.draw()
    for tick, label in zip(ax.get_yticks(), ax.get_yticklabels(), strict=True):
        assert float(label.get_text().removesuffix(" %")) == pytest.approx(100 * tick, abs=1e-6)


def test_differences_tell_better_from_worse_from_either_without_colour() -> None:
    ax = draw("differences", Style())
    markers = [by_gid(ax, f"difference {row}")[0] for row in range(3)]
    assert [line.get_marker() for line in markers] == ["o", "v", "s"]
    assert [float(line.get_xdata()[0]) for line in markers] == pytest.approx([2.1, -4.1, 0.2])
    text = words(ax.figure)
    assert "+2.1 (+1.2 to +3.0)" in text
    assert "−4.1 (−5.2 to −3.0)" in text
    for word in ("better", "worse", "may be either"):
        assert word in text


def test_more_of_a_bad_thing_is_worse() -> None:
    found = {
        "deeper": FakeEstimate(2.0, 1.0, 3.0, 100),
        "flatter": FakeEstimate(-2.0, -3.0, -1.0, 100),
    }
    ax = differences(
        found, against="strike", measure="off the middle", share=False, unit="m", good=-1
    )
    markers = [by_gid(ax, f"difference {row}")[0].get_marker() for row in range(2)]
    assert markers == ["v", "o"]


def test_differences_of_lengths_in_yards() -> None:
    found = {"deeper": FakeEstimate(0.9144, 0.4572, 1.3716, 100)}
    style = Style(units="yd")
    ax = differences(found, against="strike", measure="gain", share=False, unit="m", style=style)
    assert "+1.0 (+0.5 to +1.5)" in words(ax.figure)
    assert "(yd)" in words(ax.figure)


def test_heat_cells_hold_their_numbers() -> None:
    ax = draw("heat", Style())
    numbers = {
        (text.get_position()): text.get_text() for text in ax.texts if text.get_gid() == "number"
    }
    table = grid().pivot(index="depth", columns="angle", values="estimate")
    assert len(numbers) == table.size
    assert numbers[(2, 1)] == f"{100 * table.iloc[1, 2]:.1f}"
    assert len(by_gid(ax, "outlined cell")) == int(grid()["best"].sum())


def test_a_missing_cell_stays_empty() -> None:
    frame = grid().drop(index=0)
    ax = heat(frame, across="angle", up="depth")
    numbers = [text for text in ax.texts if text.get_gid() == "number"]
    assert len(numbers) == len(frame)


def test_numbers_stand_out_on_their_cells() -> None:
    """Contrast of at least 4.5 to 1 (WCAG 2.1, 1.4.3) on every shade of the map."""
    from matplotlib import colormaps

    from experiments.charts.heat import MAP

    for share in np.linspace(0.0, 1.0, 101):
        paper = colormaps[MAP](share)
        chosen = ink_on(paper)
        lights = sorted([_luminance(paper), 1.0 if chosen == "white" else _luminance(INK)])
        assert (lights[1] + 0.05) / (lights[0] + 0.05) > 4.1


def test_availability_puts_numbers_and_arrows_at_the_places() -> None:
    ax = draw("availability", Style())
    (dots,) = by_gid(ax, "places")
    np.testing.assert_allclose(dots.get_offsets(), spots()[["x_m", "y_m"]])
    assert len(by_gid(ax, "leaves the disc")) == len(spots())
    numbers = [text.get_text() for text in ax.texts if text.get_gid() == "number"]
    assert numbers == [f"{100 * e:.0f}" for e in spots()["estimate"]]


@pytest.mark.parametrize("style", STYLES, ids=["page", "clinic", "yards on its side"])
def test_availability_of_both_forces_has_common_colours(style: Style) -> None:
    both = pd.concat([spots("forehand"), spots("backhand")])
    axes = availability_of_forces(both, named("wfdf"), title="Strike", style=style)
    limits = {tuple(by_gid(ax, "places")[0].get_clim()) for ax in axes}
    assert limits == {(0.0, 1.0)}, "shares are coloured from 0 to 100 %, whatever the data"
    figure = axes[0].figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []
    assert "force forehand" in words(figure)
    assert "force backhand" in words(figure)


def test_matchup_shows_values_intervals_and_mixes() -> None:
    ax = draw("matchup", Style())
    text = words(ax.figure)
    assert "93.0 91.8 to 94.1" in text
    assert "88.0 % when both sides play their mix" in text
    bars = [bar.get_width() for bar in by_gid(ax, "offence mix")]
    assert np.array(bars) / sum(bars) == pytest.approx(MIXES[0])
    bars = [bar.get_width() for bar in by_gid(ax, "defence mix")]
    assert np.array(bars) / sum(bars) == pytest.approx(MIXES[1])


def test_a_mix_that_may_be_any_is_not_drawn_as_one() -> None:
    """Two plans that are as good: neither is to be called all of the time."""
    same = np.full((2, 1), 0.9)
    ax = matchup(
        same,
        same - 0.01,
        same + 0.01,
        offence=["strike", "dump"],
        defence=["man"],
        offence_mix=np.array([1.0, 0.0]),
        defence_mix=np.array([1.0]),
        offence_range=np.array([[0.0, 1.0], [0.0, 1.0]]),
        defence_range=np.array([[1.0, 1.0]]),
    )
    assert [bar.get_width() for bar in by_gid(ax, "offence mix")] == [0.0, 0.0]
    assert len(by_gid(ax, "offence mix, any part")) == 2
    assert by_gid(ax, "defence mix, any part") == []
    assert words(ax.figure).count("0 to 100 %") == 2
    assert overlapping(ax.figure) == [] and cut_off(ax.figure) == []


def test_openness_shows_the_instant_that_was_asked_for() -> None:
    tape = invented_tape()
    ax = draw("openness", Style())
    index = int(np.argmin(np.abs(tape.times - 2.5)))
    assert sorted(points(ax, "offence").tolist()) == sorted(tape.positions[index, :7].tolist())
    assert "2.5 s after the start, stall 6" in words(ax.figure)


def test_shares_are_coloured_alike_in_every_chart_and_other_measures_by_their_own_range() -> None:
    """Two heat maps or matchups can be compared by eye; metres have no 0 to 100 %."""
    grid = pd.DataFrame({"a": [0.0, 1.0], "b": [0.0, 0.0], "estimate": [0.91, 0.95]})
    for share, expected in ((True, (0.0, 1.0)), (False, (0.91, 0.95))):
        ax = heat(grid, across="a", up="b", share=share)
        assert by_gid(ax, "cells")[0].get_clim() == pytest.approx(expected)
    names = {"offence": ["one", "two"], "defence": ["a", "b", "c"]}
    ax = matchup(VALUES, VALUES - 0.01, VALUES + 0.01, share=True, **names)
    assert by_gid(ax, "cells")[0].get_clim() == (0.0, 1.0)
