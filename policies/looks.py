"""An offence plan: looks in order, what the others do meanwhile, and how picky the thrower is."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from policies.cuts import Cut, Runner, Strike
from policies.frame import Frame
from policies.reading import Meeting, expect, foresee
from policies.shape import own_place
from policies.who import resolve
from sim import motion
from sim.flight import SHAPES
from sim.intent import Intent, Throw
from sim.marking import MarkBody
from sim.settings import check_settings, setting
from sim.view import View

# m to the open side and downfield that the cutters shift meanwhile
MEANWHILE = {"clear": (-6.0, 4.0), "under": (2.0, -5.0), "deep": (0.0, 12.0)}
ALONG = 60.0  # s, well into the cut: there is no count to tell the time while the disc flies
AHEAD = 0.4  # s a runner looks ahead for the line
MARGIN = 0.5  # m kept from it
JITTER = 0.12  # s, spread of the moment a cutter goes on a count that all have heard


@dataclass(frozen=True)
class Look:
    """One option the thrower has been told to read: who cuts how, in which window of the count.

    `on_pass` is the pass of the play it is meant for, counted from 1; 0 is for all of them.
    """

    who: str
    cut: Cut = field(default_factory=Strike)
    start: float = 0.0
    stop: float = 10.0
    on_pass: int = 0
    name: str = ""

    def due(self, view: View) -> np.ndarray:
        """Whether the look is one for the pass to be thrown now, (R,) bool."""
        return (
            np.full(len(view), True) if not self.on_pass else view.completions == self.on_pass - 1
        )


@dataclass(frozen=True)
class Looks:
    """Looks: the thrower reads the looks in order; the others hold, clear the lane, or come under.

    The thrower throws when the cue of a look has come and its expected chance is at least as high
    as the thrower is picky; that falls from `picky` to `desperate` between `settle` and the last
    number of the count. From `last_call` on any look may be thrown, whatever its window.
    """

    looks: tuple[Look, ...] = ()
    others: str = setting(
        "hold",
        choices=("hold", "clear", "under", "deep"),
        doc="what the cutters outside the look do once the first look's window has begun",
    )
    refill: bool = setting(
        True, doc="fill the space the receiver has left, so that the shape stands again"
    )
    picky: float = setting(0.75, low=0.0, high=1.0, unit="", doc="chance wanted early in the count")
    desperate: float = setting(0.20, low=0.0, high=1.0, unit="", doc="chance accepted at the end")
    settle: float = setting(5.0, low=0.0, high=10.0, unit="count", doc="until here fully picky")
    last_call: float = setting(8.0, low=0.0, high=10.0, unit="count", doc="any look from here on")

    def __post_init__(self) -> None:
        check_settings(self)

    def decide(self, view: View) -> Intent:
        """Read and throw with the disc, run without it."""
        frame = Frame(view.disc, view.open_side)
        if view.has_disc:
            return self.read(view, frame)
        return Intent(run=self.run(view, frame))

    def run(self, view: View, frame: Frame) -> np.ndarray:
        """The run of a player without the disc, (R, 2)."""
        want = self.wait(view, frame)
        undecided = np.ones(len(view), dtype=bool)
        for number, look in enumerate(self.looks):
            since = self._since(view, look, view.slot)
            running = (since >= 0.0) & (since < look.cut.lasts + look.cut.delay)
            possible = (running & (view.count < look.stop)) | (view.receiver == view.slot)
            if not possible.any():
                continue
            mine = (resolve(view, look.who) == view.slot) & look.due(view) & undecided
            # the wind-up, or the disc, is for this player: the cut goes on
            called = mine & (view.receiver == view.slot) & (view.look == number)
            since = np.where(called & view.flying, ALONG, since)
            goes = (mine & running & (view.count < look.stop)) | called
            if goes.any():
                runner = runner_of(view, view.slot, view.pos, view.vel, since, frame)
                want = np.where(goes[:, None], frame.turn(look.cut.run(runner)), want)
            undecided &= ~goes
        if self.refill:
            threw = view.flying & (view.holder == view.slot)
            if threw.any():
                space = view.spots_of(np.maximum(view.receiver, 0))
                want = np.where(threw[:, None], stand_at(view, space), want)
        return keep_in(view, want)

    def wait(self, view: View, frame: Frame) -> np.ndarray:
        """What a player does who has no look now, (R, 2)."""
        place = own_place(view, frame) if self.refill else view.spot
        if self.others != "hold" and view.scene.players[view.slot].role == "cutter":
            begun = view.flying
            if self.looks:
                begun = begun | (view.count >= self.looks[0].start)
            aside, down = MEANWHILE[self.others]
            shift = np.stack([aside * view.open_side, np.full(len(view), down)], axis=-1)
            place = np.where(begun[:, None], place + shift, place)
        return stand_at(view, place)

    def read(self, view: View, frame: Frame) -> Intent:
        """The look thrown now, if any."""
        rows = len(view)
        body = MarkBody()
        needs = self.threshold(view)
        last = view.count >= self.last_call
        chosen = np.full(rows, -1, dtype=np.int64)
        to, kind = np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=np.int64)
        shape, over = np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=bool)
        aim, best = np.zeros((rows, 2)), np.full(rows, -1.0)
        for number, look in enumerate(self.looks):
            window = (view.count >= look.start - 1e-9) & (view.count < look.stop)
            window &= view.count < look.start + (look.cut.lasts + look.cut.delay) / view.scene.pace
            might = (window & (chosen < 0)) | last
            if not might.any():
                continue
            who = resolve(view, look.who)
            at = np.flatnonzero(might & (who >= 0) & (who != view.slot) & look.due(view))
            if not at.size:
                continue
            some = view.take(at)
            meeting = self._foresee(some, look, who[at], frame.take(at))
            # only what is thrown now needs a judgement
            now = np.flatnonzero(meeting.cue | last[at])
            if not now.size:
                continue
            at = at[now]
            it = expect(some.take(now), meeting.take(now), frame.take(at), body)
            takes = (it.chance >= needs[at]) & (it.chance > best[at])
            at, chance = at[takes], it.chance[takes]
            chosen[at], best[at], to[at] = number, chance, who[at]
            aim[at], kind[at], over[at] = it.aim[takes], it.kind[takes], it.over[takes]
            shape[at] = SHAPES.index(look.cut.shape)
        throw = Throw(chosen >= 0, to, aim, kind, shape, over, chosen, best)
        return Intent(run=np.zeros((rows, 2)), throw=throw)  # the pivot foot stays

    def _foresee(self, view: View, look: Look, who: np.ndarray, frame: Frame) -> Meeting:
        seen = view.seen(who)
        since = self._since(view, look, who)
        runner = runner_of(view, who, seen.pos, seen.vel, since, frame)
        return foresee(view, look.cut, runner, frame)

    def threshold(self, view: View) -> np.ndarray:
        """The chance the thrower wants at this count, (R,)."""
        end = view.scene.field.stall - 0.5
        share = np.clip((view.count - self.settle) / (end - self.settle), 0.0, 1.0)
        return self.picky + (self.desperate - self.picky) * share

    def _since(self, view: View, look: Look, slot: int | np.ndarray) -> np.ndarray:
        """Seconds since the cutter should have gone on this look, (R,)."""
        late = JITTER * np.abs(view.timing(slot))
        return (view.count - look.start) * view.scene.pace - late

    @property
    def look_names(self) -> tuple[str, ...]:
        """The looks' names as they stand in the table."""
        return tuple(look.name for look in self.looks)


def runner_of(
    view: View,
    slot: int | np.ndarray,
    pos: np.ndarray,
    vel: np.ndarray,
    since: np.ndarray,
    frame: Frame,
) -> Runner:
    """A cutter as seen by this player, in the frame of the disc."""
    slots = np.broadcast_to(np.asarray(slot), (len(view),))
    scene = view.scene
    guard = guards_of(view)[slots]
    spot = view.spots_of(slots)
    return Runner(
        pos=frame.into(pos),
        vel=frame.turn(vel),
        spot=frame.into(spot),
        guard=frame.into(view.seen(guard).pos),
        since=since,
        speed=scene.each("top_speed")[slots],
        tau=scene.each("sprint_time")[slots],
        grip=scene.each("grip")[slots],
    )


def guards_of(view: View) -> np.ndarray:
    """The defender who covers each attacker by the line-up, (A,); the first one if nobody."""
    guards = np.full(len(view.attackers), view.defenders[0] if view.defenders.size else 0)
    for slot in view.defenders:
        covered = view.scene.players[slot].guards
        if covered >= 0:
            guards[covered] = slot
    return guards


def stand_at(view: View, place: np.ndarray) -> np.ndarray:
    """The wanted velocity of this player that ends standing at `place` (R, 2)."""
    a = view.scene.players[view.slot].ability
    return motion.arrive(view.pos, view.vel, place, a.top_speed, a.sprint_time, a.grip)


def keep_in(view: View, want: np.ndarray) -> np.ndarray:
    """`want` (R, 2) without the part that would carry this player over a line."""
    field = view.scene.field
    soon = view.pos + view.vel * AHEAD
    low, high = field.back_lines
    limits = (
        (-field.half_width + MARGIN, field.half_width - MARGIN),
        (low + MARGIN, high - MARGIN),
    )
    for axis, (least, most) in enumerate(limits):
        where = soon[:, axis]
        if where.min() >= least and where.max() <= most:
            continue
        out = (where < least) & (want[:, axis] < 0.0)
        out |= (where > most) & (want[:, axis] > 0.0)
        want = want.copy()
        want[:, axis] = np.where(out, -view.vel[:, axis], want[:, axis])
    return want
