"""Intervals against scipy and against known distributions.

Simulated coverage is seeded, so a test either always passes or always fails; the false-alarm rate
named beside it is the chance that a right method would have failed when its seed was picked.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from experiments.statistics.estimates import mean, proportion, proportion_bounds
from experiments.statistics.paired import (
    paired_difference,
    paired_share_difference,
    unpaired_difference,
)

# With 2,000 repetitions at a true coverage of 0.95, fewer covered than this has probability
# below 1 in 10,000 (binomial).
REPEATS = 2000
FEWEST = int(stats.binom.ppf(1e-4, REPEATS, 0.95))


@pytest.mark.parametrize("n", [1, 7, 250, 4000])
@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
def test_proportion_is_scipys_exact_interval(n, level):
    for hits in {0, 1, n // 3, n - 1, n}:
        ours = proportion(hits, n, level)
        theirs = stats.binomtest(hits, n).proportion_ci(level, method="exact")
        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@pytest.mark.parametrize("n", [20, 400])
def test_proportion_covers_at_every_rate(n):
    """Exact: the chance of each count, added up over the counts whose interval holds the rate."""
    low, high = proportion_bounds(np.arange(n + 1), n)
    for rate in np.concatenate([np.geomspace(1e-4, 0.05, 40), np.linspace(0.05, 0.95, 181)]):
        holds = (low <= rate) & (rate <= high)
        assert stats.binom.pmf(np.arange(n + 1), n, rate)[holds].sum() >= 0.95


@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
def test_mean_without_what_was_not_seen_is_scipys_t_interval(level):
    values = np.random.default_rng(1).normal(8.0, 3.0, size=40)
    ours = mean(values, level, unseen=False)
    theirs = stats.ttest_1samp(values, 0.0).confidence_interval(level)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), rel=1e-12)


@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
def test_mean_adds_scipys_exact_interval_of_never_by_square_and_add(level):
    """The upper end of 0 of 40, times the way to one range beyond the most or the least seen."""
    values = np.random.default_rng(1).gamma(2.0, size=40)
    ours, middle, span = mean(values, level), values.mean(), np.ptp(values)
    t = stats.ttest_1samp(values, middle).confidence_interval(level)
    never = stats.binomtest(0, 40).proportion_ci(level).high
    up = np.hypot(t.high - middle, never * (values.max() + span - middle))
    down = np.hypot(middle - t.low, never * (middle - values.min() + span))
    assert (ours.low, ours.high) == pytest.approx((middle - down, middle + up), rel=1e-9)


def test_paired_and_unpaired_differences_are_scipys_t_intervals():
    first, second = np.random.default_rng(2).normal([[1.0], [0.0]], size=(2, 50))
    for ours, theirs in (
        (paired_difference(first, second, unseen=False), stats.ttest_rel(first, second)),
        (unpaired_difference(first, second), stats.ttest_ind(first, second, equal_var=False)),
    ):
        ends = theirs.confidence_interval(0.95)
        assert (ours.low, ours.high) == pytest.approx((ends.low, ends.high), rel=1e-12)


@pytest.mark.parametrize("n", [100, 1000])
@pytest.mark.parametrize(
    ("only_first", "only_second"),
    [(0.05, 0.03), (0.01, 0.005), (0.02, 0.0), (0.005, 0.0), (0.2, 0.1), (0.5, 0.5)],
)
def test_paired_rate_difference_covers(n, only_first, only_second):
    """Binary outcomes under common luck. False alarm below 1e-4 a case."""
    rng = np.random.default_rng(3)
    truth, covered = only_first - only_second, 0
    for ups, downs, _ in rng.multinomial(
        n, [only_first, only_second, 1.0 - only_first - only_second], size=REPEATS
    ):
        # Which rehearsals they are does not matter, only how many.
        first, second = np.zeros((2, n), bool)
        first[:ups], second[ups : ups + downs] = True, True
        got = paired_difference(first, second)
        covered += got.low - 1e-12 <= truth <= got.high + 1e-12
    assert covered >= FEWEST


@pytest.mark.slow
@pytest.mark.parametrize(
    ("shares", "alike"), [((0.1, 0.1), 0.9), ((0.3, 0.2), 0.5), ((0.95, 0.9), 1.0)]
)
def test_paired_share_difference_covers(shares, alike):
    """Trapped among completed, with partly common luck. False alarm below 1e-4 a case."""
    rng = np.random.default_rng(4)
    covered = 0
    for _ in range(REPEATS):
        draws = rng.random((6, 500))
        common = draws[4:] < alike
        completed = np.where(common[0], draws[0], draws[:2]) < [[0.9], [0.8]]
        trapped = np.where(common[1], draws[2], draws[2:4]) < np.array(shares)[:, np.newaxis]
        got = paired_share_difference(trapped[0], completed[0], trapped[1], completed[1])
        covered += got.low <= shares[0] - shares[1] <= got.high
    assert covered >= FEWEST


@pytest.mark.slow
def test_paired_gain_difference_covers_with_gaps():
    """Gains that exist only where completed, paired through common luck. False alarm < 1e-4."""
    rng = np.random.default_rng(5)
    covered = 0
    for _ in range(REPEATS):
        common, (own_first, own_second) = rng.normal(size=300), rng.normal(size=(2, 300))
        completed = rng.random((2, 300)) < [[0.9], [0.8]]
        first = np.where(completed[0], 8.0 + 2.0 * common + own_first, np.nan)
        second = np.where(completed[1], 6.0 + 2.0 * common + own_second, np.nan)
        got = paired_difference(first, second)
        covered += got.low <= 2.0 <= got.high
    assert covered >= FEWEST
