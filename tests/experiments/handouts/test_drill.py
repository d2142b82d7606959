"""The drill card: cones on the places of the file, cues from the tape, counts from the estimates."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from experiments import Situation, Study
from experiments.handouts.diagram import diagram
from experiments.handouts.drill import (
    Cone,
    Typical,
    check_pace,
    drill_card,
    paces,
    set_off,
    typical_play,
)
from experiments.situations.lineup import line_up
from sim.taping import start
from tests.experiments.fakes import InventedStudy, invented_table, invented_tape
from tests.experiments.looking import by_gid, cut_off, points

FAKE = Typical(invented_tape(), "strike")


@pytest.fixture(scope="module")
def play(study: Study) -> Typical:
    return typical_play(study)


def test_cones_stand_on_the_places_of_the_file(
    study: Study, situation: Situation, play: Typical
) -> None:
    """To the millimetre, though every rehearsal begins a little off them (`spread`)."""
    assert situation.spread > 0.1
    card = drill_card(study, play)
    by_purpose = {cone.purpose: cone for cone in card.cones}
    places = {player.name: np.array(player.at) for player in situation.attackers}
    thrower = places["middle"]
    for purpose, name in (("runner (left)", "left"), ("handler (right)", "right")):
        cone = by_purpose[purpose]
        assert (cone.right, cone.downfield) == pytest.approx(places[name] - thrower, abs=1e-3)
    ready = line_up(situation)
    begun = start(ready.scene, ready.offence, ready.defence)
    for purpose, name in (("mark", "mark"), ("defender (on left)", "on left")):
        spot = begun.positions[0, begun.names.index(name)] - thrower
        cone = by_purpose[purpose]
        assert (cone.right, cone.downfield) == pytest.approx(tuple(spot), abs=1e-3)
    assert [cone.letter for cone in card.cones] == ["A", "B", "C", "D", "E", "F"]


def test_the_catch_is_the_middle_of_the_catches_of_the_look_drawn(
    study: Study, play: Typical
) -> None:
    catch = drill_card(study, play).cones[-1]
    rows = study.table[(study.table["look"] == play.look) & study.table["completed"]]
    assert catch.purpose.startswith("catch")
    assert catch.right == pytest.approx(rows["end_x_m"].median())
    assert catch.downfield == pytest.approx(rows["end_y_m"].median() - 30.0)


def test_the_typical_play_is_of_the_look_thrown_most(study: Study, play: Typical) -> None:
    assert play.look == study.looks[0].look
    assert play.tape.row["look"] == play.look


def test_paces_are_lengths_over_the_pace() -> None:
    assert paces(9.0) == "12 paces"
    assert paces(0.8) == "1 pace"
    assert paces(9.0, 0.9) == "10 paces"
    cone = Cone("B", "runner", -9.0, -1.5)
    assert cone.words() == "1.5 m (2 paces) behind, 9.0 m (12 paces) to the left"
    assert cone.words("yd") == "1.6 yd (2 paces) behind, 9.8 yd (12 paces) to the left"
    assert Cone("A", "thrower", 0.0, 0.0).words() == ""


def test_a_pace_nobody_has_is_refused() -> None:
    with pytest.raises(ValueError, match=r"a pace of 7 m is not possible; allowed is 0\.3 to 1\.5"):
        check_pace(7.0)


def test_cues_follow_the_count_of_the_tape() -> None:
    """The runner sets off after 0.6 s from count 4 and is up to speed a moment later."""
    begin, go, throw, catch = drill_card(InventedStudy(), FAKE).cues
    assert begin == "The mark counts aloud from 4."
    assert go.startswith("B (left) goes 0.")
    assert go.endswith("after the mark says 4.")
    assert "0.5 s after the mark says 6" in throw
    assert "downfield" in throw
    assert catch == "The disc is about 0.8 s in the air; catch it at cone F."


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
    cues = drill_card(InventedStudy(), Typical(tape, "strike")).cues
    assert any("waits at the cone" in cue for cue in cues)


def test_what_to_expect_of_ten_turns_is_the_binomial_range() -> None:
    study = InventedStudy()
    first = drill_card(study, FAKE).counts[0]
    low, high = stats.binom.ppf([0.05, 0.95], 10, study.completion.estimate).astype(int)
    assert f"give {low} to {high}." in first


def test_a_study_that_plays_on_takes_the_first_catch() -> None:
    """Where a possession ends is not where the drilled throw is caught."""
    study = InventedStudy(rows=invented_table().assign(throws=4))
    card = drill_card(study, FAKE)
    catch = card.cones[-1]
    assert catch.purpose == "catch of the first throw"
    spot = FAKE.tape.disc[66, :2] - FAKE.tape.positions[0, 0]
    assert (catch.right, catch.downfield) == pytest.approx(tuple(spot))
    assert "keep the disc or score" in card.counts[0]


def test_nothing_thrown_still_gives_a_card() -> None:
    tape = invented_tape()
    held = Typical(replace(tape, holder=np.zeros_like(tape.holder)), "")
    card = drill_card(InventedStudy(), held)
    assert "nothing was thrown" in card.cues[1]
    diagram(held.tape, card, 0.75, units="m")


@pytest.mark.parametrize("units", ["m", "yd"])
def test_the_diagram_is_upright_with_each_letter_at_its_cone_and_a_scale(
    units: str, study: Study, play: Typical
) -> None:
    card = drill_card(study, play)
    ax = diagram(play.tape, card, 0.75, units=units)
    per_metre = 1.0 if units == "m" else 1.0 / 0.9144
    labels = {text.get_text(): np.array(text.xy) for text in by_gid(ax, "label")}
    assert sorted(labels) == [cone.letter for cone in card.cones]
    for cone in card.cones:
        spot = per_metre * (card.origin + np.array([cone.right, cone.downfield]))
        np.testing.assert_allclose(labels[cone.letter], spot, atol=1e-6)
    scale = points(ax, "scale")
    assert np.hypot(*(scale[1] - scale[0])) == pytest.approx(5 * 0.75 * per_metre)
    assert "goal line" in ax.get_ylabel()  # the way to the attacked end zone is up
    assert cut_off(ax.figure) == []
