"""Where rehearsals end: how densely catches lie, and how far from the middle of the field."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import ndimage


@dataclass(frozen=True)
class Density:
    """How densely points lie.

    Attributes
    ----------
    x, y : (Nx,) and (Ny,) centres of the cells, metres.
    share : (Ny, Nx) share of all points in each square metre.
    levels : for each asked share of points, the density at the edge of the area where it is
        highest that holds this share of them (Hyndman 1996, The American Statistician 50:120).
    """

    x: np.ndarray
    y: np.ndarray
    share: np.ndarray
    levels: dict[float, float]


def density(points: np.ndarray, *, inside: tuple[float, ...] = (0.5, 0.9)) -> Density | None:
    """Smoothed density of points on a grid that is symmetric about the long axis.

    Smoothed by a Gaussian of Scott's rule for two dimensions (Scott 1992, Multivariate Density
    Estimation, 6.3), between 0.2 and 1 m.

    Parameters
    ----------
    points : (N, 2) metres; entries that are not finite are left out.
    inside : the shares of points for which `levels` are wanted.

    Returns
    -------
    None with fewer than 20 points, which are too few for a density.
    """
    points = points[np.isfinite(points).all(axis=1)]
    if len(points) < 20:
        return None
    middle = np.quantile(points, [0.16, 0.84], axis=0)
    spread = float((middle[1] - middle[0]).mean()) / 2.0
    smooth = float(np.clip(spread * len(points) ** (-1.0 / 6.0), 0.2, 1.0))
    cell = smooth / 2.0
    margin = 4.0 * smooth + cell
    half = cell * np.ceil((np.abs(points[:, 0]).max() + margin) / cell)
    low = cell * np.floor((points[:, 1].min() - margin) / cell)
    high = cell * np.ceil((points[:, 1].max() + margin) / cell)
    x_edges = np.arange(-half, half + 0.5 * cell, cell)
    y_edges = np.arange(low, high + 0.5 * cell, cell)
    counts, _, _ = np.histogram2d(points[:, 1], points[:, 0], bins=(y_edges, x_edges))
    smoothed = ndimage.gaussian_filter(counts, smooth / cell, mode="constant")
    share = smoothed / len(points) / cell**2
    x = (x_edges[:-1] + x_edges[1:]) / 2
    y = (y_edges[:-1] + y_edges[1:]) / 2
    places = (points[:, 1] - y[0]) / cell, (points[:, 0] - x[0]) / cell
    here = ndimage.map_coordinates(share, places, order=1, mode="nearest")
    # Smoothing spreads the mass, so the edge is found from the points themselves, not from it.
    levels = {wanted: float(np.quantile(here, 1.0 - wanted)) for wanted in inside}
    return Density(x, y, share, levels)


def caught_points(table: pd.DataFrame) -> np.ndarray:
    """(N, 2) where completed passes were caught, metres."""
    rows = table[table["completed"].astype(bool)]
    return rows[["end_x_m", "end_y_m"]].to_numpy(dtype=float)


@dataclass(frozen=True)
class OffCentre:
    """How far from the middle catches lie, in steps across the field.

    Attributes
    ----------
    edges : (K + 1,) metres from the middle, 0 to half the width.
    share : (K,) share of catches in each step that are no goals.
    goals : (K,) share of catches in each step that are goals: play is over, so nobody is trapped.
    median : metres; NaN when nothing was caught.
    trapped : share of catches that leave the team trapped at a sideline.
    n : catches, goals among them.
    """

    edges: np.ndarray
    share: np.ndarray
    goals: np.ndarray
    median: float
    trapped: float
    n: int


def off_centre_shares(table: pd.DataFrame, half_width: float) -> OffCentre:
    """Distribution of `off_centre_m` of the completed passes, in steps of a metre."""
    caught = table[np.isfinite(table["off_centre_m"].to_numpy(dtype=float))]
    values, goal = caught["off_centre_m"].to_numpy(float), caught["goal"].to_numpy(bool)
    edges = np.append(np.arange(0.0, half_width - 1e-9), half_width)
    counts, goals = (np.histogram(values[which], edges)[0] for which in (~goal, goal))
    n = len(values)
    return OffCentre(
        edges=edges,
        share=counts / max(n, 1),
        goals=goals / max(n, 1),
        median=float(np.median(values)) if n else float("nan"),
        trapped=int(table["trapped"].sum()) / n if n else float("nan"),
        n=n,
    )
