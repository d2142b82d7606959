"""The last instant of a tape: where the record says the rehearsal ended, and in whose hands."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from experiments.running.batch import rehearse_rows, rehearse_tape
from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.tapes.paths import disc_at_end, ending, flights
from sim.record import Tape

N, SEED = 400, 7
LOST = ("blocked", "dropped", "missed", "out of bounds")
# Where an ending is looked for: the shipped reset, then plays in which more goes wrong.
SEARCHED = (
    ("middle-reset", {}),
    ("beach-five", {"wind.speed": 9.0, "roster.offence.level": "novice"}),
    ("middle-reset", {"roster.offence.hands": 0.7, "roster.offence.stretch_hands": 0.2}),
    ("middle-reset", {"stall": 9.8}),
    ("middle-reset", {"judgement.mark.hand": 0.4, "judgement.mark.stop": 1.0, "plan": "dump"}),
    ("possession", {}),
)


@cache
def example(outcome: str) -> tuple[Situation, Tape]:
    """A rehearsal that ended so: the first that a search comes to."""
    for name, settings in SEARCHED:
        situation = load(name)
        for path, value in settings.items():
            situation = situation.with_setting(path, value)
        rows = rehearse_rows(situation, np.arange(N), SEED)
        found = rows.loc[rows["outcome"] == outcome, "rehearsal"]
        if len(found):
            return situation, rehearse_tape(situation, int(found.iloc[0]), SEED)
    raise AssertionError(f"no rehearsal ended {outcome}: make the plays of SEARCHED go more wrong")


def test_a_catch_ends_in_the_hands_of_a_receiver_who_stands_there() -> None:
    _, tape = example("completed")
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


@pytest.mark.parametrize("outcome", LOST)
def test_a_failure_ends_with_the_disc_where_it_was_lost(outcome: str) -> None:
    """In nobody's hands, unless somebody caught it out of bounds."""
    _, tape = example(outcome)
    assert tape.outcome == outcome
    np.testing.assert_array_equal(tape.disc[-1, :2], [tape.row["end_x_m"], tape.row["end_y_m"]])
    holder = int(tape.holder[-1])
    if holder >= 0:
        assert outcome == "out of bounds"
        assert not tape.field.in_bounds(*tape.positions[-1, holder])
    else:
        assert (tape.disc[-1, 2] == 0.0) == (outcome in ("missed", "out of bounds"))
    assert tape.mark[-1] == -1
    assert ending(tape).startswith(outcome)
    assert disc_at_end(tape) == "lost"


@pytest.mark.parametrize("outcome", ["completed", *LOST])
def test_the_last_tick_is_no_longer_than_the_others_and_nobody_jumps(outcome: str) -> None:
    """11 m/s is faster than anybody runs; a disc is faster, but not much than 25 m/s."""
    _, tape = example(outcome)
    ticks = np.diff(tape.times)
    np.testing.assert_allclose(ticks, ticks[0], atol=1e-9)
    moved = np.hypot(*np.moveaxis(np.diff(tape.positions[-2:], axis=0), -1, 0))
    assert float(moved.max()) < 11.0 * ticks[0]
    assert float(np.hypot(*(tape.disc[-1] - tape.disc[-2])[:2])) < 25.0 * ticks[0] + 1.5


def test_a_stall_ends_with_the_count_at_ten_and_the_disc_in_the_throwers_hands() -> None:
    _, tape = example("stalled")
    assert tape.holder[-1] == tape.holder[-2] >= 0
    assert tape.mark[-1] >= 0
    assert tape.count[-1] >= 10.0 > tape.count[-2]
    assert tape.times[-1] == pytest.approx(tape.row["duration_s"])
    assert ending(tape) == "stalled: the count ran out"
    assert disc_at_end(tape) == "lost"


def test_a_block_by_the_mark_ends_as_the_disc_leaves_the_hand() -> None:
    _, tape = example("blocked by the mark")
    assert tape.holder[-1] == -1
    assert tape.holder[-2] >= 0
    np.testing.assert_array_equal(tape.disc[-1, :2], [tape.row["end_x_m"], tape.row["end_y_m"]])
    assert tape.times[-1] == pytest.approx(tape.row["duration_s"])


def test_a_goal_ends_in_the_end_zone() -> None:
    _, goal = example("goal")
    scorer = int(goal.holder[-1])
    assert goal.field.in_end_zone(*goal.positions[-1, scorer])
    assert ending(goal) == f"goal: {goal.names[scorer]} has it in the end zone"


def test_what_was_cut_off_is_neither_kept_nor_lost() -> None:
    situation = load("possession").with_setting("time_cap", 1.0)
    tape = rehearse_tape(situation, 3, SEED)
    assert tape.outcome == "time cap"
    assert tape.times[-1] == pytest.approx(1.0)
    assert disc_at_end(tape) == ""


def test_a_play_that_cannot_be_compiled_leaves_the_same_tape(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    situation, compiled = example("completed")
    monkeypatch.setenv("STALLWISE_COMPILE", "0")
    plain = rehearse_tape(situation, int(compiled.row["rehearsal"]), SEED)
    for name in ("times", "positions", "velocities", "disc", "holder", "count", "mark"):
        np.testing.assert_array_equal(getattr(plain, name), getattr(compiled, name), err_msg=name)
    np.testing.assert_array_equal(plain.mark_reach, compiled.mark_reach)


def test_what_the_mark_stops_lies_around_the_mark_and_goes_with_its_lean() -> None:
    """Seen from the thrower, as wide at any lean as arms held out from chest to chest."""
    situation, tape = example("completed")
    marked = np.flatnonzero((tape.mark >= 0) & (tape.holder >= 0))
    assert len(marked) > 10
    for k in marked:
        low, high = tape.mark_reach[k]
        thrower, mark = tape.positions[k, tape.holder[k]], tape.positions[k, tape.mark[k]]
        toward = np.arctan2(*(mark - thrower))
        assert 0.0 < high - low < np.pi
        wide = (
            situation.setting("judgement.mark.arm").value
            + situation.setting("judgement.mark.hand").value
        )
        far = max(float(np.hypot(*(mark - thrower))), 0.1)
        furthest = np.arctan2(wide + 0.5, far)
        assert low > toward - furthest
        assert high < toward + furthest
    assert len({round(float(high - low), 6) for low, high in tape.mark_reach[marked]}) > 1
