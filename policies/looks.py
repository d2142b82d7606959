"""An offence plan: looks called in order, what the others do meanwhile, how picky the thrower is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from policies.calls import (
    CLEARS_FOR,
    COVERED,
    DELAY,
    FAKES,
    HEARD,
    LASTS,
    OFF,
    OFF_AT,
    OFFSET,
    OPEN,
    SHAPE,
    SHOWN,
    SPENT,
    STAMP,
    STOP,
    THROWERS,
    WHO,
    next_look,
    with_bit,
)
from policies.cuts import Cut, Strike
from policies.cuts.base import NOT_YET, SHAPES, STEP
from policies.moves import inside, keep_in, length, stand_at, unit
from policies.outlets import free_man, last_call, worth
from policies.picturing import foresee
from policies.reading import Reading, judge, plain_pass, reading_in, thrown
from policies.shape import EDGE, own_place
from policies.who import code_of, resolve
from sim import compiling
from sim.intent import FLAT, FLOATED, NOTHING, WAVE_OFF, Intent, hold, run
from sim.rulebook import Team, ask
from sim.settings import Checked, row_of, setting

OTHERS = ("hold", "clear", "under", "deep")
HOLD, CLEAR, UNDER, DEEP = range(4)
TIRED = 0.9  # s that a look is watched while it is seen to be covered, before it is waved off
NEAR_CUE = -0.5  # s; before that a thrower does not judge a cut yet
RUN_BY = 1.2  # s after the first step by which a cut is seen to be a run or past
BETTER = 0.004  # a chance that still rises by more than this from look to look is waited for
SURE = 0.93  # unless it is as good as this
GOES = 1.5  # m/s at which a cutter is seen to have started
LONG = 20.0  # m from which a throw may be driven or floated
GLANCE = 0.4  # s after the call from which a thrower looks at others
FAR_CUE = -0.8  # s; while the moment of the look is further off than this
DOUBT = 0.25  # s after which the eyes leave a covered look for the others
NO_HOPE = 0.4  # a chance below this is a covered look


@dataclass(frozen=True)
class Look:
    """One option the thrower has been told to read: who cuts how, in which window of the count.

    `on_pass` is the pass of the play it is meant for, counted from 1; 0 is for all of them.
    `thrower` is the role it is meant for: a handler looks for the cutters, a cutter for the handlers.
    """

    who: str
    cut: Cut = field(default_factory=Strike)
    start: float = 0.0
    stop: float = 10.0
    on_pass: int = 0
    name: str = ""
    thrower: str = "anybody"


@dataclass(frozen=True)
class Looks(Checked):
    """Looks: called in order, run, and thrown or waved off.

    The thrower calls the first look whose window of the count has come, sees it run, and throws when
    its cue has come and the chance seen is at least what the thrower wants: `picky` of what an own
    plain pass of 10 m is worth, falling to `desperate` of it between `settle` and the last number. A
    look seen to be covered, or over, is waved off: the cutter clears and the next look is called.
    Anybody else seen standing open is thrown to as well. From `last_call` on the freest of all is
    thrown to.
    """

    looks: tuple[Look, ...] = ()
    others: str = setting(
        "hold",
        choices=OTHERS,
        doc="what the cutters outside the look do once a look has been called",
    )
    refill: bool = setting(
        True, doc="fill the space the receiver has left, so that the shape stands again"
    )
    picky: float = setting(
        0.80,
        low=0.0,
        high=1.0,
        unit="",
        doc="chance wanted early in the count, of one whose plain pass is sure",
    )
    desperate: float = setting(0.20, low=0.0, high=1.0, unit="", doc="chance accepted at the end")
    settle: float = setting(5.0, low=0.0, high=10.0, unit="count", doc="until here fully picky")
    last_call: float = setting(8.0, low=0.0, high=10.0, unit="count", doc="anybody from here on")
    free: bool = setting(True, doc="throw to somebody seen standing open, called or not")
    free_extra: float = setting(
        0.06, low=0.0, high=1.0, unit="", doc="chance wanted beyond that for somebody not called"
    )
    ground: float = setting(
        0.0089, low=0.0, high=0.1, unit="1/m",
        source="0.60 goals a possession from 45 m out, expert estimates 2012, 2024: 0.4 for 45 m",
        doc="share of possessions that score less for each metre that the goal line is further away",
    )  # fmt: skip
    fakes: int = setting(0, low=0, high=4, unit="", doc="fakes shown before a throw")
    reading: Reading = field(default_factory=Reading)

    def parts(self, names: Sequence[str]) -> list[Any]:
        """The cuts, one a look."""
        return [look.cut for look in self.looks]

    def sheet(self, names: Sequence[str]) -> list[list[float]]:
        """A row a look, and last the thrower's reading."""
        rows = [
            [
                code_of(look.who, names),
                look.start,
                look.stop,
                float(look.on_pass),
                float(SHAPES.index(look.cut.shape)),
                look.cut.delay,
                look.cut.release_offset,
                look.cut.lasts,
                float(THROWERS.index(look.thrower)),
            ]
            for look in self.looks
        ]
        return [*rows, row_of(self.reading)]

    @property
    def look_names(self) -> tuple[str, ...]:
        """The looks' names as they stand in the table."""
        return tuple(look.name for look in self.looks)

    @staticmethod
    def decide(me: Any, s: Any, team: Team) -> Intent:
        """Read and throw with the disc, run without it."""
        if me.has_disc:
            return read(me, s, team)
        return without_disc(me, s, team)


def without_disc(me: Any, s: Any, team: Any) -> Intent:
    """Run the called cut, clear after a wave-off, fill the space left, or keep the shape."""
    if me.since >= 0.0 and 0 <= me.call < team.size:
        return called_run(me, team, me.call)
    if me.receiver == me.slot:
        return stand_at(me, me.x + 0.2 * me.vx, me.y + 0.2 * me.vy)  # sees the throw come: faces it
    if me.flying and me.holder == me.slot and me.receiver >= 0 and s.refill == 1.0:
        x, y = me.spots[me.receiver, 0], me.spots[me.receiver, 1]
        y = max(y, me.disc_y - 6.0)
        return stand_at(me, x, y)
    x, y = own_place(me)
    if s.refill == 0.0:
        x, y = me.spots[me.slot, 0], me.spots[me.slot, 1]
    if me.waved < CLEARS_FOR:
        x, y = clear_to(me, x, y)
    elif me.body[me.slot].handler == 0 and s.others != HOLD and (me.call >= 0 or me.flying):
        if s.others == CLEAR:
            x, y = x - 6.0 * me.open, y + 4.0
        elif s.others == UNDER:
            x, y = x + 2.0 * me.open, y - 5.0
        else:
            y = y + 12.0
    x, y = out_of_the_lane(me, x, y)
    x, y = inside(me, x, y, EDGE)
    it = stand_at(me, x, y)
    ux, uy = keep_in(me, it.ux, it.uy)
    return run(ux, uy)


def called_run(me: Any, team: Any, look: int) -> Intent:
    """The called cut, false steps first, to the side it was called for whatever the mark does since."""
    me.open, me.to_open = me.run_open, (me.x - me.disc_x) * me.run_open
    delay = team.sheet[look, DELAY]
    if me.since < delay:
        step = int(me.since / STEP)
        it = ask(team, look, me)
        back = -1.0 if step % 2 == 0 else 1.0
        ux, uy = unit(it.ux, it.uy)
        return run(back * ux * me.top, back * uy * me.top)
    me.since = me.since - delay
    it = ask(team, look, me)
    ux, uy = keep_in(me, it.ux, it.uy)
    return run(ux, uy)


def clear_to(me: Any, x: float, y: float) -> tuple[float, float]:
    """Where somebody waved off runs: out of the lane, to the far side of the own place."""
    away = 1.0 if me.x >= me.disc_x else -1.0
    if me.body[me.slot].handler == 1:
        return x + 3.0 * away, y - 1.0
    return x + 4.0 * away, max(y, me.y) + 6.0


def out_of_the_lane(me: Any, x: float, y: float) -> tuple[float, float]:
    """A place moved aside where it would stand in the way of the one who runs the called cut."""
    if me.call_who < 0 or me.call_who == me.slot or me.flying:
        return x, y
    it = me.seen[me.call_who]
    speed = length(it.vx, it.vy)
    if speed < 2.0:
        return x, y
    dx, dy = x - it.x, y - it.y
    ahead = (dx * it.vx + dy * it.vy) / speed
    across = (dx * it.vy - dy * it.vx) / speed
    if 0.0 < ahead < 8.0 and abs(across) < 3.0:
        push = (3.0 - abs(across)) * (1.0 if across >= 0.0 else -1.0)
        return x + push * it.vy / speed, y - push * it.vx / speed
    return x, y


def read(me: Any, s: Any, team: Any) -> Intent:
    """With the disc: call, watch, and throw."""
    memory = me.memory
    if memory[STAMP] != me.completions + 1.0:
        memory[STAMP] = me.completions + 1.0
        memory[SPENT], memory[COVERED], memory[FAKES], memory[SHOWN] = 0.0, 0.0, 0.0, 0.0
        memory[OPEN], memory[OFF_AT] = 0.0, -99.0
    looks = team.size
    r = reading_in(team.sheet[looks])
    wants = threshold(me, s, r)
    reach_x, reach_y = fake(me, s)
    ready = memory[FAKES] >= s.fakes or me.count >= s.settle + 2.0
    if me.count >= s.last_call:
        return last_call(me, s, team, r, wants)
    if me.call >= 0:
        return watch(me, s, team, r, wants, ready, reach_x, reach_y)
    look = next_look(me, team, looks)
    if look >= 0:
        memory[COVERED] = 0.0
        return hold(look, resolve(me, team.sheet[look, WHO]), reach_x, reach_y)
    found = free_man(me, s, team, r, wants)
    if found.throw_to >= 0 and ready:
        return found
    return hold(NOTHING, NOTHING, reach_x, reach_y)


def watch(
    me: Any,
    s: Any,
    team: Any,
    r: Any,
    wants: float,
    ready: bool,
    reach_x: float,
    reach_y: float,
) -> Intent:
    """Watch the look that was called: throw it, wave it off, or see somebody else open."""
    memory, look, who = me.memory, me.call, me.call_who
    delay, lasts = team.sheet[look, DELAY], team.sheet[look, LASTS]
    since = me.since_call - HEARD
    over = since > delay + lasts or me.count >= team.sheet[look, STOP] or who < 0
    away = False
    if not over and since >= 0.0:
        soonest = min(NEAR_CUE, team.sheet[look, OFFSET] - 0.01)
        shape = int(team.sheet[look, SHAPE])
        at = foresee(me, team, r, shape, soonest)
        cue, seen = at.cue, 0.0
        if not math.isnan(at.flight):
            it = judge(me, team, r, who, at, shape)
            if length(at.x - me.x, at.y - me.y) > LONG and shape in (FLAT, FLOATED):
                # a long throw may be driven, or hang above the hands behind
                other = FLAT if shape == FLOATED else FLOATED
                its = foresee(me, team, r, other, soonest)
                if not math.isnan(its.flight) and length(its.x - me.x, its.y - me.y) > LONG:
                    another = judge(me, team, r, who, its, other)
                    if another.said > it.said:
                        at, it = its, another
            seen = it.said
            bar = wants * worth(me, s.ground, me.y) / worth(me, s.ground, it.y)
            runs = length(me.seen[who].vx, me.seen[who].vy) > GOES
            goes = runs or length(at.run.vx, at.run.vy) < GOES  # nobody throws to a run not seen
            on = cue >= team.sheet[look, OFFSET] and seen >= bar and ready and goes
            if on and memory[OPEN] > 0.0 and (seen <= memory[OPEN] + BETTER or seen > SURE):
                return thrown(it, look)
            memory[OPEN] = seen if on else 0.0  # seen twice, and no longer getting better
        watched = since > delay + 0.4 and cue > NEAR_CUE
        away = since > GLANCE and cue < FAR_CUE
        over = since > delay + RUN_BY and cue <= NOT_YET and math.isnan(at.flight)
        memory[COVERED] = memory[COVERED] + me.tick if (seen < NO_HOPE and watched) else 0.0
        over = over or memory[COVERED] > TIRED
    if over:
        memory[SPENT] = with_bit(memory[SPENT], look)
        memory[COVERED], memory[OFF], memory[OFF_AT] = 0.0, who, me.now
        return hold(WAVE_OFF, NOTHING, reach_x, reach_y)
    if (memory[COVERED] > DOUBT or away) and ready:
        # the look is covered, or far from being on: eyes go to the others
        found = free_man(me, s, team, r, wants)
        if found.throw_to >= 0:
            return found
    return hold(NOTHING, NOTHING, reach_x, reach_y)


def threshold(me: Any, s: Any, r: Any) -> float:
    """The chance the thrower wants at this count, by the measure of the own plain pass."""
    end = me.last_number - 0.5
    share = min(max((me.count - s.settle) / max(end - s.settle, 0.1), 0.0), 1.0)
    return (s.picky + (s.desperate - s.picky) * share) * plain_pass(me, r)


def fake(me: Any, s: Any) -> tuple[float, float]:
    """Where to hold the disc while fakes are still to be shown: out to one side, then the other."""
    memory = me.memory
    if memory[FAKES] >= s.fakes:
        return 0.0, 0.0
    side = me.hand if memory[SHOWN] == 0.0 else -me.hand
    reach = 0.75 * me.body[me.slot].pivot
    x, y = side * reach, 0.2
    if length(me.reach_x - x, me.reach_y - y) < 0.05:
        memory[FAKES] += 1.0
        memory[SHOWN] = 1.0 - memory[SHOWN]
    return x, y


compiling.write_out(without_disc)
