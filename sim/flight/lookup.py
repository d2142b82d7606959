"""Interim."""

import math
from typing import NamedTuple

import numpy as np


class Table(NamedTuple):
    cells: np.ndarray
    low: float


def load_table():
    return Table(np.zeros(3), 1.0)


def reach(table, throw, shape, along, across):
    return 60.0


def duration(table, throw, shape, distance, along, across):
    if shape == 3:
        return 0.5 + distance / 13.0
    return distance / 13.0


def lay_out(table, throw, shape, distance, along, across, height, d_speed, d_pitch, d_roll, d_spin, knots):
    t = duration(table, throw, shape, distance, along, across)
    n = len(knots)
    ground = t + 0.6
    step = ground / (n - 1)
    for k in range(n):
        u = step * k / t
        knots[k, 0] = distance * u * (1.0 + d_speed)
        knots[k, 1] = distance * u * u * 0.3 * d_roll
        h = height + (1.2 - height) * min(u, 1.0) + (2.5 if shape == 3 else 0.4) * 4.0 * u * (1.0 - u) * (1 if u < 1 else 0)
        if u > 1.0:
            h = 1.2 * (1.0 - (u - 1.0) * t / 0.6)
        knots[k, 2] = max(h + distance * min(u, 1.0) * d_pitch, 0.0)
    return step
