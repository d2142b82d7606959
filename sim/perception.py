"""Nobody sees the present: what was where a moment ago, and how long a moment is.

A player sees everybody as they were `lag` seconds ago and carries them on at the velocity seen.
The lag of a player who watches somebody standing still is the reaction time to a movement nobody
announced; once that somebody is seen to move, attention closes in and the lag shrinks to the
tracking delay, and it grows back after a rest. So a false step warns. It can also fool: each start
that is seen may be misread, more often when the runner was moving another way just before.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.luck import Purpose
from sim.scene import Scene
from sim.world import World

MOVING = 1.0  # m/s; slower than this is standing
CLOSING_IN = 0.6  # seconds of lag lost per second of watching somebody move
DRIFTING_OFF = 0.15  # seconds of lag regained per second of watching somebody stand
WRONG_STEP = 0.30  # s that a misread lasts; with the turn back it costs about 0.5 s (Henry 2012)
RECENT = 1.0  # s; a start this soon after another is a second stimulus


class Moment(NamedTuple):
    """Where the ring of a `History` holds player 0 just after and just before a moment."""

    later: np.ndarray
    earlier: np.ndarray
    part: np.ndarray

    @property
    def for_several(self) -> Moment:
        """The same, to look at several players of each rehearsal."""
        return Moment(*(column[:, None] for column in self))


class History:
    """Everybody's places and velocities of the last `longest` seconds, in a ring of ticks."""

    def __init__(self, world: World, scene: Scene, longest: float = 1.0) -> None:
        self.tick = scene.tick
        self.length = int(np.ceil(longest / scene.tick)) + 2
        # (instant, player, rehearsal, x y vx vy): a look at one player runs through memory in order
        self._ring = np.empty((self.length, world.pos.shape[1], len(world), 4))
        self._last = 0
        for _ in range(self.length):
            self.push(world)

    def push(self, world: World) -> None:
        """Remember the present."""
        self._last = (self._last + 1) % self.length
        self._ring[self._last, :, :, :2] = world.pos.swapaxes(0, 1)
        self._ring[self._last, :, :, 2:] = world.vel.swapaxes(0, 1)

    def keep(self, index: np.ndarray) -> None:
        """Forget every rehearsal but those at `index`."""
        self._ring = self._ring.take(index, axis=2)

    def moment(self, rows: np.ndarray, lag: np.ndarray) -> Moment:
        """The moment `lag` seconds ago in the rehearsals `rows`; the two broadcast."""
        back = np.clip(lag / self.tick, 0.0, self.length - 2.0)
        whole = back.astype(np.int64)
        one_tick = self._ring.shape[1] * self._ring.shape[2]
        later = (self._last - whole) % self.length * one_tick + rows
        earlier = np.where(later >= one_tick, later, later + self.length * one_tick) - one_tick
        return Moment(later, earlier, (back - whole)[..., None])

    def at(self, moment: Moment, who: int | np.ndarray) -> np.ndarray:
        """Place and velocity of players `who` at a moment: one more axis, x, y, vx, vy."""
        flat = self._ring.reshape(-1, 4)
        player = who * self._ring.shape[2]
        seen = flat.take(moment.later + player, axis=0)
        older = flat.take(moment.earlier + player, axis=0)
        older -= seen
        older *= moment.part
        seen += older
        return seen

    def ago(self, rows: np.ndarray, who: int | np.ndarray, lag: np.ndarray) -> np.ndarray:
        """Place and velocity of players `who` as they were `lag` seconds ago.

        Parameters broadcast against each other; the result has one more axis of
        length 4: x, y, vx, vy.
        """
        return self.at(self.moment(rows, lag), who)


class Attention:
    """How far behind each player sees, from abilities and luck."""

    def __init__(self, world: World, scene: Scene) -> None:
        p = len(scene.players)
        spread = world.luck.normal(Purpose.REACTION, slot=np.arange(p)[None, :])
        slower = 1.0 + scene.each("reaction_spread") * np.clip(spread, -2.5, 2.5)
        self.first = scene.each("reaction") * slower
        self.tracking = np.minimum(scene.each("tracking"), self.first)
        self.misread = scene.each("misread")
        self.misread_again = scene.each("misread_again")
        self.watchers = np.flatnonzero(scene.guards >= 0)
        self.last_start = np.full(self.first.shape, -10.0)
        world.lag[:] = self.tracking
        world.lag[:, self.watchers] = self.first[:, self.watchers]

    def keep(self, index: np.ndarray) -> None:
        """Forget every rehearsal but those at `index`."""
        self.first, self.tracking = self.first[index], self.tracking[index]
        self.last_start = self.last_start[index]

    def update(self, world: World, history: History, now: float, tick: float) -> None:
        """Move every watcher's lag on by one tick and deal out misread starts."""
        who = self.watchers
        if who.size == 0:
            return
        rows = np.arange(len(world))[:, None]
        lag = world.lag[:, who]
        watched = world.watch[:, who]
        seen = history.ago(rows, np.maximum(watched, 0), lag)
        speed2 = seen[..., 2] * seen[..., 2] + seen[..., 3] * seen[..., 3]
        moving = (speed2 > MOVING * MOVING) & (watched >= 0)
        started = moving & ~world.sees_moving[:, who]
        goal = np.where(moving, self.tracking[:, who], self.first[:, who])
        step = np.clip(goal - lag, -CLOSING_IN * tick, DRIFTING_OFF * tick)
        world.lag[:, who] = lag + step
        world.sees_moving[:, who] = moving
        if started.any():
            self._misread(world, started, now)

    def _misread(self, world: World, started: np.ndarray, now: float) -> None:
        row, col = np.nonzero(started)
        slot = self.watchers[col]
        again = now - self.last_start[row, slot] < RECENT
        chance = np.where(again, self.misread_again[slot], self.misread[slot])
        draw = world.luck.take(row).uniform(
            Purpose.MISREAD, occasion=world.starts_seen[row, slot], slot=slot
        )
        fooled = draw < chance
        world.fooled_until[row[fooled], slot[fooled]] = now + WRONG_STEP
        world.starts_seen[row, slot] += 1
        self.last_start[row, slot] = now
