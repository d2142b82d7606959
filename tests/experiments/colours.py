"""Colours as people with colour blindness see them, and how far apart two colours look.

The matrices are those of Machado, Oliveira & Fernandes 2009, "A physiologically-based model for
simulation of color vision deficiency", IEEE TVCG 15(6):1291-1298, for severity 1.0, applied to
linear RGB (memory: not re-read; each row adds up to 1, so that greys stay grey, which the tests
check). The difference is CIE 1976 L*a*b* distance (CIE 015; D65 white); 2.3 of it is commonly
given as just noticeable (Mahy et al. 1994).
"""

from __future__ import annotations

import numpy as np
from matplotlib.colors import to_rgb

BLINDNESS = {
    "none": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritanopia": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}

_TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _TO_XYZ @ np.ones(3)


def linear(colour: str) -> np.ndarray:
    """Linear RGB of a colour (the transfer curve of sRGB, IEC 61966-2-1)."""
    rgb = np.array(to_rgb(colour))
    return np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)


def lab(colour: str, blindness: str = "none") -> np.ndarray:
    """L*a*b* of a colour as seen with a kind of colour blindness."""
    seen = np.clip(BLINDNESS[blindness] @ linear(colour), 0.0, 1.0)
    ratio = (_TO_XYZ @ seen) / _WHITE
    f = np.where(ratio > 216 / 24389, np.cbrt(ratio), (24389 / 27 * ratio + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def apart(one: str, other: str, blindness: str = "none") -> float:
    """How different two colours look."""
    return float(np.linalg.norm(lab(one, blindness) - lab(other, blindness)))
