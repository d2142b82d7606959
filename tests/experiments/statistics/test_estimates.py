"""Estimates: what they say when there is little or nothing to say, and how they print."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from experiments.statistics.estimates import (
    Estimate,
    decimals,
    mean,
    proportion,
    proportion_bounds,
    share,
)


def test_reads_like_a_sentence():
    assert str(proportion(3692, 4000)) == "0.923 (0.914 to 0.931, n 4000)"
    assert str(Estimate(7.123, 6.9, 7.3, 900)) == "7.12 (6.90 to 7.30, n 900)"
    assert str(mean([])) == "no value (n 0)"
    assert str(mean([3.0])) == "3.000 (no interval, n 1)"


@pytest.mark.parametrize(("half", "places"), [(0.0085, 3), (0.012, 3), (0.05, 2), (40.0, 0)])
def test_prints_the_digits_the_interval_is_worth(half, places):
    assert decimals(half) == places


def test_json_never_holds_nan_or_infinity():
    for estimate in (mean([]), mean([1.0]), proportion(0, 0), proportion(3, 5)):
        text = json.dumps(estimate.as_dict(), allow_nan=False)
        assert set(json.loads(text)) == {"estimate", "low", "high", "n"}
    assert mean([]).as_dict()["estimate"] is None


def test_nothing_rehearsed_says_nothing():
    nothing = proportion(0, 0)
    assert math.isnan(nothing.estimate)
    assert (nothing.low, nothing.high, nothing.n) == (0.0, 1.0, 0)


def test_never_and_always_still_have_a_width():
    never, always = proportion(0, 400), proportion(400, 400)
    assert never.low == 0.0
    assert 0.0 < never.high < 0.01
    assert always.high == 1.0
    assert always.low == pytest.approx(1.0 - never.high)


def test_mean_leaves_out_what_has_no_value_and_says_so():
    with_gaps = mean([1.0, np.nan, 3.0, np.nan, 5.0])
    assert with_gaps == mean([1.0, 3.0, 5.0])
    assert with_gaps.n == 3


def test_arrays_of_counts_agree_with_single_counts():
    low, high = proportion_bounds(np.arange(11), 10, 0.9)
    for hits in range(11):
        one = proportion(hits, 10, 0.9)
        assert (low[hits], high[hits]) == (one.low, one.high)


@pytest.mark.parametrize("bad", [(-1, 5), (6, 5), (0, -1)])
def test_impossible_counts_are_refused(bad):
    with pytest.raises(ValueError, match="not possible"):
        proportion(*bad)


def test_a_share_of_numbers_is_refused():
    with pytest.raises(ValueError, match="true and false"):
        share(np.array([0.5, 1.0]))


@pytest.mark.parametrize("level", [0.0, 1.0, 95])
def test_a_level_outside_0_to_1_is_refused(level):
    for make in (lambda: proportion(1, 2, level), lambda: mean([1.0, 2.0], level)):
        with pytest.raises(ValueError, match="between 0 and 1"):
            make()
