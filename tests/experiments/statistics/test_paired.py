"""Paired differences: what a missing value means, and that no interval collapses."""

from __future__ import annotations

import math

import numpy as np
import pytest

from experiments.statistics.estimates import mean, share
from experiments.statistics.paired import (
    paired_difference,
    paired_share_difference,
    unpaired_difference,
)

RNG_SEED = 11


def test_each_is_the_difference_of_the_two_averages_a_coach_reads():
    first = np.array([9.0, 7.0, np.nan, 8.0, np.nan, 6.0])
    second = np.array([5.0, np.nan, 4.0, 6.0, np.nan, 5.0])
    got = paired_difference(first, second)
    assert got.estimate == pytest.approx(mean(first).estimate - mean(second).estimate)
    assert got.n == 5


def test_with_nothing_missing_it_is_the_average_of_the_paired_differences():
    rng = np.random.default_rng(RNG_SEED)
    first, second = rng.normal(size=(2, 60))
    got, plain = paired_difference(first, second), mean(first - second)
    assert (got.low, got.high) == pytest.approx((plain.low, plain.high))
    assert got.n == plain.n == 60


def test_swapping_the_plans_flips_the_sign_exactly():
    rng = np.random.default_rng(RNG_SEED)
    flags = rng.random((2, 200)) < [[0.9], [0.7]]
    of = rng.random((2, 200)) < 0.8
    values = np.where(of, rng.normal(size=(2, 200)), np.nan)
    pairs = [
        (paired_difference(*flags), paired_difference(*flags[::-1])),
        (paired_difference(*values), paired_difference(*values[::-1])),
        (
            paired_share_difference(flags[0], of[0], flags[1], of[1]),
            paired_share_difference(flags[1], of[1], flags[0], of[0]),
        ),
        (unpaired_difference(*flags), unpaired_difference(*flags[::-1])),
    ]
    for one, other in pairs:
        assert (one.estimate, one.low, one.high) == (-other.estimate, -other.high, -other.low)


def test_plans_that_never_disagreed_may_still_differ():
    same = np.ones(400, bool)
    for got in (paired_difference(same, same), paired_share_difference(same, same, same, same)):
        assert got.estimate == 0.0
        assert got.low < 0.0 < got.high


def test_share_difference_is_the_difference_of_the_two_shares():
    rng = np.random.default_rng(RNG_SEED)
    flags, of = rng.random((2, 300)) < 0.3, rng.random((2, 300)) < 0.8
    got = paired_share_difference(flags[0], of[0], flags[1], of[1])
    parts = [share(flags[i][of[i]]).estimate for i in range(2)]
    assert got.estimate == pytest.approx(parts[0] - parts[1])
    assert got.n == np.count_nonzero(of[0] | of[1])


def test_a_plan_that_never_works_has_no_gain_to_compare():
    nothing, some = np.full(5, np.nan), np.arange(5.0)
    assert math.isnan(paired_difference(nothing, some).estimate)
    assert math.isnan(unpaired_difference(nothing, some).estimate)
    never = np.zeros(5, bool)
    assert math.isnan(paired_share_difference(never, never, never, ~never).estimate)
    assert math.isnan(paired_difference(np.zeros(0, bool), np.zeros(0, bool)).estimate)


def test_columns_of_other_lengths_are_refused():
    with pytest.raises(ValueError, match="one length"):
        paired_difference([1.0, 2.0], [1.0])
