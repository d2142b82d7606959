"""What one player may know when deciding: the past of the others, the present of oneself.

`View` lists every attribute a rule may use. Metres, seconds, m/s, radians; slots are places in the
line-up, attackers first. Nothing in it is the present of anybody else: `seen` shows all others as
they were one reaction delay ago, carried on at the velocity seen then.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from sim.luck import Luck, Purpose, uniform


class View(NamedTuple):
    """What the player in `slot` knows of one play now.

    Attributes
    ----------
    slot : which player this is. `attackers`, `everybody` : how many attackers, players.
    first : the slot that had the disc at the start.
    now, tick : s since the start of the rehearsal, and from one decision to the next.
    x, y, vx, vy, face : own place, velocity, bearing of the hips.
    to_open, down : own place from the disc: m to the open side, m downfield.
    top, tau, grip : own top speed m/s, time constant s and grip m/s2 of the sprint law.
    hand : +1 right-handed, -1 left-handed.
    has_disc, marking, flying : holding the disc; marking its holder; it is in the air.
    disc_x, disc_y : the holder's place as seen, or while it flies where it was thrown from, m.
    open : +1 or -1, the side of the disc that the mark leaves open (x times this).
    count : the stall count; its whole part is the number last said, 0 with no count.
    pace : s from number to number. last_number : out at this one.
    held_for : s since the disc was caught. completions, throws : so far in the play.
    holder, last_thrower, mark : slots; -1 for nobody. The last thrower changes at the catch.
    receiver, look : while the disc is thrown: to whom, which look of the plan; else -1.
    man : the slot this player attends to, -1 for nobody.
    call, call_who : the look called last, as heard, and for whom; -1 for none.
    since : s that this player has been running the called cut; negative if it is not called.
    since_call : s since that call was heard. waved : s since this player was last waved off.
    reach_x, reach_y : with the disc, where it is held, off the chest, m.
    half_width, goal_line, low, high : of the field: x of a sideline, y of the goal line attacked
        and of the two back lines, m.
    wind_x, wind_y : the wind as felt, m/s.
    seen : a record a player, and last the disc: seen[q].x, .y, .vx, .vy, .face (the disc: height).
    body : what is known of everybody: body[q].top_speed, .handler, .guards, .start_x and so on.
    spots : spots[q, 0], spots[q, 1]: where everybody stood when the disc was last caught, m.
    watched : watched[q]: whom each player attends to; use it for the own team's calls only.
    timing : own habit, a standard normal number: how late on the count.
    memory : numbers kept until the next decision, zero at the start; written in place.
    luck : for `chance`.
    """

    slot: int
    attackers: int
    everybody: int
    first: int
    now: float
    tick: float
    x: float
    y: float
    vx: float
    vy: float
    face: float
    to_open: float
    down: float
    top: float
    tau: float
    grip: float
    hand: float
    has_disc: bool
    marking: bool
    flying: bool
    disc_x: float
    disc_y: float
    open: float
    count: float
    pace: float
    last_number: float
    held_for: float
    completions: int
    throws: int
    holder: int
    last_thrower: int
    mark: int
    receiver: int
    look: int
    man: int
    call: int
    call_who: int
    since: float
    since_call: float
    waved: float
    reach_x: float
    reach_y: float
    half_width: float
    goal_line: float
    low: float
    high: float
    wind_x: float
    wind_y: float
    seen: Any
    body: Any
    spots: Any
    watched: Any
    timing: float
    memory: Any
    luck: Luck


def chance(me: View, occasion: int) -> float:
    """A draw from 0 to 1 of this player's own, the same each time it is asked for an occasion."""
    return uniform(me.luck, int(Purpose.CHOICE), occasion, me.slot)


def imagined(
    me: View, slot: int, x: float, y: float, vx: float, vy: float, since: float, memory: Any
) -> View:
    """What this player takes another attacker to know: oneself in the other's place and run."""
    body = me.body[slot]
    return View(
        slot, me.attackers, me.everybody, me.first, me.now, me.tick, x, y, vx, vy, 0.0,
        (x - me.disc_x) * me.open, y - me.disc_y,
        body.top_speed, body.sprint_time, body.grip, float(body.hand),
        False, False, False, me.disc_x, me.disc_y, me.open, me.count, me.pace, me.last_number,
        me.held_for, me.completions, me.throws, me.holder, me.last_thrower, me.mark,
        me.receiver, me.look, -1, me.call, me.call_who, since, since, 1e9, 0.0, 0.0,
        me.half_width, me.goal_line, me.low, me.high, me.wind_x, me.wind_y,
        me.seen, me.body, me.spots, me.watched, 0.0, memory, me.luck,
    )  # fmt: skip


def with_since(me: View, since: float) -> View:
    """The same view, of somebody who has been running the called cut for `since` s."""
    return _changed(me, me.man, since)


def with_man(me: View, man: int) -> View:
    """The same view, of somebody who covers another man."""
    return _changed(me, man, me.since)


def _changed(me: View, man: int, since: float) -> View:
    return View(
        me.slot, me.attackers, me.everybody, me.first, me.now, me.tick, me.x, me.y, me.vx, me.vy,
        me.face, me.to_open, me.down, me.top, me.tau, me.grip, me.hand, me.has_disc, me.marking,
        me.flying, me.disc_x, me.disc_y, me.open, me.count, me.pace, me.last_number, me.held_for,
        me.completions, me.throws, me.holder, me.last_thrower, me.mark, me.receiver, me.look, man,
        me.call, me.call_who, since, me.since_call, me.waved, me.reach_x, me.reach_y,
        me.half_width, me.goal_line, me.low, me.high, me.wind_x, me.wind_y, me.seen, me.body,
        me.spots, me.watched, me.timing, me.memory, me.luck,
    )  # fmt: skip
