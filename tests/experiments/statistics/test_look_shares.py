"""Which looks were thrown: shares add up, and each is the share of its own plays."""

from __future__ import annotations

import pandas as pd
import pytest

from experiments.statistics.look_shares import NOT_THROWN, look_shares

TABLE = pd.DataFrame(
    {
        "look": ["dump", "dump", "strike", "", "dump", "open player", "", ""],
        "completed": [True, False, True, False, True, True, False, False],
    }
)


def test_shares_by_hand() -> None:
    found = {one.look: one for one in look_shares(TABLE)}
    assert found["dump"].thrown.estimate == pytest.approx(3 / 8)
    assert found["dump"].completed.estimate == pytest.approx(2 / 3)
    assert found["dump"].completed.n == 3
    assert found[NOT_THROWN].thrown.estimate == pytest.approx(3 / 8)
    assert sum(one.thrown.estimate for one in found.values()) == pytest.approx(1.0)


def test_the_most_frequent_comes_first_and_what_was_not_thrown_last() -> None:
    assert [one.look for one in look_shares(TABLE)] == ["dump", "open player", "strike", NOT_THROWN]
