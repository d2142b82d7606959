"""Luck: random numbers addressed by what they are for, never by the order of asking.

A draw is a function of (seed, rehearsal, purpose, occasion, slot). The same rehearsal therefore
meets the same luck whatever the players decide, however many rehearsals run beside it, and
whichever draws were asked for before.

The generator is Philox4x32-10, a counter-based generator: Salmon, Moraes, Dror & Shaw 2011,
"Parallel random numbers: as easy as 1, 2, 3", Proc. SC11. The seed is its key; the address of a
draw is its counter.
"""

from __future__ import annotations

from enum import IntEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

_MULTIPLIERS = (0xD2511F53, 0xCD9E8D57)
_WEYL = (0x9E3779B9, 0xBB67AE85)
_ROUNDS = 10
_LOW = np.uint64(0xFFFFFFFF)
_HALF = np.uint64(32)

MAX_OCCASION = 2**32 - 1
MAX_SLOT = 2**16 - 1


class Purpose(IntEnum):
    """What a draw is for. The numbers are part of every address: add new ones, never change one."""

    REACTION = 1
    MISREAD = 2
    THROW_ANGLE = 3
    THROW_PACE = 4
    THROW_HEIGHT = 5
    MARK_HAND = 6
    CATCH = 7
    CONTEST = 8
    TIMING = 9
    STALL_PACE = 10
    CUT = 11
    FAKE = 12
    GUST = 13
    HELP = 14
    CHOICE = 15
    POSITION = 16


class Luck:
    """The luck of an ensemble of rehearsals.

    Parameters
    ----------
    seed : whole number from 0 to 2**64 - 1.
    rehearsals : (R,) whole numbers, not negative; the identity of each rehearsal.

    Raises
    ------
    ValueError
        If the seed or a rehearsal is not such a number.
    """

    def __init__(self, seed: int, rehearsals: ArrayLike) -> None:
        self.seed = check_seed(seed)
        ids = np.asarray(rehearsals)
        if ids.ndim != 1 or (ids.size and ids.dtype.kind not in "iu"):
            raise ValueError("rehearsals must be a one-dimensional array of whole numbers")
        if ids.size and ids.min() < 0:
            raise ValueError(f"rehearsals are numbered from 0; found {ids.min()}")
        self.rehearsals = ids.astype(np.int64)
        words = ids.astype(np.uint64)
        self._low = words & _LOW
        self._high = words >> _HALF
        self._keys = _key_schedule(self.seed & 0xFFFFFFFF, self.seed >> 32)

    def __len__(self) -> int:
        return len(self.rehearsals)

    def take(self, index: ArrayLike) -> Luck:
        """The luck of some of the rehearsals: `index` holds positions, or is a mask."""
        return Luck(self.seed, self.rehearsals[np.asarray(index)])

    def uniform(
        self, purpose: Purpose, occasion: ArrayLike = 0, slot: ArrayLike = 0
    ) -> NDArray[np.float64]:
        """Draws from the open interval (0, 1).

        Parameters
        ----------
        purpose : what the draw is for.
        occasion : which time it is used (throw number, tick, stall count, ...), 0 to 2**32 - 1.
        slot : for whom (player slot, component, ...), 0 to 2**16 - 1.

        Returns
        -------
        (R,) if `occasion` and `slot` are numbers or (R,) arrays, one entry a rehearsal;
        (R, k) if either has shape (1, k) or (R, k). The first axis of an array is always the
        rehearsal: write ``slot=np.arange(k)[None, :]`` for k draws in every rehearsal. A (R,)
        array beside a two-dimensional one means one entry a rehearsal, used in all k columns.

        Raises
        ------
        ValueError
            If the first axis of an array is neither R nor (when it has more axes) 1, or an
            occasion or slot is out of range or not whole.
        """
        first, second, _, _ = self._draw(purpose, occasion, slot)
        # 52 bits and a half step: every value, the largest too, is exact and inside (0, 1).
        first >>= np.uint64(6)
        first <<= np.uint64(26)
        second >>= np.uint64(6)
        first |= second
        draws = first.astype(np.float64)
        draws += 0.5
        draws *= 2.0**-52
        return draws

    def normal(
        self, purpose: Purpose, occasion: ArrayLike = 0, slot: ArrayLike = 0
    ) -> NDArray[np.float64]:
        """Standard normal draws, by inversion of `uniform` at the same address; same shapes."""
        draws = self.uniform(purpose, occasion, slot)
        return ndtri(draws, out=draws)

    def _draw(self, purpose: Purpose, occasion: ArrayLike, slot: ArrayLike) -> NDArray[np.uint64]:
        """The four 32-bit words at an address, (4, R) or (4, R, k)."""
        number = int(Purpose(purpose))
        occasion = self._aligned("occasion", occasion, MAX_OCCASION)
        slot = self._aligned("slot", slot, MAX_SLOT)
        dims = max(1, occasion.ndim, slot.ndim)
        tail = (1,) * (dims - 1)
        low = self._low.reshape(-1, *tail)
        high = self._high.reshape(-1, *tail)
        if occasion.ndim == 1:
            occasion = occasion.reshape(-1, *tail)
        if slot.ndim == 1:
            slot = slot.reshape(-1, *tail)
        use = slot | np.uint64(number << 16)
        shape = np.broadcast_shapes(low.shape, occasion.shape, slot.shape)
        counter = np.empty((4, *shape), dtype=np.uint64)
        counter[0], counter[1], counter[2], counter[3] = low, high, occasion, use
        return _scramble(counter, self._keys)

    def _aligned(self, name: str, value: ArrayLike, top: int) -> NDArray[np.uint64]:
        """`value` as uint64, after checking that its first axis is that of the rehearsals."""
        array = np.asarray(value)
        if array.size and array.dtype.kind not in "iu":
            raise ValueError(f"{name} must be whole numbers")
        if array.size and (array.min() < 0 or array.max() > top):
            raise ValueError(f"{name} must lie between 0 and {top}")
        length = len(self)
        if array.ndim and array.shape[0] != length and not (array.ndim > 1 and len(array) == 1):
            raise ValueError(
                f"{name} has shape {array.shape}; its first axis must be the {length} rehearsals "
                f"(write {name}[None, :] for the same numbers in every rehearsal)"
            )
        return array.astype(np.uint64)


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


def philox(counter: NDArray[np.uint64], key: tuple[int, int]) -> NDArray[np.uint64]:
    """Philox4x32-10 of Salmon et al. 2011.

    Parameters
    ----------
    counter : (4, ...) the four words of each counter, each below 2**32.
    key : the two words of the key.

    Returns
    -------
    (4, ...) four random words below 2**32 for each counter.
    """
    return _scramble(np.asarray(counter, dtype=np.uint64), _key_schedule(*key))


def _key_schedule(first: int, second: int) -> NDArray[np.uint64]:
    """(10, 2) the round keys, each for the lane that `_scramble` holds it against."""
    keys = np.empty((_ROUNDS, 2), dtype=np.uint64)
    for turn in range(_ROUNDS):
        pair = [
            (word + turn * step) & 0xFFFFFFFF
            for word, step in zip((first, second), _WEYL, strict=True)
        ]
        keys[turn] = pair if turn % 2 else pair[::-1]
    return keys


def _scramble(counter: NDArray[np.uint64], keys: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """The ten rounds. Two lanes side by side: words (0, 2) are multiplied, (1, 3) are mixed in.

    A round hands the product of each lane to the other one. Instead of moving arrays the lanes
    change names every round; ten rounds are even, so they end under their own names.
    """
    ones = (1,) * (counter.ndim - 1)
    factors = np.array(_MULTIPLIERS, dtype=np.uint64).reshape(2, *ones)
    keys = keys.reshape(_ROUNDS, 2, *ones)
    multiplied = counter[0::2].copy()
    mixed = counter[1::2].copy()
    product = np.empty_like(multiplied)
    for turn in range(_ROUNDS):
        np.multiply(multiplied, factors[::-1] if turn % 2 else factors, out=product)
        np.right_shift(product, _HALF, out=multiplied)
        multiplied ^= mixed[::-1]
        multiplied ^= keys[turn]
        np.bitwise_and(product, _LOW, out=mixed)
    words = np.empty_like(counter)
    words[0::2] = multiplied
    words[1::2] = mixed
    return words
