"""An offence plan: looks called in order, what the others do meanwhile, how picky the thrower is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from policies.cuts import Cut, Strike
from policies.cuts.base import NOT_YET, SHAPES, STEP
from policies.moves import inside, keep_in, length, stand_at, unit
from policies.reading import (
    Reading,
    air_time,
    foresee,
    judge,
    meet_as_seen,
    reading_in,
)
from policies.shape import EDGE, own_place
from policies.who import code_of, resolve
from sim.intent import FLAT, FLOATED, NOTHING, WAVE_OFF, Intent, hold, run, throw
from sim.rulebook import Team, ask
from sim.settings import check_settings, row_of, setting

OTHERS = ("hold", "clear", "under", "deep")
HOLD, CLEAR, UNDER, DEEP = range(4)
THROWERS = ("anybody", "handler", "cutter")
ANYBODY, HANDLER, _ = range(3)
CLEARS_FOR = 1.4  # s that somebody waved off runs out of the way
HEARD = 0.25  # s after a call at which the thrower expects the first step
TIRED = 0.9  # s that a look is watched while it is seen to be covered, before it is waved off
NEAR_CUE = -0.5  # s; before that a thrower does not judge a cut yet
RUN_BY = 1.2  # s after the first step by which a cut is seen to be a run or past
BETTER = 0.004  # a chance that still rises by more than this from look to look is waited for
SURE = 0.93  # unless it is as good as this
GOES = 1.5  # m/s at which a cutter is seen to have started
BY_NOW = 0.8  # s after the call by which a cutter who stands is meant to stand
LONG = 20.0  # m from which a throw may be driven or floated
GLANCE = 0.4  # s after the call from which a thrower looks at others
FAR_CUE = -0.8  # s; while the moment of the look is further off than this
DOUBT = 0.25  # s after which the eyes leave a covered look for the others
OPEN_BY = 3.0  # m; with nobody nearer than this, now and in a moment, an attacker stands open
MOMENT = 0.5  # s
STANDING = 2.5  # m/s; slower than this somebody stands open, and does not run off
SETTLED = 0.7  # s after a catch before a thrower looks round
HOPELESS = 0.7  # share of the chance accepted below which not even the last moment makes one throw
NO_HOPE = 0.4  # a chance below this is a covered look

# The thrower's memory, one place each; the first eight are left to the cuts.
STAMP, SPENT, COVERED, FAKES, SHOWN, OPEN, OFF, OFF_AT = 8, 9, 10, 11, 12, 13, 14, 15


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
class Looks:
    """Looks: called in order, run, and thrown or waved off.

    The thrower calls the first look whose window of the count has come, sees it run, and throws when
    its cue has come and the chance seen is at least what the thrower wants. That falls from `picky`
    to `desperate` between `settle` and the last number. A look seen to be covered, or over, is waved
    off: the cutter clears and the next look is called. Anybody else seen standing open is thrown to
    as well. From `last_call` on the freest of all is thrown to.
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
    picky: float = setting(0.80, low=0.0, high=1.0, unit="", doc="chance wanted early in the count")
    desperate: float = setting(0.20, low=0.0, high=1.0, unit="", doc="chance accepted at the end")
    settle: float = setting(5.0, low=0.0, high=10.0, unit="count", doc="until here fully picky")
    last_call: float = setting(8.0, low=0.0, high=10.0, unit="count", doc="anybody from here on")
    free: bool = setting(True, doc="throw to somebody seen standing open, called or not")
    free_extra: float = setting(
        0.06, low=0.0, high=1.0, unit="", doc="chance wanted beyond that for somebody not called"
    )
    ground: float = setting(
        0.008, low=0.0, high=0.1, unit="1/m",
        source="0.60 goals a possession from 45 m out, facts: 0.4 of chance for as many metres",
        doc="chance given up for each metre gained",
    )  # fmt: skip
    fakes: int = setting(0, low=0, high=4, unit="", doc="fakes shown before a throw")
    reading: Reading = field(default_factory=Reading)

    def __post_init__(self) -> None:
        check_settings(self)

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
    """The called cut, false steps first."""
    delay = team.sheet[look, 5]
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
    wind_up = me.body[me.slot].wind_up
    wants = threshold(me, s)
    reach_x, reach_y = fake(me, s)
    ready = memory[FAKES] >= s.fakes or me.count >= s.settle + 2.0
    if me.count >= s.last_call:
        return last_call(me, s, team, r, wants, wind_up)
    if me.call >= 0:
        return watch(me, s, team, r, wants, wind_up, ready, reach_x, reach_y)
    look = next_look(me, team, looks)
    if look >= 0:
        memory[COVERED] = 0.0
        return hold(look, resolve(me, team.sheet[look, 0]), reach_x, reach_y)
    found = free_man(me, s, team, r, wants, wind_up)
    if found.throw_to >= 0 and ready:
        return found
    return hold(NOTHING, NOTHING, reach_x, reach_y)


def watch(
    me: Any,
    s: Any,
    team: Any,
    r: Any,
    wants: float,
    wind_up: float,
    ready: bool,
    reach_x: float,
    reach_y: float,
) -> Intent:
    """Watch the look that was called: throw it, wave it off, or see somebody else open."""
    memory, look, who = me.memory, me.call, me.call_who
    delay, lasts = team.sheet[look, 5], team.sheet[look, 7]
    since = me.since_call - HEARD
    over = since > delay + lasts or me.count >= team.sheet[look, 2] or who < 0
    away = False
    if not over and since >= 0.0:
        soonest = min(NEAR_CUE, team.sheet[look, 6] - 0.01)
        shape = int(team.sheet[look, 4])
        x, y, flight, cue = foresee(me, team, look, who, since, delay, wind_up, soonest, shape)
        seen = 0.0
        if not math.isnan(flight):
            said, kind, height, margin, line, wild = judge(me, r, who, x, y, flight, wind_up, shape)
            if length(x - me.x, y - me.y) > LONG and shape in (FLAT, FLOATED):
                # a long throw may be driven, or hang above the hands behind
                other = FLAT if shape == FLOATED else FLOATED
                its = foresee(me, team, look, who, since, delay, wind_up, soonest, other)
                if not math.isnan(its[2]):
                    it = judge(me, r, who, its[0], its[1], its[2], wind_up, other)
                    if it[0] > said:
                        shape, (x, y, flight, cue) = other, its
                        said, kind, height, margin, line, wild = it
            seen = said
            bar = wants - s.ground * gained(me, y)
            goes = since > BY_NOW or length(me.seen[who].vx, me.seen[who].vy) > GOES
            on = cue >= team.sheet[look, 6] and said >= bar and ready and goes
            if on and memory[OPEN] > 0.0 and (said <= memory[OPEN] + BETTER or said > SURE):
                return throw(who, x, y, kind, shape, height, look, said, margin, line, wild)
            memory[OPEN] = said if on else 0.0  # seen twice, and no longer getting better
        watched = since > delay + 0.4 and cue > NEAR_CUE
        away = since > GLANCE and cue < FAR_CUE
        over = since > delay + RUN_BY and cue <= NOT_YET and math.isnan(flight)
        memory[COVERED] = memory[COVERED] + me.tick if (seen < NO_HOPE and watched) else 0.0
        over = over or memory[COVERED] > TIRED
    if over:
        memory[SPENT] = with_bit(memory[SPENT], look)
        memory[COVERED], memory[OFF], memory[OFF_AT] = 0.0, who, me.now
        return hold(WAVE_OFF, NOTHING, reach_x, reach_y)
    if (memory[COVERED] > DOUBT or away) and ready:
        # the look is covered, or far from being on: eyes go to the others
        found = free_man(me, s, team, r, wants, wind_up)
        if found.throw_to >= 0:
            return found
    return hold(NOTHING, NOTHING, reach_x, reach_y)


def next_look(me: Any, team: Any, looks: int) -> int:
    """The first look whose window has come and which has not been waved off; then those again."""
    again = -1
    for look in range(looks):
        row = team.sheet[look]
        if not row[1] - 1e-9 <= me.count < row[2] - 0.2:
            continue
        if row[3] > 0.0 and me.completions != int(row[3]) - 1:
            continue
        if row[8] != ANYBODY and (row[8] == HANDLER) != (me.body[me.slot].handler == 1):
            continue
        who = resolve(me, row[0])
        if who < 0 or who == me.slot:
            continue
        if not has_bit(me.memory[SPENT], look):
            return look
        if again < 0:
            again = look
    if again >= 0:
        me.memory[SPENT] = 0.0  # a second move
    return again


def has_bit(bits: float, place: int) -> bool:
    """Whether a place is marked in a number used as a list of yes and no."""
    return (int(bits) >> place) & 1 == 1


def with_bit(bits: float, place: int) -> float:
    """The same number with a place marked."""
    return float(int(bits) | (1 << place))


def threshold(me: Any, s: Any) -> float:
    """The chance the thrower wants at this count."""
    end = me.last_number - 0.5
    share = min(max((me.count - s.settle) / max(end - s.settle, 0.1), 0.0), 1.0)
    return s.picky + (s.desperate - s.picky) * share


def gained(me: Any, y: float) -> float:
    """Metres that a catch at `y` would gain; not more than there are to the goal line."""
    return min(max(y - me.y, -10.0), max(me.goal_line + 1.0 - me.y, 0.0))


def free_man(me: Any, s: Any, team: Any, r: Any, wants: float, wind_up: float) -> Intent:
    """Look at one more of the others, and throw if that one stands open enough."""
    nothing = hold(NOTHING, NOTHING, 0.0, 0.0)
    if s.free == 0.0 or me.held_for < SETTLED:
        return nothing
    q = int(me.now / me.tick + 0.5) % me.attackers
    if q == me.slot or q == me.call_who or not stands_open(me, q):
        return nothing
    if q == me.memory[OFF] and me.now - me.memory[OFF_AT] < CLEARS_FOR + HEARD:
        return nothing  # sent away a moment ago
    x, y, flight = meet_as_seen(me, team, q, FLAT, wind_up)
    bar = min(wants + s.free_extra - s.ground * gained(me, y), 0.97)
    said, kind, height, margin, line, wild = judge(me, r, q, x, y, flight, wind_up, FLAT)
    if said >= bar:
        return throw(q, x, y, kind, FLAT, height, NOTHING, said, margin, line, wild)
    return nothing


def stands_open(me: Any, q: int) -> bool:
    """Whether an attacker is seen hardly moving, with nobody near."""
    if length(me.seen[q].vx, me.seen[q].vy) > STANDING:
        return False
    for k in range(me.attackers, me.everybody):
        it = me.seen[k]
        dx, dy = it.x - me.seen[q].x, it.y - me.seen[q].y
        if length(dx, dy) < OPEN_BY:
            return False
        if length(dx + it.vx * MOMENT, dy + it.vy * MOMENT) < OPEN_BY:
            return False
    return True


def last_call(me: Any, s: Any, team: Any, r: Any, wants: float, wind_up: float) -> Intent:
    """The bail-out: the freest of all as they are seen, called or not; high to space at the end."""
    best, at_x, at_y, to, what, how, high, look = -1.0, 0.0, 0.0, -1, 0, FLAT, 1.0, NOTHING
    room, past, error = 0.0, 1.0, 1.0
    for q in range(me.attackers):
        if q == me.slot:
            continue
        number = NOTHING
        shape = FLAT
        if q == me.call_who and 0 <= me.call < team.size and me.since_call > HEARD:
            number, shape = me.call, int(team.sheet[me.call, 4])
            x, y, flight, _ = foresee(
                me, team, me.call, q, me.since_call - HEARD, team.sheet[me.call, 5], wind_up, -99.0,
                shape,
            )  # fmt: skip
            if math.isnan(flight):
                x, y, flight = meet_as_seen(me, team, q, shape, wind_up)
        else:
            x, y, flight = meet_as_seen(me, team, q, FLAT, wind_up)
        said, kind, height, margin, line, wild = judge(me, r, q, x, y, flight, wind_up, shape)
        if said > best:
            best, at_x, at_y, to, what, how, high, look = said, x, y, q, kind, shape, height, number
            room, past, error = margin, line, wild
        if length(x - me.x, y - me.y) > 12.0:
            flight = air_time(me, team.table, FLOATED, x, y)
            said, kind, height, margin, line, wild = judge(me, r, q, x, y, flight, wind_up, FLOATED)
            if said > best:
                best, at_x, at_y, to, what, how, high = said, x, y, q, kind, FLOATED, height
                look, room, past, error = number, margin, line, wild
    late = me.count + wind_up / me.pace >= me.last_number - 0.35
    if to >= 0 and (best >= wants or (late and best >= HOPELESS * wants)):
        return throw(to, at_x, at_y, what, how, high, look, max(best, 0.0), room, past, error)
    if me.call < 0:
        # with nobody free yet, somebody is sent again
        number = next_look(me, team, team.size)
        if number >= 0:
            return hold(number, resolve(me, team.sheet[number, 0]), 0.0, 0.0)
    return hold(NOTHING, NOTHING, 0.0, 0.0)


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
