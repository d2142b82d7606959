"""Compiled copies: to the bits of their text, which is left as it is."""

from __future__ import annotations

import numpy as np

from sim import motion, throwing
from sim.lowlevel import blank
from tests.sim.compiled import compiled


def double(x: float) -> float:
    """Twice a number."""
    return 2.0 * x


def four_times(x: float) -> float:
    """By way of another function, and of a module."""
    return double(double(x)) + motion.turned(0.0, 0.0, 1.0, 0.05)


def test_the_text_is_left_as_it_is() -> None:
    before = dict(four_times.__globals__)
    assert compiled(four_times)(3.0) == 12.0
    assert four_times.__globals__["double"] is before["double"] is double
    assert throwing.side_of(1.0, 1) == 1.0


def written(table, value: float) -> None:  # type: ignore[no-untyped-def]
    """Fill a table by way of another function."""
    for k in range(len(table)):
        table[k, 1] = value + k


def two_tables(times: int) -> float:
    """Two blank tables a call, over and over: neither is the other, nor grows."""
    total = 0.0
    for n in range(times):
        one, other = blank(3, 2), blank(3, 2)
        written(one, 1.0)
        written(other, 10.0 * n)
        total += one[2, 1] + other[0, 1]
    return total


def test_a_blank_table_is_of_one_call() -> None:
    assert two_tables(4) == 4 * 3.0 + 60.0
    assert compiled(two_tables)(4) == 72.0
    assert compiled(two_tables)(10**6) == 3e6 + 10.0 * sum(range(10**6)), (
        "on no heap, no stack fills"
    )
    assert np.shape(blank(3, 2)) == (3, 2)
