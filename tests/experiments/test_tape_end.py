"""The last instant of a tape: where the record says the rehearsal ended, and in whose hands."""

from __future__ import annotations

import numpy as np
import pytest

from experiments.batch import rehearse_tape
from experiments.loading import load
from experiments.paths import disc_at_end, ending, flights
from experiments.situation import Situation
from experiments.study import rehearse
from tests.outside.rehearsed import one_look

N, SEED = 60, 7


def _endings(situation: Situation) -> dict[str, int]:
    """The first rehearsal of each outcome."""
    table = rehearse(situation, N, SEED, progress=False).table
    return {str(o): int(rows["rehearsal"].iloc[0]) for o, rows in table.groupby("outcome")}


@pytest.fixture(scope="module")
def beach() -> tuple[Situation, dict[str, int]]:
    """One in which a good part of the passes is not caught."""
    situation = load("beach-five").with_setting("wind.speed", 6.0)
    return situation, _endings(situation)


def test_a_catch_ends_in_the_hands_of_a_receiver_who_stands_there(
    beach: tuple[Situation, dict[str, int]],
) -> None:
    situation, found = beach
    tape = rehearse_tape(situation, found["completed"], SEED)
    holder = int(tape.holder[-1])
    assert tape.names[holder] == tape.row["receiver"]
    assert tape.teams[holder] == "offence"
    np.testing.assert_array_equal(tape.disc[-1, :2], tape.positions[-1, holder])
    assert tape.holder[-2] == -1
    (flight,) = flights(tape)
    assert flight.arrival == len(tape.times) - 1
    in_air = tape.times[flight.arrival] - tape.row["release_s"]
    assert in_air == pytest.approx(tape.row["flight_s"], abs=1e-9)
    assert ending(tape) == f"completed: {tape.row['receiver']} has it"
    assert disc_at_end(tape) == "kept"


def test_a_failure_ends_with_the_disc_in_nobodys_hands_where_it_was_lost(
    beach: tuple[Situation, dict[str, int]],
) -> None:
    situation, found = beach
    lost = {"blocked", "dropped", "missed", "out of bounds"} & set(found)
    assert {"blocked", "dropped"} <= lost
    for outcome in lost:
        tape = rehearse_tape(situation, found[outcome], SEED)
        assert tape.holder[-1] == -1
        np.testing.assert_array_equal(tape.disc[-1, :2], [tape.row["end_x_m"], tape.row["end_y_m"]])
        on_ground = outcome in ("missed", "out of bounds")
        assert (tape.disc[-1, 2] == 0.0) == on_ground
        assert tape.mark[-1] == -1
        assert ending(tape).startswith(outcome)
        assert disc_at_end(tape) == "lost"


def test_the_last_tick_is_no_longer_than_the_others_and_nobody_jumps(
    beach: tuple[Situation, dict[str, int]],
) -> None:
    """11 m/s is faster than anybody runs; a disc is faster, but not much than 25 m/s."""
    situation, found = beach
    for rehearsal in found.values():
        tape = rehearse_tape(situation, rehearsal, SEED)
        ticks = np.diff(tape.times)
        np.testing.assert_allclose(ticks, ticks[0], atol=1e-9)
        moved = np.hypot(*np.moveaxis(np.diff(tape.positions[-2:], axis=0), -1, 0))
        assert float(moved.max()) < 11.0 * ticks[0]
        assert float(np.hypot(*(tape.disc[-1] - tape.disc[-2])[:2])) < 25.0 * ticks[0] + 1.5


def test_a_stall_ends_with_the_count_at_ten_and_the_disc_in_the_throwers_hands() -> None:
    situation = load("middle-reset").with_setting("stall", 9.8)
    tape = rehearse_tape(situation, _endings(situation)["stalled"], SEED)
    assert tape.outcome == "stalled"
    assert tape.holder[-1] == tape.holder[0]
    assert tape.mark[-1] >= 0
    assert tape.count[-1] >= 10.0 > tape.count[-2]
    assert tape.times[-1] == pytest.approx(tape.row["duration_s"])
    assert ending(tape) == "stalled: the count ran out"
    assert disc_at_end(tape) == "lost"


def test_a_block_by_the_mark_ends_as_the_disc_leaves_the_hand() -> None:
    """The strike the wrong way round, from the open side past the mark."""
    situation = one_look(load("middle-reset"), who="right", toward="break")
    found = _endings(situation)
    tape = rehearse_tape(situation, found["blocked by the mark"], SEED)
    assert tape.holder[-1] == -1
    assert tape.holder[-2] >= 0
    np.testing.assert_array_equal(tape.disc[-1, :2], [tape.row["end_x_m"], tape.row["end_y_m"]])
    assert tape.times[-1] == pytest.approx(tape.row["duration_s"])


@pytest.mark.slow
def test_a_goal_ends_in_the_end_zone() -> None:
    situation = load("possession")
    found = _endings(situation)
    goal = rehearse_tape(situation, found["goal"], SEED)
    scorer = int(goal.holder[-1])
    assert goal.field.in_end_zone(*goal.positions[-1, scorer])
    assert ending(goal) == f"goal: {goal.names[scorer]} has it in the end zone"


def test_what_was_cut_off_is_neither_kept_nor_lost() -> None:
    situation = load("possession").with_setting("time_cap", 1.0)
    tape = rehearse_tape(situation, 3, SEED)
    assert tape.outcome == "time cap"
    assert tape.times[-1] == pytest.approx(1.0)
    assert disc_at_end(tape) == ""
