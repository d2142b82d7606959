"""Results depend on (situation, n, seed) alone, and the mirror image plays the mirror image."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from experiments import load, shipped
from experiments.batch import rehearse_rows, rehearse_tape

N = 24
SAME_IN_THE_MIRROR = [
    "rehearsal",
    "outcome",
    "completed",
    "throws",
    "look",
    "thrower",
    "receiver",
    "stopper",
    "stall_at_release",
    "release_s",
    "estimate",
    "distance_m",
    "flight_s",
    "separation_m",
    "start_y_m",
    "end_y_m",
    "gain_m",
    "off_centre_m",
    "trapped",
    "trapped_s",
    "duration_s",
    "aim_y_m",
]
FLIPPED_IN_THE_MIRROR = ["start_x_m", "end_x_m", "aim_x_m"]


# Every plan of every situation; a few of them for a quick look.
QUICK = {"middle-reset-strike", "cup-over", "dump-swing-poach-swing-dump"}
PLANS = [
    pytest.param(
        name, plan, id=f"{name}-{plan}", marks=[pytest.mark.slow] * (f"{name}-{plan}" not in QUICK)
    )
    for name in shipped()
    for plan in load(name).plans
]


@pytest.mark.parametrize(("ensemble", "some"), [(1, 5), (7, N), (N, N)])
def test_the_size_of_an_ensemble_does_not_matter(ensemble, some):
    """A few rehearsals alone are enough to see, and each takes a second."""
    situation = load("middle-reset")
    whole = rehearse_rows(situation, np.arange(N), 7, ensemble=1000)
    pd.testing.assert_frame_equal(
        rehearse_rows(situation, np.arange(some), 7, ensemble=ensemble),
        whole[:some],
        check_exact=True,
    )


def test_the_order_of_rehearsals_does_not_matter():
    situation = load("middle-reset")
    ids = np.arange(N)
    whole = rehearse_rows(situation, ids, 7)
    back = rehearse_rows(situation, ids[::-1].copy(), 7)
    back = back.sort_values("rehearsal").reset_index(drop=True)
    pd.testing.assert_frame_equal(back, whole, check_exact=True)


@pytest.mark.parametrize(("name", "plan"), PLANS)
def test_the_mirrored_situation_plays_the_mirror_image_bit_for_bit(name, plan):
    situation = load(name).with_setting("plan", plan)
    # The first two or three throws of a possession have all there is in it.
    situation = situation.with_setting("time_cap", min(situation.time_cap, 12.0))
    ids = np.arange(N)
    here = rehearse_rows(situation, ids, 7)
    there = rehearse_rows(situation.mirrored(), ids, 7)
    pd.testing.assert_frame_equal(
        here[SAME_IN_THE_MIRROR], there[SAME_IN_THE_MIRROR], check_exact=True
    )
    for column in FLIPPED_IN_THE_MIRROR:
        np.testing.assert_array_equal(here[column], -there[column])


def test_another_seed_gives_another_table():
    situation = load("middle-reset")
    ids = np.arange(N)
    assert not rehearse_rows(situation, ids, 7).equals(rehearse_rows(situation, ids, 8))


def test_a_tape_is_the_rehearsal_that_gave_the_row():
    situation = load("middle-reset")
    rows = rehearse_rows(situation, np.arange(N), 7)
    tape = rehearse_tape(situation, 5, 7)
    assert tape.outcome == rows.outcome[5]
    assert tape.row["end_x_m"] == rows.end_x_m[5]
    assert len(tape.times) == len(tape.positions) == len(tape.disc)
    assert np.all(np.isfinite(tape.positions))
