"""Numbers in words: rounded to what they are worth, never hiding that something is unknown."""

from __future__ import annotations

import math

import pytest

from experiments.situations.files import load
from experiments.statistics.estimates import Estimate
from experiments.words.measured import headline, label_of
from experiments.words.wording import (
    amount_with_range,
    count,
    join,
    length,
    length_with_range,
    minus,
    percent,
    share_with_range,
    title_of,
)
from tests.experiments.fakes import titled


def test_shares_get_a_decimal_near_the_ends() -> None:
    assert percent(0.5) == "50 %"
    assert percent(0.964) == "96.4 %"
    assert percent(0.02) == "2.0 %"
    assert percent(math.nan) == "not known"
    assert share_with_range(Estimate(0.964, 0.951, 0.975, 1000)) == "96.4 % (95.1 to 97.5)"


def test_lengths_come_in_the_unit_asked_for() -> None:
    """10 yd is 9.144 m exactly (international yard)."""
    ten = Estimate(9.144, 8.2296, 10.0584, 50)
    assert length_with_range(ten, "yd") == "10.0 yd (9.0 to 11.0)"
    assert length_with_range(ten, signed=True) == "+9.1 m (+8.2 to +10.1)"
    assert length(9.144, "yd") == "10.0 yd"


def test_an_interval_finer_than_shown_says_so() -> None:
    assert length_with_range(Estimate(9.33, 9.31, 9.34, 900)) == "9.3 m (within 0.1)"


@pytest.mark.parametrize("low", [-math.inf, math.nan])
def test_what_is_not_known_is_not_made_up(low: float) -> None:
    one = Estimate(7.0, low, math.inf, 1)
    assert length_with_range(one) == "7.0 m (too few for an interval)"
    assert amount_with_range(Estimate(math.nan, math.nan, math.nan, 0)) == "not known"


def test_small_words() -> None:
    assert count(4000) == "4,000"
    assert minus("-1.0 to 2") == "−1.0 to 2"
    assert join([]) == ""
    assert join(["a"]) == "a"
    assert join(["a", "b", "c"]) == "a, b and c"
    assert title_of(titled("")) == "middle-reset"
    assert title_of(titled("", name="")) == "Situation"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("plans.strike.looks.0.from", "from (strike, look 1)"),
        ("roster.offence.top_speed", "top speed (offence)"),
        ("attackers.left.at.1", "downfield (left)"),
        ("attackers.left.ability.aim_error", "aim error (left)"),
        ("defences.man.handlers.cushion", "cushion (man, handlers)"),
        ("stall", "stall"),
    ],
)
def test_a_setting_is_named_in_a_readers_words(path: str, said: str) -> None:
    assert label_of(path) == said


def test_titles_say_plan_defence_force_and_wind() -> None:
    windy = load("middle-reset").with_setting("wind.speed", 4.0)
    assert headline(windy) == (
        "Reset from the middle: strike against man, force forehand, wind 4 m/s"
    )
    assert headline(load("middle-reset"), plan=False, defence=False) == (
        "Reset from the middle: force forehand"
    )
