"""What false steps do to the defender who follows: they warn, and they cost.

The trade says that they only warn (common practice); Henry 2012 (published) that being shown a
feint costs the follower time. n and the false-alarm rate stand beside each test; comparisons are
paired under the same luck (see `rehearsed`), with time for all steps before the throw.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.outside.following import follow, strike_after
from tests.outside.rehearsed import difference, rows

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("time", ["turned", "gate"])
def test_a_feint_costs_the_follower_what_was_published(time):
    """Henry 2012, J Sports Sci (published): +0.509 +- 0.243 s (+34 %) on the agility time.

    Measured here: one false step against none, in seconds from the runner's decisive step until
    the follower moves that way at 1 m/s ("turned"), and until it has made 4 m of it ("gate", nearer
    to a test that ends at a gate). The published spread is that of the cost between players and
    serves as the tolerance of the average. n 300, standard error below 0.02 s: for a true cost a
    tenth of a second inside the band, the false alarm is below 0.001.
    """
    none, one = (getattr(follow(steps), time) for steps in (0, 1))
    cost = one - none
    assert np.isfinite(cost).all()
    assert cost.mean() == pytest.approx(0.509, abs=0.243)


def test_false_steps_warn():
    """Common practice: how far behind the present the follower sees at the decisive step is less
    after three false steps than without. n 300; z = 3.1, false alarm 0.001."""
    sooner = follow(0).lag - follow(3).lag
    assert sooner.mean() / (sooner.std(ddof=1) / np.sqrt(len(sooner))) > 3.1
    assert sooner.mean() > 0.03


def test_a_warned_follower_turns_sooner_than_one_who_was_fooled_once():
    """The warning seen in the legs: three false steps against one. n 300, z = 3.1, 0.001."""
    sooner = follow(1).turned - follow(3).turned
    assert sooner.mean() / (sooner.std(ddof=1) / np.sqrt(len(sooner))) > 3.1


def test_false_steps_use_up_the_count():
    """Three of them take 1.75 s, most of two counts. n 300."""
    none, three = rows(strike_after(0), 300), rows(strike_after(3), 600)[:300]
    assert difference(three, none, "stall_at_release").low > 1.5
