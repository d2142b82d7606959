"""Luck: the generator's known answers, addresses, ranges, and seeded statistics.

Every statistical test has a fixed seed, so it either always passes or always fails; the false-alarm
rate stated beside it is the chance that a perfect generator would have failed it with that seed.
"""

import numpy as np
import pytest
from scipy import stats

from sim.luck import MAX_OCCASION, MAX_SLOT, Luck, Purpose, philox

IDS = np.arange(20_000)


@pytest.mark.parametrize(
    ("counter", "key", "answer"),
    [
        ((0,) * 4, (0, 0), (0x6627E8D5, 0xE169C58D, 0xBC57AC4C, 0x9B00DBD8)),
        (
            (0xFFFFFFFF,) * 4,
            (0xFFFFFFFF,) * 2,
            (0x408F276D, 0x41C83B0E, 0xA20BC7C6, 0x6D5451FD),
        ),
        (
            (0x243F6A88, 0x85A308D3, 0x13198A2E, 0x03707344),
            (0xA4093822, 0x299F31D0),
            (0xD16CFE09, 0x94FDCCEB, 0x5001E420, 0x24126EA1),
        ),
    ],
)
def test_known_answers_of_philox4x32_10(counter, key, answer):
    """Known-answer vectors that come with Salmon et al. 2011 (memory: quoted, not re-read)."""
    words = philox(np.array(counter, dtype=np.uint64)[:, None], key)
    assert tuple(int(word) for word in words[:, 0]) == answer


def test_many_counters_at_once_give_what_each_gives_alone():
    counters = np.random.default_rng(5).integers(0, 2**32, (4, 50), dtype=np.uint64)
    together = philox(counters, (1, 2))
    for column in range(50):
        assert np.array_equal(philox(counters[:, [column]], (1, 2))[:, 0], together[:, column])


def test_the_numbers_of_the_purposes_never_change():
    names = [
        *("REACTION", "MISREAD", "THROW_ANGLE", "THROW_PACE", "THROW_HEIGHT", "MARK_HAND", "CATCH"),
        *("CONTEST", "TIMING", "STALL_PACE", "CUT", "FAKE", "GUST", "HELP", "CHOICE", "POSITION"),
    ]
    assert {name: Purpose[name].value for name in names} == {
        name: number for number, name in enumerate(names, start=1)
    }


def test_two_equal_lucks_give_equal_draws_whatever_was_asked_before():
    one, two = Luck(7, IDS[:100]), Luck(7, IDS[:100])
    two.normal(Purpose.GUST, 5, 3)
    two.uniform(Purpose.CATCH)
    assert np.array_equal(one.uniform(Purpose.CUT, 2, 1), two.uniform(Purpose.CUT, 2, 1))


@pytest.mark.parametrize("index", [np.array([5, 2, 900]), np.arange(1000) % 7 == 3, [0], []])
def test_some_rehearsals_alone_have_the_luck_they_have_among_all(index):
    luck = Luck(11, np.arange(1000) * 3)
    index = np.asarray(index, dtype=bool if np.asarray(index).dtype == bool else int)
    some = luck.take(index)
    assert np.array_equal(some.rehearsals, luck.rehearsals[index])
    assert np.array_equal(
        some.normal(Purpose.REACTION, 4, 2), luck.normal(Purpose.REACTION, 4, 2)[index]
    )
    columns = np.arange(5)[None, :]
    assert np.array_equal(
        some.uniform(Purpose.GUST, slot=columns), luck.uniform(Purpose.GUST, slot=columns)[index]
    )


def test_each_part_of_an_address_changes_the_draw():
    def draw(seed=1, rehearsal=0, purpose=Purpose.CATCH, occasion=0, slot=0):
        return float(Luck(seed, np.array([rehearsal])).uniform(purpose, occasion, slot)[0])

    draws = [
        draw(),
        draw(seed=2),
        draw(seed=2**63 + 1),
        draw(rehearsal=1),
        draw(rehearsal=2**40),
        draw(purpose=Purpose.CUT),
        draw(occasion=1),
        draw(occasion=MAX_OCCASION),
        draw(slot=1),
        draw(slot=MAX_SLOT),
    ]
    assert len(set(draws)) == len(draws)


def test_shapes_follow_the_rule_that_the_first_axis_is_the_rehearsal():
    luck = Luck(3, np.arange(6))
    slots = np.arange(4)[None, :]
    each = np.arange(6) + 10
    both = luck.uniform(Purpose.CUT, each, slots)
    assert luck.uniform(Purpose.CUT).shape == (6,)
    assert luck.uniform(Purpose.CUT, each).shape == (6,)
    assert both.shape == (6, 4)
    assert luck.uniform(Purpose.CUT, each[:, None] + slots, 1).shape == (6, 4)
    for column in range(4):
        assert np.array_equal(both[:, column], luck.uniform(Purpose.CUT, each, column))
    for row in range(6):
        assert both[row, 2] == luck.uniform(Purpose.CUT, int(each[row]), 2)[row]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        ({"slot": np.arange(4)}, "first axis must be the 6 rehearsals"),
        ({"occasion": -1}, "occasion must lie between 0 and 4294967295"),
        ({"occasion": 2**32}, "occasion must lie between"),
        ({"slot": 2**16}, "slot must lie between 0 and 65535"),
        ({"slot": 1.5}, "slot must be whole numbers"),
    ],
)
def test_an_address_that_cannot_be_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        Luck(3, np.arange(6)).uniform(Purpose.CUT, **call)


@pytest.mark.parametrize("seed", [-1, 2**64, 1.5, "7", None, True])
def test_a_seed_that_is_no_whole_number_in_range_is_refused(seed):
    with pytest.raises(ValueError, match="must be a whole number from 0 to 18446744073709551615"):
        Luck(seed, IDS)


@pytest.mark.parametrize("seed", [0, 2**64 - 1, np.int64(5), np.uint64(2**64 - 1)])
def test_the_whole_range_of_seeds_works(seed):
    assert Luck(seed, IDS[:3]).seed == int(seed)


@pytest.mark.parametrize("ids", [np.array([[1]]), np.array([1.0]), np.array([3, -1])])
def test_rehearsals_that_are_no_numbers_of_rehearsals_are_refused(ids):
    with pytest.raises(ValueError, match="rehearsals"):
        Luck(1, ids)


def test_the_interval_is_open_at_both_ends(monkeypatch):
    """The smallest and the largest words the generator can give."""
    luck = Luck(1, np.arange(2))
    words = np.array([[0, 2**32 - 1]] * 4, dtype=np.uint64)
    monkeypatch.setattr("sim.luck._scramble", lambda counter, keys: words.copy())
    low, high = luck.uniform(Purpose.CUT)
    assert low == 2.0**-53
    assert high == 1 - 2.0**-53
    assert np.isfinite(luck.normal(Purpose.CUT)).all()


@pytest.mark.parametrize("purpose", list(Purpose))
def test_draws_are_uniform_across_rehearsals(purpose):
    """Kolmogorov-Smirnov at 1e-6 for each of the purposes: false alarm at most 2e-5 in all."""
    draws = Luck(2024, IDS).uniform(purpose, 3, 1)
    assert stats.kstest(draws, "uniform").pvalue > 1e-6


def test_draws_are_uniform_across_occasions_slots_and_seeds():
    """Kolmogorov-Smirnov at 1e-6, three times: false alarm 3e-6."""
    one = Luck(9, np.array([4]))
    occasions = one.uniform(Purpose.GUST, np.arange(20_000)[None, :])[0]
    slots = one.uniform(Purpose.GUST, 0, np.arange(20_000)[None, :])[0]
    seeds = [float(Luck(seed, np.array([0])).uniform(Purpose.GUST)[0]) for seed in range(2000)]
    for draws in (occasions, slots, seeds):
        assert stats.kstest(draws, "uniform").pvalue > 1e-6


def test_normal_draws_are_standard_normal():
    """Kolmogorov-Smirnov at 1e-6: false alarm 1e-6."""
    assert stats.kstest(Luck(5, IDS).normal(Purpose.THROW_ANGLE), "norm").pvalue > 1e-6


def test_neighbours_in_every_direction_of_the_address_are_independent():
    """Chi-square on 16 x 16 cells of pairs at 1e-6, five pairs: false alarm 5e-6."""
    base = Luck(31, IDS)
    draws = base.uniform(Purpose.CATCH, 1, 1)
    others = {
        "rehearsal": Luck(31, IDS + 1).uniform(Purpose.CATCH, 1, 1),
        "seed": Luck(32, IDS).uniform(Purpose.CATCH, 1, 1),
        "purpose": base.uniform(Purpose.CONTEST, 1, 1),
        "occasion": base.uniform(Purpose.CATCH, 2, 1),
        "slot": base.uniform(Purpose.CATCH, 1, 2),
    }
    for name, other in others.items():
        cells, _, _ = np.histogram2d(draws, other, bins=16, range=[[0, 1], [0, 1]])
        assert stats.chisquare(cells.ravel()).pvalue > 1e-6, name
