"""Colours, markers and sizes: what the pictures promise to people who cannot tell colours."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from experiments.charts.style import (
    DEFENCE,
    OFFENCE,
    OUTCOME_MARKS,
    SIZES,
    TEAM_MARKS,
    Style,
)
from sim.record import KEPT, OUTCOMES
from tests.experiments.colours import BLINDNESS, apart, lab, linear

# Several times the 2.3 that is just noticeable.
APART = 15.0


def test_greys_stay_grey_in_the_simulation() -> None:
    """A wrong digit in a matrix would tint greys: each row has to add up to 1."""
    for matrix in BLINDNESS.values():
        np.testing.assert_allclose(matrix.sum(axis=1), 1.0, atol=5e-6)


def test_the_simulation_hides_what_it_should() -> None:
    """Red and green of equal lightness are far apart, and near each other for deuteranopes."""
    red, green = "#C04040", "#5F8000"
    assert apart(red, green) > 60.0
    assert apart(red, green, "deuteranopia") < 0.45 * apart(red, green)


def test_lab_of_known_colours() -> None:
    """White is (100, 0, 0); red #FF0000 is near (53.2, 80.1, 67.2) (published sRGB values)."""
    np.testing.assert_allclose(lab("#FFFFFF"), [100.0, 0.0, 0.0], atol=0.01)
    np.testing.assert_allclose(lab("#FF0000"), [53.24, 80.09, 67.20], atol=0.1)
    assert linear("#000000").tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize("blindness", BLINDNESS)
def test_offence_and_defence_stay_apart(blindness: str) -> None:
    assert apart(OFFENCE, DEFENCE, blindness) > 2 * APART


@pytest.mark.parametrize("blindness", BLINDNESS)
def test_outcomes_stay_apart(blindness: str) -> None:
    """Every two outcomes but the two that are both catches, whose markers differ."""
    for one, other in combinations(OUTCOME_MARKS, 2):
        if one in KEPT and other in KEPT:
            continue
        colours = OUTCOME_MARKS[one]["color"], OUTCOME_MARKS[other]["color"]
        assert apart(*colours, blindness) > APART, (one, other)


def test_nothing_depends_on_colour_alone() -> None:
    """In grey, every outcome and both teams are told apart by their markers."""
    markers = [mark["marker"] for mark in OUTCOME_MARKS.values()]
    assert len(set(markers)) == len(markers)
    assert TEAM_MARKS["offence"]["marker"] != TEAM_MARKS["defence"]["marker"]


def test_every_outcome_of_the_record_has_a_mark() -> None:
    assert tuple(OUTCOME_MARKS) == OUTCOMES
    assert set(KEPT) == {"completed", "goal"}


def test_clinic_text_is_readable_from_the_back() -> None:
    """At least 1/30 of the height of the slide (common practice)."""
    sizes = SIZES["clinic"]
    assert sizes.text / 72.0 >= sizes.height / 30.0


def test_places_on_a_field_on_its_side() -> None:
    """Attacking to the right, the right hand is at the bottom; lengths in yards of 0.9144 m."""
    u, v = Style(units="yd", upright=False).place(9.144, 18.288)
    assert (float(u), float(v)) == pytest.approx((20.0, -10.0))
    u, v = Style().place(9.0, 18.0)
    assert (float(u), float(v)) == (9.0, 18.0)


def test_unknown_units_and_sizes_are_refused() -> None:
    with pytest.raises(ValueError, match="units is 'ft'; allowed are m, yd"):
        Style(units="ft")
    with pytest.raises(ValueError, match="size is 'poster'"):
        Style(size="poster")
