"""The other charts: what is drawn where, at both sizes, with nothing overlapping or cut."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.path import Path

from experiments.charts import drawing as charts
from experiments.charts import tuning
from experiments.charts.differences import differences_of_measures
from experiments.charts.heat import heat
from experiments.charts.matchup import matchup
from experiments.charts.off_centre import off_centre
from experiments.charts.style import INK, Style, _luminance, ink_on
from experiments.charts.where import where
from experiments.statistics.comparison import Difference
from experiments.statistics.estimates import Estimate
from experiments.statistics.games import solve_game
from experiments.statistics.measures import MEASURES
from experiments.tapes.picking import pick_rehearsal
from experiments.words.measured import label_of
from experiments.words.wording import minus, percent
from tests.experiments.fakes import InventedStudy, invented_table
from tests.experiments.looking import (
    by_gid,
    cut_off,
    overlapping,
    points,
    smallest_text,
    words,
)
from tests.experiments.results import SITUATION, result


def draw(name: str, style: Style, ax: Any = None) -> Any:
    """One of the charts."""
    if name == "where":
        return where(InventedStudy(), ax, style)
    if name == "off centre":
        return off_centre(InventedStudy(), ax, style)
    return charts.draw(result(name), ax=ax, style=style)


CHARTS = [
    "where",
    "off centre",
    "vary",
    "heat",
    "map",
    "matchup",
    "tune",
    "sturdiness",
]
STYLES = [Style(), Style(size="clinic"), Style(units="yd", upright=False)]


@pytest.mark.slow
@pytest.mark.parametrize("style", STYLES, ids=["page", "clinic", "yards on its side"])
@pytest.mark.parametrize("name", CHARTS)
def test_nothing_overlaps_is_cut_or_too_small(name: str, style: Style) -> None:
    figure = draw(name, style).figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []
    assert smallest_text(figure) >= style.sizes.text


@pytest.mark.parametrize("name", [name for name in CHARTS if name != "map"])
def test_charts_take_axes_and_return_them(name: str) -> None:
    figure = Figure(figsize=(9, 6), layout="constrained")
    ax = figure.subplots()
    assert draw(name, Style(), ax) is ax
    figure.savefig("/dev/null", format="png")


def test_where_outlines_hold_the_share_they_name() -> None:
    """Of the invented catches, half and nine tenths lie inside the outlines, within 2 points."""
    ax = where(InventedStudy())
    for share in (0.5, 0.9):
        (outline,) = by_gid(ax, f"outline {share}")
        table = InventedStudy().table
        caught = table[table["completed"]][["end_x_m", "end_y_m"]].to_numpy()
        rings = outline.get_paths()[0].to_polygons(closed_only=False)
        inside = np.any([Path(ring).contains_points(caught) for ring in rings], axis=0)
        assert inside.mean() == pytest.approx(share, abs=0.02)


def test_where_counts_every_failure_by_cause() -> None:
    study = InventedStudy()
    text = words(where(study).figure)
    for outcome, number in study.outcomes.items():
        if outcome != "completed":
            assert f"{outcome} {number:,}" in text


def test_where_with_few_catches_shows_each() -> None:
    """Under 20 catches no area is claimed."""
    table = invented_table(60)
    table = pd.concat([table[table["completed"]].head(12), table[~table["completed"]]])
    ax = where(InventedStudy(rows=table))
    assert by_gid(ax, "outline 0.5") == []
    assert len(points(ax, "catches")) == 12


def test_off_centre_bars_add_up_and_end_at_the_sideline() -> None:
    ax = off_centre(InventedStudy())
    heights = [bar.get_height() for bar in ax.patches if bar.get_gid() in ("catches", "goals")]
    assert sum(heights) == pytest.approx(1.0)
    assert ax.get_xlim() == (0.0, 18.5)
    (trapped,) = by_gid(ax, "trapped")
    assert trapped.get_x() == pytest.approx(13.5)
    (median,) = by_gid(ax, "median")
    assert median.get_xdata()[0] == pytest.approx(InventedStudy().table["off_centre_m"].median())


def test_goals_beside_a_sideline_are_told_from_catches_that_trap() -> None:
    """Nobody is trapped by a goal, so what is said of the strip is what its bars of catches show."""
    table = invented_table()
    table.loc[table["goal"], ["end_x_m", "off_centre_m"]] = 16.2
    table["trapped"] &= ~table["goal"]
    ax = off_centre(InventedStudy(rows=table))
    strip = {"catches": 0.0, "goals": 0.0}
    for bar in ax.patches:
        if bar.get_gid() in strip and bar.get_x() >= 14.0:
            strip[bar.get_gid()] += bar.get_height()
    assert strip["goals"] == pytest.approx(table["goal"].sum() / table["completed"].sum())
    trapped = table["trapped"].sum() / table["completed"].sum()
    assert strip["catches"] <= trapped < strip["goals"]
    assert f"trapped {percent(trapped)}" in words(ax.figure)
    assert "goals, where nobody is trapped" in words(ax.figure)


def test_a_curve_marks_window_band_and_setting_in_use() -> None:
    ax, found = draw("vary", Style()), result("vary")
    (window,) = by_gid(ax, "window")
    assert (window.get_x(), window.get_x() + window.get_width()) == pytest.approx(found.window)
    np.testing.assert_allclose(points(ax, "curve")[:, 1], found.table()["completed"])
    (band,) = by_gid(ax, "band")
    corners = band.get_paths()[0].vertices
    assert corners[:, 1].min() == pytest.approx(found.table()["completed_low"].min())
    assert corners[:, 1].max() == pytest.approx(found.table()["completed_high"].max())
    low, high = (minus(f"{end:g}") for end in found.window)
    assert f"as good as the best: {low} to {high} s" in words(ax.figure)
    assert by_gid(ax, "now")[0].get_xdata()[0] == found.settings[0].value


def test_ticks_of_shares_are_not_rounded_away() -> None:
    """Each tick says the very share it stands at."""
    ax = draw("vary", Style())
    ax.figure.canvas.draw()
    for tick, label in zip(ax.get_yticks(), ax.get_yticklabels(), strict=True):
        assert float(label.get_text().removesuffix(" %")) == pytest.approx(100 * tick, abs=1e-6)


def differences(measure: str, style: Style, **found: Estimate) -> Any:
    """The differences of some plans from one, clear where they leave out 0."""
    compared = result("compare")
    rows = tuple(
        Difference(plan, "strike", measure, less, less, 1.0, less.low > 0.0 or less.high < 0.0)
        for plan, less in found.items()
    )
    comparison = replace(compared.comparison, differences=rows)
    return differences_of_measures(replace(compared, comparison=comparison), style=style)


@pytest.mark.parametrize("style", STYLES, ids=["page", "clinic", "yards on its side"])
def test_differences_tell_better_from_worse_from_either_without_colour(style: Style) -> None:
    ax = differences(
        "completed",
        style,
        dump=Estimate(0.021, 0.012, 0.030, 4000),
        swing=Estimate(-0.041, -0.052, -0.030, 4000),
        give=Estimate(0.002, -0.008, 0.012, 4000),
    )
    markers = [by_gid(ax, f"difference {row}")[0] for row in range(3)]
    assert [line.get_marker() for line in markers] == ["o", "v", "s"]
    assert [float(line.get_xdata()[0]) for line in markers] == pytest.approx([2.1, -4.1, 0.2])
    text = words(ax.figure)
    assert "+2.1 (+1.2 to +3.0)" in text
    assert "−4.1 (−5.2 to −3.0)" in text
    for word in ("better", "worse", "may be either"):
        assert word in text
    assert overlapping(ax.figure) == [] and cut_off(ax.figure) == []
    assert smallest_text(ax.figure) >= style.sizes.text


def test_more_of_a_bad_thing_is_worse() -> None:
    more, less = Estimate(2.0, 1.0, 3.0, 100), Estimate(-2.0, -3.0, -1.0, 100)
    ax = differences("off_centre_m", Style(), deeper=more, flatter=less)
    markers = [by_gid(ax, f"difference {row}")[0].get_marker() for row in range(2)]
    assert markers == ["v", "o"]


def test_differences_of_lengths_in_yards() -> None:
    less = Estimate(0.9144, 0.4572, 1.3716, 100)
    ax = differences("gain_m", Style(units="yd"), deeper=less)
    assert "+1.0 (+0.5 to +1.5)" in words(ax.figure)
    assert "(yd)" in words(ax.figure)


def test_heat_cells_hold_their_numbers() -> None:
    ax, found = draw("heat", Style()), result("heat")
    numbers = {
        (text.get_position()): text.get_text() for text in ax.texts if text.get_gid() == "number"
    }
    across, up = (setting.path for setting in found.settings)
    table = found.table().pivot(index=up, columns=across, values="completed")
    assert len(numbers) == table.size
    assert float(numbers[(1, 0)]) == pytest.approx(100 * table.iloc[0, 1], abs=0.1)
    assert len(by_gid(ax, "outlined cell")) == sum(point.as_good for point in found.points)


def test_a_cell_without_a_value_stays_empty() -> None:
    found = result("heat")
    first, *others = found.points
    nothing = {name: Estimate(np.nan, np.nan, np.nan, 0) for name in first.found}
    ax = heat(replace(found, points=(replace(first, found=nothing), *others)))
    numbers = [text for text in ax.texts if text.get_gid() == "number"]
    assert len(numbers) == len(others)


def test_numbers_stand_out_on_their_cells() -> None:
    """Contrast of at least 4.5 to 1 (WCAG 2.1, 1.4.3) on every shade of the map."""
    from matplotlib import colormaps

    from experiments.charts.heat import MAP

    for share in np.linspace(0.0, 1.0, 101):
        paper = colormaps[MAP](share)
        chosen = ink_on(paper)
        lights = sorted([_luminance(paper), 1.0 if chosen == "white" else _luminance(INK)])
        assert (lights[1] + 0.05) / (lights[0] + 0.05) > 4.1


@pytest.mark.parametrize("style", STYLES, ids=["page", "clinic", "yards on its side"])
def test_a_map_puts_numbers_and_arrows_at_the_places_in_common_colours(style: Style) -> None:
    figure: Any = draw("map", style).figure
    places = result("map").table()
    fields = [ax for ax in figure.axes if by_gid(ax, "places")]
    assert [ax.get_title(loc="left") for ax in fields] == ["force forehand", "force backhand"]
    for ax, (_, own) in zip(fields, places.groupby("force", sort=False), strict=True):
        (often,), (hardly,) = by_gid(ax, "places"), by_gid(ax, "hardly thrown")
        spots = [tuple(map(float, spot)) for dots in (often, hardly) for spot in dots.get_offsets()]
        wanted = np.column_stack(style.place(own["x_m"], own["y_m"]))
        assert sorted(spots) == pytest.approx(np.array(sorted(map(tuple, wanted))))
        assert len(by_gid(ax, "leaves the disc")) == own["end_x_m"].notna().sum()
        numbers = [text.get_text() for text in ax.texts if text.get_gid() == "number"]
        assert numbers in ([], [f"{100 * share:.0f}" for share in own["worked"]])
        assert often.get_clim() == (0.0, 1.0), "coloured from 0 to 100 %, whatever the data"


def test_a_matchup_shows_values_intervals_and_mixes() -> None:
    ax, found = draw("matchup", Style()), result("matchup")
    text, cell, game = words(ax.figure), found.cells[0][0], found.solved.game
    assert f"{100 * cell.estimate:.1f} {100 * cell.low:.1f} to" in text
    assert f"{percent(game.value, 1)} when both sides play their mix" in text
    for side, mix, ends in (
        ("offence mix", game.row_mix, game.row_range),
        ("defence mix", game.column_mix, game.column_range),
    ):
        parts = [bar.get_width() / 0.9 for bar in by_gid(ax, side)]
        tied = np.ptp(ends, axis=1) >= 0.005
        assert parts == pytest.approx(np.where(tied, ends[:, 0], mix))
        assert len(by_gid(ax, f"{side}, any part")) == tied.sum()


def test_a_mix_that_may_be_any_is_not_drawn_as_one() -> None:
    """Two plans that are as good: neither is to be called all of the time."""
    found, cell = result("matchup"), result("matchup").cells[0][0]
    solved = replace(found.solved, game=solve_game([[cell.estimate], [cell.estimate]]))
    ax = matchup(replace(found, defences=("man",), cells=((cell,), (cell,)), solved=solved))
    assert [bar.get_width() for bar in by_gid(ax, "offence mix")] == [0.0, 0.0]
    assert len(by_gid(ax, "offence mix, any part")) == 2
    assert by_gid(ax, "defence mix, any part") == []
    assert words(ax.figure).count("0 to 100 %") == 2
    assert overlapping(ax.figure) == [] and cut_off(ax.figure) == []


def test_a_search_shows_the_best_by_other_luck_and_what_is_in_use() -> None:
    ax, found = draw("tune", Style()), result("tune")
    (best,) = points(ax, "best, with other luck").tolist()
    assert best == pytest.approx([*found.best.values, found.fresh.estimate])
    drawn = sum(len(points(ax, name)) for name, *_ in tuning.KINDS if by_gid(ax, name))
    assert drawn == len(found.tried)
    assert by_gid(ax, "now")[0].get_xdata()[0] == found.ranges[0].now


@pytest.mark.parametrize("size", ["page", "clinic"])
def test_a_screening_names_assumptions_in_words_the_largest_on_top(size: str) -> None:
    found = result("sturdiness")
    ax = charts.draw(found, "screening", style=Style(size=size))
    assert ax.get_ylim()[0] > ax.get_ylim()[1]
    assert [t.get_text() for t in ax.get_yticklabels()] == [
        label_of(effect.range.path) for effect in found.effects
    ]
    assert [effect.size for effect in found.effects] == sorted(
        (effect.size for effect in found.effects), reverse=True
    )
    for name, some in (("matters", True), ("no effect found", False)):
        wanted = [[e.size, k] for k, e in enumerate(found.effects) if e.matters is some]
        shown = points(ax, name).tolist() if by_gid(ax, name) else []
        assert shown == pytest.approx(np.array(wanted)) if wanted else shown == []
    assert by_gid(ax, "advice")[0].get_xdata()[0] == abs(found.advice.estimate)
    assert found.situation.force in words(ax.figure) and found.situation.defence in words(ax.figure)


def test_turns_share_a_scale_and_show_what_is_in_use() -> None:
    found = result("sturdiness")
    axes = [ax for ax in charts.draw(found, "turns").figure.axes if ax.get_visible()]
    assert len(axes) == len(found.turns) > 0
    assert len({ax.get_ylim() for ax in axes}) == 1
    for ax, turn in zip(axes, found.turns, strict=True):
        assert by_gid(ax, "now")[0].get_xdata()[0] == turn.range.now
        np.testing.assert_allclose(
            points(ax, "curve"), [[v, d.estimate] for v, d in turn.differences.items()]
        )
        assert label_of(turn.range.path) in ax.get_xlabel() and "." not in ax.get_xlabel()
    assert axes[0].get_ylabel() == f"{found.better} ahead by"


def test_who_is_first_is_shown_at_the_instant_that_was_asked_for() -> None:
    study = result("rehearse")
    ax = charts.draw(study, "first", at=0.5)
    tape = study.tape(pick_rehearsal(study.table).rehearsal)
    index = int(np.argmin(np.abs(tape.times - 0.5)))
    assert sorted(points(ax, "offence").tolist()) == pytest.approx(
        np.array(sorted(tape.positions[index, : len(SITUATION.attackers)].tolist()))
    )
    assert "0.5 s after the start, stall 4" in words(ax.figure)


def test_shares_are_coloured_alike_in_every_chart_and_other_measures_by_their_own_range() -> None:
    """Two heat maps or matchups can be compared by eye; metres have no 0 to 100 %."""
    for name in ("heat", "matchup"):
        found = result(name)
        assert by_gid(draw(name, Style()), "cells")[0].get_clim() == (0.0, 1.0)
        metres = charts.draw(replace(found, measure=MEASURES["gain_m"]))
        values = (
            found.array()
            if name == "matchup"
            else [p.found["gain_m"].estimate for p in found.points]
        )
        clim = by_gid(metres, "cells")[0].get_clim()
        assert clim == pytest.approx((np.min(values), np.max(values)))
