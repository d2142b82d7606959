"""Compiled copies that can be called from Python, to hold them against their text."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numba

from sim.compiling import twin


@cache
def compiled(function: Callable[..., Any]) -> Any:
    """The compiled copy of a plain function of numbers, records or arrays."""
    return numba.njit(error_model="numpy")(twin(function))
