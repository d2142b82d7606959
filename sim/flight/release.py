"""How a disc leaves the hand."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.flight.disc import Disc

Array = NDArray[np.float64]


@dataclasses.dataclass(frozen=True)
class Release:
    """How N discs leave the hand; every field is an array (N,) or a number.

    Attributes
    ----------
    speed : m/s over the ground.
    pitch : rad, climb of the velocity, which is also the pitch of the disc when nose is 0.
    bank : rad, tilt about the velocity, positive with the right edge low.
    heading : rad, from the line of the throw, positive to the right.
    spin : rad/s about the upper normal; negative is clockwise seen from above, as a
        right-hander's backhand turns.
    nose : rad, pitch of the disc above its own velocity; the angle of attack in still air.
    wobble : rad/s, turning about the velocity at release besides the spin.
    height : m above the ground.
    """

    speed: Any
    pitch: Any
    bank: Any = 0.0
    heading: Any = 0.0
    spin: Any = 0.0
    nose: Any = 0.0
    wobble: Any = 0.0
    height: Any = 1.0

    def mirrored(self) -> Release:
        """Return the same throw with left and right exchanged: the other hand's, or the other."""
        return dataclasses.replace(
            self,
            bank=-np.asarray(self.bank),
            heading=-np.asarray(self.heading),
            spin=-np.asarray(self.spin),
            wobble=-np.asarray(self.wobble),
        )

    def state(self, disc: Disc) -> Array:
        """Return the states at release, (12, N): see `sim.flight.dynamics`."""
        fields = [
            np.atleast_1d(np.asarray(getattr(self, field.name), float))
            for field in dataclasses.fields(self)
        ]
        speed, pitch, bank, heading, spin, nose, wobble, height = np.broadcast_arrays(*fields)
        sh, ch, sp, cp = np.sin(heading), np.cos(heading), np.sin(pitch), np.cos(pitch)
        sb, cb, sn, cn = np.sin(bank), np.cos(bank), np.sin(nose), np.cos(nose)
        ahead = np.array([sh * cp, ch * cp, sp])
        level = np.array([ch * sb - sh * sp * cb, -sh * sb - ch * sp * cb, cp * cb])
        normal, axis = cn * level - sn * ahead, cn * ahead + sn * level
        zero = np.zeros_like(speed)
        momentum = disc.axial_inertia * spin * normal + disc.diametral_inertia * wobble * axis
        return np.concatenate([[zero, zero, zero + height], speed * ahead, normal, momentum])
