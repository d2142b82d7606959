"""The drill card: cones in metres and paces, cues from the tape, counts from the estimates."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from experiments.charts.style import Style
from experiments.handouts.drill import Cone, drill_card, paces, set_off
from experiments.handouts.drill_chart import drill
from tests.experiments.fakes import FakeStudy, invented_table, invented_tape
from tests.experiments.looking import by_gid, cut_off, overlapping, points


def test_cones_stand_where_the_players_start_and_the_catches_are() -> None:
    study = FakeStudy()
    card = drill_card(study, study.play)
    by_purpose = {cone.purpose.split(" ")[0].rstrip(":"): cone for cone in card.cones}
    runner = by_purpose["runner"]
    assert (runner.right, runner.downfield) == (-9.0, -1.0)
    catch = by_purpose["catch"]
    caught = study.table[study.table["completed"]]
    assert catch.right == pytest.approx(caught["end_x_m"].median())
    assert catch.downfield == pytest.approx(caught["end_y_m"].median() - 30.0)
    assert [cone.letter for cone in card.cones] == ["A", "B", "C", "D"]


def test_paces_are_lengths_over_the_pace() -> None:
    assert paces(9.0) == "12 paces"
    assert paces(0.8) == "1 pace"
    assert paces(9.0, 0.9) == "10 paces"
    cone = Cone("B", "runner", -9.0, -1.5)
    assert cone.words() == "1.5 m (2 paces) behind, 9.0 m (12 paces) to the left"
    assert cone.words("yd") == "1.6 yd (2 paces) behind, 9.8 yd (12 paces) to the left"
    assert Cone("A", "thrower", 0.0, 0.0).words() == "where the thrower stands"


def test_a_pace_nobody_has_is_refused() -> None:
    study = FakeStudy()
    with pytest.raises(ValueError, match=r"a pace of 7 m is not possible; allowed is 0\.3 to 1\.5"):
        drill_card(study, study.play, pace=7.0)


def test_cues_follow_the_count_of_the_tape() -> None:
    """The runner sets off after 0.6 s from count 4 and is up to speed a moment later."""
    study = FakeStudy()
    begin, go, throw, catch = drill_card(study, study.play).cues
    assert begin == "The mark counts aloud from 4."
    assert go.startswith("B (left) goes 0.")
    assert go.endswith("after the mark says 4.")
    assert "0.5 s after the mark says 6" in throw
    assert "downfield" in throw
    assert catch == "The disc is about 0.8 s in the air; catch it at cone D."


def test_a_false_step_is_not_the_start() -> None:
    tape = invented_tape()
    velocities = np.zeros_like(tape.velocities)
    velocities[5:8, 1, 0] = 3.0
    velocities[20:, 1, 0] = 5.0
    tape = replace(tape, velocities=velocities)
    assert set_off(tape, 1, 60) == 20
    assert set_off(tape, 2, 60) is None


def test_a_runner_who_waits_is_told_to_wait() -> None:
    tape = replace(invented_tape(), velocities=np.zeros_like(invented_tape().velocities))
    cues = drill_card(FakeStudy(play=tape), tape).cues
    assert any("waits at the cone" in cue for cue in cues)


def test_what_to_expect_of_ten_turns_is_the_binomial_range() -> None:
    study = FakeStudy()
    first = drill_card(study, study.play).counts[0]
    low, high = stats.binom.ppf([0.05, 0.95], 10, study.completion.estimate).astype(int)
    assert f"give {low} to {high}." in first


def test_a_study_that_plays_on_takes_the_first_catch() -> None:
    """Where a possession ends is not where the drilled throw is caught."""
    study = FakeStudy(table=invented_table().assign(throws=4))
    card = drill_card(study, study.play)
    catch = card.cones[-1]
    assert catch.purpose == "catch of the first throw"
    spot = study.play.disc[66, :2] - study.play.positions[0, 0]
    assert (catch.right, catch.downfield) == pytest.approx(tuple(spot))
    assert "keep the disc or score" in card.counts[0]


def test_nothing_thrown_still_gives_a_card() -> None:
    tape = invented_tape()
    held = replace(tape, holder=np.zeros_like(tape.holder))
    card = drill_card(FakeStudy(play=held), held)
    assert "nothing was thrown" in card.cues[1]
    drill(card)


@pytest.mark.parametrize("style", [Style(), Style(upright=False, units="yd"), Style(size="clinic")])
def test_the_picture_has_each_cone_and_a_scale_of_five_paces(style: Style) -> None:
    study = FakeStudy()
    card = drill_card(study, study.play)
    ax = drill(card, style=style)
    spots = np.array([[cone.right, cone.downfield] for cone in card.cones])
    expected = np.column_stack(style.place(spots[:, 0], spots[:, 1]))
    np.testing.assert_allclose(points(ax, "cones"), expected)
    assert [text.get_text() for text in by_gid(ax, "letter")] == ["A", "B", "C", "D"]
    scale = points(ax, "scale")
    assert np.hypot(*(scale[1] - scale[0])) == pytest.approx(5 * 0.75 * style.per_metre)
    assert cut_off(ax.figure) == []
    assert overlapping(ax.figure) == []
