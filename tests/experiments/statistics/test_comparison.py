"""Comparisons: weights, signs, and what common luck saves."""

from __future__ import annotations

import dataclasses

import numpy as np
import pandas as pd
import pytest

from experiments.running.engine import Engine
from experiments.running.runner import run
from experiments.statistics.comparison import COMPARED, compare_tables, completion_differences
from experiments.statistics.tables import data_frame
from experiments.statistics.weights import Weights, score
from tests.experiments import pretend


@pytest.fixture(scope="module")
def tables():
    tasks = [
        pretend.task("dump", 2000, gain=-2.0, rate=0.95, trapped=0.1),
        pretend.task("strike", 2000, gain=8.0, rate=0.90, trapped=0.3),
    ]
    return run(tasks, Engine(rows=pretend.rows)).tables


def test_score_adds_up_by_hand():
    table = pd.DataFrame(
        {
            "completed": [True, True, False],
            "goal": [True, False, False],
            "gain_m": [10.0, -4.0, np.nan],
            "off_centre_m": [2.0, 14.0, np.nan],
            "trapped": [False, True, False],
        }
    )
    weights = Weights(completed=1.0, gain=0.02, off_centre=-0.01, trapped=-0.3)
    assert score(table, weights) == pytest.approx([1.0 + 0.2 - 0.02, 1.0 - 0.08 - 0.14 - 0.3, 0.0])
    of_goals = dataclasses.replace(weights, goal=2.0)
    assert score(table, of_goals) - score(table, weights) == pytest.approx([2.0, 0.0, 0.0])


def test_weights_are_shown_and_checked():
    assert "+1 for a completed pass" in str(Weights())
    assert "-0.1 for a completed pass that is trapped" in str(Weights())
    with pytest.raises(ValueError, match="gain"):
        Weights(gain=float("nan"))


def test_finds_the_differences_that_were_put_in(tables):
    found = {d.measure: d for d in compare_tables(tables).differences}
    assert set(found) == set(COMPARED)
    truth = {"completed": -0.05, "gain_m": 10.0, "trapped": 0.2}
    for measure, difference in truth.items():
        got = found[measure].difference
        # Five half-widths: a false alarm once in 10^22.
        assert abs(got.estimate - difference) < 5.0 * got.half_width + 1e-9
        assert found[measure].clear
    assert found["off_centre_m"].difference.estimate == pytest.approx(0.0, abs=0.2)


def test_common_luck_shrinks_the_interval(tables):
    found = {d.measure: d for d in compare_tables(tables).differences}
    # The same draw decides both completions, so only 5 % of rehearsals can disagree: the
    # variance is near 0.05, against 0.95 * 0.05 + 0.9 * 0.1 without pairing.
    unpaired, paired = 0.95 * 0.05 + 0.9 * 0.1, 0.05 - 0.05**2
    assert found["completed"].variance_ratio == pytest.approx(unpaired / paired, rel=0.15)
    # Gains share their luck entirely where both are completed.
    assert found["gain_m"].variance_ratio > 5.0


def test_the_table_and_the_precision_measure_say_the_same(tables):
    comparison = compare_tables(tables, level=0.9)
    row = comparison.table().set_index("measure").loc["completed"]
    alone = completion_differences(tables, 0.9)["strike"]
    assert (row["difference"], row["low"], row["high"]) == (alone.estimate, alone.low, alone.high)


def test_the_baseline_can_be_chosen(tables):
    one, other = compare_tables(tables), compare_tables(tables, baseline="strike")
    assert [d.plan for d in other.differences] == ["dump"] * len(COMPARED)
    for a, b in zip(one.differences, other.differences, strict=True):
        assert a.difference.estimate == -b.difference.estimate


def test_what_cannot_be_compared_is_refused(tables):
    with pytest.raises(ValueError, match="at least two"):
        compare_tables({"dump": tables["dump"]})
    with pytest.raises(ValueError, match="no plan 'swing'"):
        compare_tables(tables, baseline="swing")
    with pytest.raises(ValueError, match="same number of times"):
        compare_tables({**tables, "strike": data_frame(tables["strike"]).iloc[:-1]})
