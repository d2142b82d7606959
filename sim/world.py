"""The state of an ensemble: arrays with one row a rehearsal that is still being played."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from sim.luck import Luck, Purpose
from sim.scene import Scene

HELD, WIND_UP, FLYING, OVER = 0, 1, 2, 3
KNOTS = 25  # points kept of each flight, evenly spaced in time from release to the ground


@dataclass
class World:
    """Everything that changes during play. R rehearsals, P players (attackers first).

    Attributes
    ----------
    row : (R,) which row of the record each rehearsal writes to.
    pos, vel, want : (R, P, 2) place, velocity, wanted velocity, m and m/s.
    phase : (R,) HELD, WIND_UP, FLYING or OVER.
    holder : (R,) slot with the disc, or of the last one who had it while it flies.
    held_since, count_start : (R,) s; `counting` (R,) says whether a count runs.
    open_side : (R,) +1 or -1, the side the mark leaves open; `open_was`, `open_since` its past.
    lag : (R, P) how far behind the present each player sees, s.
    fooled_until : (R, P) a player who misread a start steps the wrong way until then, s.
    starts_seen : (R, P) how many starts of the watched player were seen; `sees_moving` (R, P).
    watch : (R, P) the slot each player attends to, -1 for nobody.
    spot : (R, P, 2) the place each player was at when the disc was last caught.
    throws : (R,) number of releases; `completions` (R,) of catches by the offence.
    thrower, receiver, kind, shape, over, look : (R,) of the throw being made or flown.
    aim : (R, 2) where it is meant to be caught; `estimate` (R,) the thrower's own.
    release_at : (R,) s. knots : (R, KNOTS, 3) the flight; knot_step (R,) s between knots.
    tried : (R, P) who has had a hand's attempt at this throw; `plays` (R, P) who goes for it.
    trapped_for : (R,) s that the disc was held near a sideline.
    timing : (R, P) standard normal, how early or late each player goes on the count.
    """

    luck: Luck
    row: np.ndarray
    pos: np.ndarray
    vel: np.ndarray
    want: np.ndarray
    phase: np.ndarray
    holder: np.ndarray
    held_since: np.ndarray
    count_start: np.ndarray
    counting: np.ndarray
    marker: np.ndarray
    open_side: np.ndarray
    open_was: np.ndarray
    open_since: np.ndarray
    lag: np.ndarray
    fooled_until: np.ndarray
    starts_seen: np.ndarray
    sees_moving: np.ndarray
    watch: np.ndarray
    spot: np.ndarray
    throws: np.ndarray
    completions: np.ndarray
    thrower: np.ndarray
    receiver: np.ndarray
    kind: np.ndarray
    shape: np.ndarray
    over: np.ndarray
    look: np.ndarray
    aim: np.ndarray
    estimate: np.ndarray
    release_at: np.ndarray
    knots: np.ndarray
    knot_step: np.ndarray
    tried: np.ndarray
    plays: np.ndarray
    meet: np.ndarray
    meet_at: np.ndarray
    trapped_for: np.ndarray
    timing: np.ndarray

    @classmethod
    def begin(cls, scene: Scene, rehearsals: np.ndarray, seed: int, open_side: int) -> World:
        """The state at the start of `scene` for the rehearsals with these numbers."""
        r, p = len(rehearsals), len(scene.players)
        luck = Luck(seed, rehearsals)
        pos = _stand(scene, luck, open_side)
        zeros, slots = np.zeros(r), np.zeros(r, dtype=np.int64)

        def each_player(value: float | np.ndarray) -> np.ndarray:
            return np.broadcast_to(value, (r, p)).copy()

        world = cls(
            luck=luck,
            row=np.arange(r),
            pos=pos,
            vel=np.zeros((r, p, 2)),
            want=np.zeros((r, p, 2)),
            phase=np.full(r, HELD),
            holder=slots + scene.holder,
            held_since=zeros - 10.0,
            count_start=zeros - (scene.stall - 1.0) * scene.pace,
            counting=np.full(r, scene.stall > 0),
            marker=slots - 1,
            open_side=slots + open_side,
            open_was=slots + open_side,
            open_since=zeros - 10.0,
            lag=each_player(scene.each("reaction")),
            fooled_until=each_player(-1.0),
            starts_seen=np.zeros((r, p), dtype=np.int64),
            sees_moving=np.zeros((r, p), dtype=bool),
            watch=np.broadcast_to(scene.guards, (r, p)).copy(),
            spot=pos.copy(),
            throws=slots.copy(),
            completions=slots.copy(),
            thrower=slots - 1,
            receiver=slots - 1,
            kind=slots.copy(),
            shape=slots.copy(),
            over=np.zeros(r, dtype=bool),
            look=slots - 1,
            aim=np.zeros((r, 2)),
            estimate=np.full(r, np.nan),
            release_at=np.full(r, np.inf),
            knots=np.zeros((r, KNOTS, 3)),
            knot_step=np.ones(r),
            tried=np.zeros((r, p), dtype=bool),
            plays=np.zeros((r, p), dtype=bool),
            meet=np.zeros((r, p, 2)),
            meet_at=np.zeros((r, p)),
            trapped_for=zeros.copy(),
            timing=luck.normal(Purpose.TIMING, slot=np.arange(p)[None, :]),
        )
        world.keep(np.arange(r))  # in the layout that is kept
        return world

    def __len__(self) -> int:
        return len(self.row)

    def keep(self, index: np.ndarray) -> None:
        """Forget every rehearsal but those at `index`."""
        self.luck = self.luck.take(index)
        for entry in fields(self):
            value = getattr(self, entry.name)
            if isinstance(value, np.ndarray):
                kept = value[index] if value.ndim == 1 else _by_player(value, index)
                setattr(self, entry.name, kept)

    def count(self, now: float, pace: float) -> np.ndarray:
        """The stall count, (R,): its whole part is the number last said, 0 with no count."""
        return np.where(self.counting, 1.0 + (now - self.count_start) / pace, 0.0)

    def disc(self, now: float) -> np.ndarray:
        """Where the disc is, (R, 3): at the holder's waist, or along its flight."""
        place = np.empty((len(self), 3))
        rows = np.arange(len(self))
        place[:, :2] = self.pos[rows, self.holder]
        place[:, 2] = 1.0
        flying = np.flatnonzero(self.phase == FLYING)
        if flying.size:
            place[flying] = self.flown(flying, now - self.release_at[flying])
        return place

    def flown(self, rows: np.ndarray, age: np.ndarray) -> np.ndarray:
        """The disc `age` seconds after release in some rehearsals, (len(rows), 3)."""
        at = np.clip(age / self.knot_step[rows], 0.0, KNOTS - 1.0)
        k = np.minimum(at.astype(np.int64), KNOTS - 2)
        part = (at - k)[:, None]
        return self.knots[rows, k] * (1.0 - part) + self.knots[rows, k + 1] * part


def _by_player(value: np.ndarray, index: np.ndarray) -> np.ndarray:
    """`value` (R, P, ...) at `index`, laid out so that those of one player lie side by side.

    The players decide one after the other, each for all rehearsals.
    """
    return value.swapaxes(0, 1).take(index, axis=1).swapaxes(0, 1)


def _stand(scene: Scene, luck: Luck, open_side: int) -> np.ndarray:
    """Where everybody stands at the start, (R, P, 2): never twice quite the same.

    Attackers without the disc stand off their marks by a normal spread, the same way seen from the
    force in the mirror image; a defender is off by as much as the attacker covered.
    """
    players = scene.players
    at = np.array([q.at for q in players], dtype=float)
    slots = np.arange(len(players))
    off = np.stack(
        [luck.normal(Purpose.POSITION, occasion=axis, slot=slots[None, :]) for axis in (0, 1)],
        axis=-1,
    )
    off = np.clip(off, -2.5, 2.5) * scene.spread
    off[..., 0] *= open_side
    off[:, scene.holder] = 0.0
    off[:, len(scene.attackers) :] = 0.0
    covers = np.flatnonzero(scene.guards >= 0)
    off[:, covers] = off[:, scene.guards[covers]]
    return at + off
