"""The field as a handler sees it: how far to the open side, how far downfield of the disc."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Frame:
    """Coordinates with the disc as origin: (open, downfield), m.

    `origin` (R, 2) is the place of the disc, `open_side` (R,) is +1 or -1. A tactic written in
    this frame holds for either force.
    """

    origin: np.ndarray
    open_side: np.ndarray

    def take(self, index: np.ndarray) -> Frame:
        """The frame of some of the rehearsals."""
        return Frame(self.origin[index], self.open_side[index])

    def into(self, place: np.ndarray) -> np.ndarray:
        """A place (R, 2) on the field, in this frame."""
        x = (place[..., 0] - self.origin[..., 0]) * self.open_side
        return np.stack([x, place[..., 1] - self.origin[..., 1]], axis=-1)

    def turn(self, vector: np.ndarray) -> np.ndarray:
        """A velocity or direction (R, 2) turned into this frame, or back: it is its own inverse."""
        return np.stack([vector[..., 0] * self.open_side, vector[..., 1]], axis=-1)

    def out(self, place: np.ndarray) -> np.ndarray:
        """A place (R, 2) in this frame, on the field."""
        x = place[..., 0] * self.open_side + self.origin[..., 0]
        return np.stack([x, place[..., 1] + self.origin[..., 1]], axis=-1)


def length(vector: np.ndarray) -> np.ndarray:
    """Length of (..., 2) vectors, (...)."""
    return np.sqrt(vector[..., 0] * vector[..., 0] + vector[..., 1] * vector[..., 1])


def unit(vector: np.ndarray) -> np.ndarray:
    """(..., 2) vectors scaled to length one; zero stays zero."""
    return vector / np.maximum(length(vector), 1e-9)[..., None]


def coast(
    pos: np.ndarray, vel: np.ndarray, want: np.ndarray, tau: np.ndarray, time: np.ndarray
) -> np.ndarray:
    """Where a runner who wants the velocity `want` will be after `time` s, (R, 2): sprint law."""
    lag = (tau * (1.0 - np.exp(-time / tau)))[..., None]
    return pos + want * time[..., None] - (want - vel) * lag
