"""Luck: published known answers, addresses that do not touch, and the shape of the draws."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import kstest

from sim.luck import Purpose, check_seed, luck_of, normal, philox, uniform
from tests.sim.compiled import compiled

# Known-answer vectors of philox4x32-10, distributed with the reference implementation of
# Salmon et al. 2011: counter, key, result.
KNOWN = (
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
)


@pytest.mark.parametrize(("counter", "key", "words"), KNOWN)
def test_the_generator_gives_the_published_answers(counter, key, words) -> None:  # type: ignore[no-untyped-def]
    assert philox(*counter, *key) == words
    assert tuple(compiled(philox)(*counter, *key)) == words


def test_every_part_of_an_address_counts() -> None:
    start = (luck_of(7, 3), int(Purpose.CATCH), 5, 2)
    others = (
        (luck_of(8, 3), *start[1:]),
        (luck_of(7 + 2**32, 3), *start[1:]),
        (luck_of(7, 4), *start[1:]),
        (luck_of(7, 3 + 2**32), *start[1:]),
        (start[0], int(Purpose.CONTEST), 5, 2),
        (start[0], start[1], 6, 2),
        (start[0], start[1], 5, 3),
    )
    draws = {uniform(*start), *(uniform(*other) for other in others)}
    assert len(draws) == 8
    assert uniform(*start) == uniform(*start)


def test_the_draws_are_uniform_and_normal() -> None:
    """Kolmogorov-Smirnov, false alarm 0.001 each, over another seed each time it is changed."""
    lucks = [luck_of(91, r) for r in range(4000)]
    flat = [uniform(luck, int(Purpose.SLIP), 1, 1) for luck in lucks]
    bell = [normal(luck, int(Purpose.THROW_PITCH), 1, 1) for luck in lucks]
    assert min(flat) > 0.0 and max(flat) < 1.0
    assert kstest(flat, "uniform").pvalue > 0.001
    assert kstest(bell, "norm").pvalue > 0.001
    assert abs(np.corrcoef(flat, bell)[0, 1]) < 0.06


def test_compiled_draws_are_the_same() -> None:
    fast = compiled(normal)
    for seed, rehearsal in ((0, 0), (2**64 - 1, 2**40), (7, 12345)):
        luck = luck_of(seed, rehearsal)
        assert fast(luck, 4, 2**32 - 1, 65535) == normal(luck, 4, 2**32 - 1, 65535)


@pytest.mark.parametrize("seed", [-1, 2**64, 1.5, "7", True])
def test_a_seed_is_a_whole_number_of_64_bits(seed: object) -> None:
    with pytest.raises(ValueError, match="whole number from 0 to"):
        check_seed(seed)
