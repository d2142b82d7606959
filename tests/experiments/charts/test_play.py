"""The play: what is drawn where, that nothing overlaps, and that the words say what was found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure

from experiments.charts.panel import Heading
from experiments.charts.play import estimates, play
from experiments.charts.style import Style
from experiments.words.wording import percent
from tests.experiments.fakes import (
    OFFENCE,
    InventedStudy,
    invented_table,
    invented_tape,
    titled,
)
from tests.experiments.looking import (
    by_gid,
    cut_off,
    overlapping,
    points,
    smallest_text,
    words,
)

STYLES = [
    Style(),
    Style(units="yd", upright=False),
    Style(size="clinic"),
    Style(size="clinic", upright=False, units="yd"),
]


@pytest.mark.slow
@pytest.mark.parametrize("style", STYLES, ids=str)
def test_nothing_overlaps_or_is_cut(style: Style) -> None:
    figure = play(InventedStudy(), style=style).figure
    assert overlapping(figure) == []
    assert cut_off(figure) == []
    assert smallest_text(figure) >= style.sizes.text


@pytest.mark.slow
@pytest.mark.parametrize("style", STYLES, ids=str)
def test_the_panel_covers_nothing(style: Style) -> None:
    ax = play(InventedStudy(), style=style)
    ax.figure.canvas.draw()
    (box,) = by_gid(ax, "panel")
    extent = box.get_window_extent(ax.figure.canvas.get_renderer())
    assert extent.x0 >= ax.bbox.x1
    assert extent.x1 <= ax.figure.bbox.width
    assert extent.y0 >= 0.0


def test_players_stand_where_the_tape_starts() -> None:
    ax = play(InventedStudy())
    expected = sorted([list(spot) for _, _, spot in OFFENCE])
    assert sorted(points(ax, "offence").tolist()) == expected
    assert len(points(ax, "defence")) == 7
    ax = play(InventedStudy(), style=Style(upright=False, units="yd"))
    turned = sorted([[y / 0.9144, -x / 0.9144] for x, y in expected])
    np.testing.assert_allclose(sorted(points(ax, "offence").tolist()), turned)


def test_runs_have_ticks_at_whole_seconds() -> None:
    """The runner sets off after 0.6 s and is seen to 3.3 s: ticks at 1, 2 and 3 s."""
    ax = play(InventedStudy())
    (run,) = by_gid(ax, "run of left")
    assert run.get_linestyle() == "-"
    (chase,) = by_gid(ax, "run of on left")
    assert chase.get_linestyle() != "-"
    tape = InventedStudy().play
    start = np.column_stack(run.get_data())[0]
    ticks = [np.column_stack(t.get_data()).mean(axis=0) for t in by_gid(ax, "time tick")]
    for second in (1.0, 2.0, 3.0):
        spot = tape.positions[np.searchsorted(tape.times, second - 1e-9), 1]
        assert min(np.hypot(*(tick - spot)) for tick in ticks) < 1e-6
    np.testing.assert_allclose(start, tape.positions[0, 1])


def test_the_covered_sector_is_hatched_on_the_marks_side() -> None:
    """A mark that takes the left away: the sector lies left of the thrower, at its place."""
    ax = play(InventedStudy())
    (sector,) = by_gid(ax, "covered sector")
    assert sector.get_hatch()
    xy = sector.get_xy()
    assert xy[0].tolist() == [0.0, 30.0]
    assert xy[:, 0].min() < -4.5
    assert xy[:, 0].max() < 1.0


def test_the_lane_leads_from_release_to_catch() -> None:
    ax = play(InventedStudy())
    (lane,) = by_gid(ax, "lane")
    assert lane.get_facecolor()[3] == 0.0
    tape = InventedStudy().play
    xy = lane.get_xy()
    for spot in (tape.disc[51, :2], tape.disc[66, :2]):
        assert np.hypot(*(xy - spot).T).min() < 0.7


def test_outcomes_are_drawn_where_they_ended_and_counted_in_words() -> None:
    study = InventedStudy()
    ax = play(study, most=10_000)
    text = words(ax.figure)
    for outcome, number in study.outcomes.items():
        rows = study.table[study.table["outcome"] == outcome]
        drawn = points(ax, f"outcome {outcome}")
        assert f"{outcome} {number:,}" in text
        known = {tuple(p) for p in rows[["end_x_m", "end_y_m"]].to_numpy().tolist()}
        assert {tuple(p) for p in drawn.tolist()} <= known
    assert "drawn" not in text.replace("are drawn", "")


def test_thinned_marks_say_how_many_are_drawn() -> None:
    ax = play(InventedStudy(), most=50)
    assert len(points(ax, "outcome completed")) <= 50
    assert f"({len(points(ax, 'outcome completed'))} drawn)" in words(ax.figure)


def test_the_estimates_are_written_beside_the_field() -> None:
    study = InventedStudy()
    text = words(play(study).figure)
    assert f"{100 * study.completion.estimate:.0f} % completed" in text
    assert "95 % interval" in text
    assert "from 1,200 rehearsals" in text
    assert f"gain {study.gain_m.estimate:+.1f} m" in text
    yards = words(play(study, style=Style(units="yd")).figure)
    assert f"gain {study.gain_m.estimate / 0.9144:+.1f} yd" in yards


def test_axes_of_ones_own() -> None:
    figure = Figure(figsize=(12, 6), layout="constrained")
    ax = figure.subplots()
    assert play(InventedStudy(), ax) is ax


def test_words_of_the_user_are_never_read_as_maths() -> None:
    name = r"$\frac{1}{2}$ <b>left</b>"
    study = InventedStudy(
        situation=titled(r"$x_1$ & <i>costs $5"),
        play=invented_tape(name=name),
        rows=invented_table().assign(receiver=name),
    )
    ax = play(study)
    assert r"$x_1$ & <i>costs $5" in words(ax.figure)
    assert name in words(ax.figure)
    assert cut_off(ax.figure) == []


def test_a_long_title_is_wrapped_to_the_figure() -> None:
    title = "The middle reset against a force forehand with a poach off the weak side handler " * 2
    study = InventedStudy(situation=titled(title.strip()))
    for style in STYLES:
        figure = play(study, style=style).figure
        assert cut_off(figure) == [], style
        assert overlapping(figure) == [], style


def test_a_play_in_which_nothing_is_thrown() -> None:
    """Stalled or cut by the clock: formation and runs are drawn, and no lane."""
    tape = invented_tape()
    held = replace(tape, holder=np.zeros_like(tape.holder), outcome="stalled")
    ax = play(InventedStudy(play=held))
    assert by_gid(ax, "lane") == []
    assert len(points(ax, "offence")) == 7


def test_a_play_without_a_mark() -> None:
    tape = invented_tape()
    free = replace(
        tape,
        mark=np.full_like(tape.mark, -1),
        mark_reach=np.full_like(tape.mark_reach, np.nan),
    )
    assert by_gid(play(InventedStudy(play=free)), "covered sector") == []


def test_only_failures() -> None:
    """Nothing caught: the gain is not known, and the picture still comes."""
    table = invented_table(200)
    table = table[~table["completed"]]
    study = InventedStudy(rows=table, play=invented_tape(completed=False))
    assert "gain not known" in words(play(study).figure)


def test_the_heading_is_what_the_situation_asks() -> None:
    """Goals are never headed as completions where a situation asks for goals."""
    study = InventedStudy(situation=titled("Middle reset", asks="goal"))
    heading = estimates(study, Style())[0]
    assert isinstance(heading, Heading)
    assert heading.text == f"{percent(study.goals.estimate)} goals"
