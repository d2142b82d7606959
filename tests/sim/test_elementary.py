"""The elementary functions against numpy, scipy and the C library, and the same compiled."""

from __future__ import annotations

import math

import numpy as np
from scipy.special import expit, ndtri

from sim import elementary
from tests.sim.compiled import compiled

RNG = np.random.default_rng(20)
ANGLES = np.concatenate([RNG.uniform(-50.0, 50.0, 4000), np.arange(-16, 17) * math.pi / 4])
NUMBERS = RNG.uniform(-300.0, 300.0, 4000)


def test_they_agree_with_the_libraries_to_the_last_bits() -> None:
    for x in NUMBERS:
        assert math.isclose(elementary.exp(x), math.exp(x), rel_tol=1e-15)
        assert math.isclose(elementary.logistic(x / 20), float(expit(x / 20)), rel_tol=1e-14)
        assert math.isclose(elementary.log(abs(x)), math.log(abs(x)), rel_tol=1e-15, abs_tol=1e-15)
    for x in ANGLES:
        assert abs(elementary.sin(x) - math.sin(x)) < 4e-16
        assert abs(elementary.cos(x) - math.cos(x)) < 4e-16
    for x, y in RNG.normal(size=(4000, 2)) * np.exp(3 * RNG.normal(size=(4000, 1))):
        assert abs(elementary.bearing(x, y) - math.atan2(x, y)) < 1e-15
    tails = 10.0 ** -RNG.uniform(1, 15, 500)
    for p in np.concatenate([RNG.uniform(0.0, 1.0, 4000), tails, 1.0 - tails[:200]]):
        assert math.isclose(
            elementary.normal_quantile(p), float(ndtri(p)), rel_tol=1e-12, abs_tol=1e-14
        )


def test_the_ends_of_exp_are_defined() -> None:
    assert elementary.exp(-1e6) == 0.0
    assert elementary.exp(1e6) == math.inf
    assert elementary.exp(0.0) == 1.0


def test_odd_functions_are_odd_to_the_bit() -> None:
    """A mirrored play can only be the mirror image to the bit if these are."""
    for x in ANGLES:
        assert elementary.sin(-x) == -elementary.sin(x)
        assert elementary.cos(-x) == elementary.cos(x)
    for x, y in RNG.normal(size=(500, 2)):
        assert elementary.bearing(-x, y) == -elementary.bearing(x, y)
        assert elementary.turn_between(-x, -y) == -elementary.turn_between(x, y)


def test_compiled_they_give_the_same_bits() -> None:
    for name, values in (
        ("exp", NUMBERS),
        ("log", np.abs(NUMBERS)),
        ("sin", ANGLES),
        ("cos", ANGLES),
        ("logistic", NUMBERS),
        ("normal_quantile", RNG.uniform(0.0, 1.0, 2000)),
    ):
        plain = getattr(elementary, name)
        fast = compiled(plain)
        assert all(fast(float(x)) == plain(float(x)) for x in values), name
