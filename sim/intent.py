"""What a player decides: where to run, and, with the disc, what to throw."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

import numpy as np

if TYPE_CHECKING:
    from sim.view import View

BACKHAND, FOREHAND = 0, 1
FLAT, INSIDE_OUT, OUTSIDE_IN, FLOATED = 0, 1, 2, 3


@dataclass(frozen=True)
class Throw:
    """A decision to throw, one entry a rehearsal; entries where `go` is false are ignored.

    Attributes
    ----------
    go : (R,) bool, start the wind-up now.
    to : (R,) slot of the receiver.
    aim : (R, 2) where the disc should be caught, m.
    kind : (R,) BACKHAND or FOREHAND. shape : (R,) FLAT, INSIDE_OUT, OUTSIDE_IN or FLOATED.
    over : (R,) bool, released high over the mark's hands.
    look : (R,) which look of the plan it is, -1 for none.
    estimate : (R,) the thrower's own chance of completion, 0 to 1.
    """

    go: np.ndarray
    to: np.ndarray
    aim: np.ndarray
    kind: np.ndarray
    shape: np.ndarray
    over: np.ndarray
    look: np.ndarray
    estimate: np.ndarray


@dataclass(frozen=True)
class Intent:
    """What a policy returns for the rehearsals in its view.

    Attributes
    ----------
    run : (R, 2) wanted velocity, m/s; anything faster than the player can is cut down.
    throw : the throw to start, or None; only looked at for the player with the disc.
    watch : (R,) slot to attend to from now on, or None to go on as before.
    open_side : (R,) +1 or -1, the side a mark leaves open, or None; only for the mark.
    notes : arrays (R, ...) to find again in `view.notes` at the next tick.
    """

    run: np.ndarray
    throw: Throw | None = None
    watch: np.ndarray | None = None
    open_side: np.ndarray | None = None
    notes: dict[str, np.ndarray] = field(default_factory=dict)


class Policy(Protocol):
    """Anything that decides for a player."""

    def decide(self, view: View) -> Intent:
        """The intent of the player `view.slot` in every rehearsal of the view."""
        ...
