"""Plays whose truth the tests set: a pass is completed at a rate that is a known function of the
settings, so what a study finds can be held against what is so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.situations.files import load
from tests.experiments.pretend import luck

SITUATION = load("middle-reset")
WIND, TIME = "wind.speed", "plans.strike.looks.0.from"
SPEED, HANDS = "roster.offence.top_speed", "roster.offence.hands"
RESTLESS = 0.8  # completed with every setting
TOP = 6.0  # m/s of wind at which the hill is highest
QUIET: dict[str, Any] = {"progress": False}


def _play(
    rate: float, gain: float, ids: npt.NDArray[np.int64], seed: int, look: str = "strike left"
) -> pd.DataFrame:
    done = luck(seed, ids, 0) < rate
    across = 12.0 * luck(seed, ids, 1) - 6.0
    return pd.DataFrame(
        {
            "rehearsal": ids,
            "completed": done,
            "goal": np.zeros(len(ids), bool),
            "throws": np.ones(len(ids), np.int64),
            "look": np.full(len(ids), look),
            "end_x_m": across,
            "end_y_m": 30.0 + gain,
            "gain_m": np.where(done, gain + 4.0 * luck(seed, ids, 2) - 2.0, np.nan),
            "off_centre_m": np.where(done, np.abs(across), np.nan),
            "trapped": done & (luck(seed, ids, 3) < 0.1),
            "catch_chance": np.full(len(ids), rate),
        }
    )


def plans(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """The strike is completed at 0.8 and gains 9 m, every other plan at 0.9 and loses 2 m."""
    strike = situation["plan"] == "strike"
    return _play(0.8 if strike else 0.9, 9.0 if strike else -2.0, ids, seed)


def hill(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Completed at 0.95 at the top, less away from it."""
    return _play(0.95 - 0.01 * (situation["wind"]["speed"] - TOP) ** 2, 0.0, ids, seed)


def pennies(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Matching pennies with unequal stakes: rates 0.9 and 0.1 on one diagonal, else 0.3, 0.5."""
    rates = {
        ("strike", "man"): 0.9,
        ("strike", "flip"): 0.3,
        ("dump", "man"): 0.1,
        ("dump", "flip"): 0.5,
    }
    return _play(rates[situation["plan"], situation["defence"]], 0.0, ids, seed)


def turning(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """The strike leads by 0.2 without wind and is level at 4 m/s; hands and speed do nothing."""
    strike = situation["plan"] == "strike"
    return _play(0.9 - 0.05 * situation["wind"]["speed"] if strike else 0.7, 0.0, ids, seed)


def restless(situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int) -> pd.DataFrame:
    """Settings redraw the luck of a play without changing its rate."""
    roster = situation["roster"]["offence"]
    told = f"{situation['plan']} {roster}"
    return _play(RESTLESS, 0.0, ids, seed + 1000 * (sum(map(ord, told)) % 997))
