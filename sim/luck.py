"""Luck: random numbers addressed by what they are for, never by the order of asking.

A draw is a function of (seed, rehearsal, purpose, occasion, slot). The same rehearsal therefore
meets the same luck whatever the players decide, however many rehearsals run beside it, and
whichever draws were asked for before.

The generator is Philox4x32-10, a counter-based generator: Salmon, Moraes, Dror & Shaw 2011,
"Parallel random numbers: as easy as 1, 2, 3", Proc. SC11. The seed is its key; the address of a
draw is its counter. Its words are 32-bit numbers held in 64-bit ones; the products of two of them
keep their 64 bits whether a sign is read into them or not.
"""

from __future__ import annotations

from enum import IntEnum
from typing import Any, NamedTuple

import numpy as np

from sim.elementary import normal_quantile

_WORD = 0xFFFFFFFF
_MULTIPLY_1, _MULTIPLY_2 = 0xD2511F53, 0xCD9E8D57
_WEYL_1, _WEYL_2 = 0x9E3779B9, 0xBB67AE85
_ROUNDS = 10
MOST = 2.5  # sd; nobody is further off than this where a person is meant


class Purpose(IntEnum):
    """What a draw is for. The numbers are part of every address: add new ones, never change one."""

    REACTION = 1
    MISREAD = 2
    THROW_HEADING = 3
    THROW_SPEED = 4
    THROW_PITCH = 5
    MARK_HAND = 6
    CATCH = 7
    CONTEST = 8
    TIMING = 9
    STALL_PACE = 10
    CUT = 11
    FAKE = 12
    WIND = 13
    HELP = 14
    CHOICE = 15
    POSITION = 16
    THROW_ROLL = 17
    THROW_SPIN = 18
    SLIP = 19
    FLIGHT = 20


class Luck(NamedTuple):
    """The luck of one rehearsal: the two words of the seed, the two of the rehearsal's number."""

    seed_low: int
    seed_high: int
    low: int
    high: int


def luck_of(seed: int, rehearsal: int) -> Luck:
    """The luck of a rehearsal, numbered from 0.

    Raises
    ------
    ValueError
        If the seed is not a whole number from 0 to 2**64 - 1, or the rehearsal negative.
    """
    seed = check_seed(seed)
    if rehearsal < 0:
        raise ValueError(f"rehearsals are numbered from 0; found {rehearsal}")
    number = int(rehearsal)
    return Luck(seed & _WORD, seed >> 32, number & _WORD, number >> 32)


def check_seed(seed: Any) -> int:
    """`seed` as a Python int.

    Raises
    ------
    ValueError
        If it is not a whole number from 0 to 2**64 - 1.
    """
    whole = isinstance(seed, (int, np.integer)) and not isinstance(seed, bool)
    if not whole or not 0 <= int(seed) < 2**64:
        raise ValueError(f"seed is {seed!r}; it must be a whole number from 0 to {2**64 - 1}")
    return int(seed)


def philox(c0: int, c1: int, c2: int, c3: int, key_1: int, key_2: int) -> tuple[int, int, int, int]:
    """Philox4x32-10 of Salmon et al. 2011: four random words for a counter of four and a key of two.

    All words are below 2**32.
    """
    for _ in range(_ROUNDS):
        first, second = _MULTIPLY_1 * c0, _MULTIPLY_2 * c2
        c0, c1, c2, c3 = (
            ((second >> 32) & _WORD) ^ c1 ^ key_1,
            second & _WORD,
            ((first >> 32) & _WORD) ^ c3 ^ key_2,
            first & _WORD,
        )
        key_1 = (key_1 + _WEYL_1) & _WORD
        key_2 = (key_2 + _WEYL_2) & _WORD
    return c0, c1, c2, c3


def uniform(luck: Any, purpose: int, occasion: int, slot: int) -> float:
    """A draw from the open interval (0, 1), in steps of 2**-52.

    Parameters
    ----------
    purpose : what the draw is for, one of `Purpose`.
    occasion : which time it is used (throw number, stall count, ...), 0 to 2**32 - 1.
    slot : for whom (player slot, component, ...), 0 to 2**16 - 1.
    """
    first, second, _, _ = philox(
        int(luck.low),
        int(luck.high),
        int(occasion),
        int(slot) | (purpose << 16),
        int(luck.seed_low),
        int(luck.seed_high),
    )
    # 52 bits and a half step: every value, the largest too, is exact and inside (0, 1).
    return (((first >> 6) << 26 | (second >> 6)) + 0.5) * 2.0**-52


def normal(luck: Any, purpose: int, occasion: int, slot: int) -> float:
    """A standard normal draw, by inversion of `uniform` at the same address."""
    return normal_quantile(uniform(luck, purpose, occasion, slot))


def capped_normal(luck: Any, purpose: int, occasion: int, slot: int) -> float:
    """The same, brought back to `MOST` standard deviations where it is further off."""
    return min(max(normal(luck, purpose, occasion, slot), -MOST), MOST)
