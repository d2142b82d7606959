"""The settings that every cut has."""

from __future__ import annotations

from dataclasses import dataclass

from sim.settings import Checked, setting

SHAPES = ("flat", "inside-out", "outside-in", "floated")
OWN, OPEN, BREAK = 0, 1, 2
SIDES = ("own", "open", "break")
NOT_YET = -9.0  # s; the cue of a cut that is not to be thrown yet
STEP = 0.35  # s that one false step takes


@dataclass(frozen=True)
class Cut(Checked):
    """Settings that every cut has.

    A cut's ``decide(me, s)`` says what the cutter does `me.since` s after hearing the call, in the
    frame of the disc, and returns `sim.intent.cut(ux, uy, cue)`: where to run, and how many seconds
    ago the moment came to throw it. The thrower reads a cut by the same text, carried forward.
    """

    shape: str = setting("flat", choices=SHAPES, doc="how the disc is thrown")
    pace: float = setting(1.0, low=0.3, high=1.0, unit="", doc="share of top speed")
    false_steps: int = setting(0, low=0, high=5, unit="", doc="steps the other way before the cut")
    release_offset: float = setting(
        0.0, low=-1.0, high=1.5, unit="s", doc="release later than the cue by this"
    )
    lasts: float = setting(
        4.0, low=0.5, high=20.0, unit="s", doc="a cut that got no disc is over after this"
    )

    @property
    def delay(self) -> float:
        """Seconds of false steps before the real run: each but the last has a step back."""
        return max(2 * self.false_steps - 1, 0) * STEP


def side_of(me, side: float) -> float:  # type: ignore[no-untyped-def]
    """+1 or -1 to the open side, for a setting `side`: own is where the cutter stood at the catch."""
    if side == OPEN:
        return 1.0
    if side == BREAK:
        return -1.0
    return 1.0 if (me.spots[me.slot, 0] - me.spots[me.holder, 0]) * me.open >= 0.0 else -1.0
