"""What throwers say of their throws comes true.

Common practice with no source: a thrower who misjudges by more than a few throws in a hundred learns
it. Over plans, defences and levels at once; the luck of one seed moves no figure by half of its limit.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd
import pytest

from experiments.studies.credibility import all_thrown, by_cell, reliability

pytestmark = pytest.mark.slow
NAMES = ("middle-reset", "week-denied-reset", "trapped-sideline", "cup", "possession")


@cache
def thrown() -> pd.DataFrame:
    """Some six thousand throws."""
    return all_thrown(n=60, seed=20, names=NAMES)


def test_what_is_said_is_kept_over_all() -> None:
    for _, level in thrown().groupby("level"):
        assert abs(level["estimate"].mean() - level["kept"].mean()) < 0.03


def test_a_better_chance_is_a_better_chance() -> None:
    """In tenths: said and kept agree, and what is said to be surer is kept more often."""
    found = reliability(thrown(), least=150)
    assert len(found) >= 8
    off = (found["said"] - found["kept"]).abs()
    assert np.average(off, weights=found["throws"]) < 0.04
    assert off.max() < 0.2
    for _, row in found.groupby(["level", "later"]):
        assert row["kept"].is_monotonic_increasing or row["kept"].diff().min() > -0.08


def test_a_throw_is_judged_by_the_defence_that_is_there() -> None:
    """By look of one plan against one defence, where errors cannot cancel."""
    found = by_cell(thrown(), least=50)
    off = (found["said"] - found["kept"]).abs()
    assert np.average(off, weights=found["throws"]) < 0.07
    assert (off > 0.2).mean() < 0.08
