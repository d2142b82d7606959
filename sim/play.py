"""One play, tick by tick: see, decide, release, run, fly, judge.

Every function takes `g`, the record of one play (`sim.state.game_type`).
The same text runs as ordinary Python, agent by agent, and compiled over an ensemble.
"""

from __future__ import annotations

import math
from typing import Any

from sim import bodies, contest, marking, motion, perception, rules, throwing
from sim.intent import NOTHING, WAVE_OFF
from sim.log import landed, log
from sim.luck import Purpose, capped_normal, normal
from sim.state import (
    CALLED,
    FAKED,
    FLYING,
    HELD,
    KNOTS,
    MEMORY,
    OVER,
    PLAYERS,
    THROWN,
    WAVED_OFF,
    WIND_UP,
)

UNTIL_THROW, UNTIL_RESET, UNTIL_POSSESSION = 0, 1, 2
COMPLETED, GOAL, BLOCKED_BY_MARK, BLOCKED, DROPPED, MISSED, OUT, STALLED, TIME_CAP = range(9)
TRAPPED_WITHIN = 5.0  # m from a sideline
_POSITION, _TIMING = int(Purpose.POSITION), int(Purpose.TIMING)


def begin(g: Any) -> None:
    """Set a rehearsal up: everybody in place, never twice quite the same.

    Attackers without the disc stand off their marks by a normal spread, the same way seen from the
    force in the mirror image; a defender is off by as much as the attacker covered.
    """
    play, ground = g.play, g.ground
    play.tick, play.now, play.phase = 0, 0.0, HELD
    play.holder, play.held_since = ground.holder, -10.0
    play.counting, play.mark = int(ground.stall > 0.0), -1
    play.count_start = -(ground.stall - 1.0) * ground.pace
    play.open_side, play.open_was, play.open_since = ground.open_side, ground.open_side, -10.0
    play.throws, play.completions, play.thrower, play.last_thrower = 0, 0, -1, -1
    play.receiver, play.look, play.kind, play.curve = -1, -1, 0, 0
    play.call_look, play.call_who, play.call_at = -1, -1, -10.0
    play.was_look, play.was_who, play.call_side = -1, -1, ground.open_side
    play.outcome, play.stopper, play.events, play.fakes = -1, -1, 0, 0
    play.release_at, play.knot_step = math.inf, 1.0
    throwing.gather(g)
    play.trapped_for, play.ended, play.flight_s, play.estimate = 0.0, 0.0, math.nan, math.nan
    play.catch_chance = 0.0
    for p in range(ground.players):
        me, body = g.players[p], g.body[p]
        like = p if body.offence == 1 else body.guards
        me.x, me.y = body.start_x, body.start_y
        if 0 <= like != ground.holder:
            me.x += capped_normal(g.luck, _POSITION, 0, like) * ground.spread * ground.open_side
            me.y += capped_normal(g.luck, _POSITION, 1, like) * ground.spread
        me.vx, me.vy, me.ux, me.uy = 0.0, 0.0, 0.0, 0.0
        me.watch, me.eyes, me.starts_seen, me.sees_moving = body.guards, 0, 0, 0
        me.expect_x, me.expect_y = 0.0, 0.0
        me.tried, me.plays, me.run_look, me.run_at, me.waved_at = 0, 0, -1, 0.0, -100.0
        me.run_side = ground.open_side
        me.lean, me.lunge_to, me.lunge_until, me.notice_at = 0.0, 0.0, -1.0, 0.0
        me.timing = normal(g.luck, _TIMING, 0, p)
        perception.wake_up(g, p)
        for k in range(MEMORY):
            g.memory[p, k] = 0.0
    face_the_disc(g)
    keep_spots(g)
    for _ in range(ground.depth):
        perception.remember(g)
        play.tick += 1


def face_the_disc(g: Any) -> None:
    """Turn everybody's hips toward the disc, as they stand at the start."""
    holder = g.players[g.play.holder]
    for p in range(g.ground.players):
        me = g.players[p]
        me.face = motion.heading(holder.x - me.x, holder.y - me.y, 0.0)
        me.want_face = math.nan


def keep_spots(g: Any) -> None:
    """Keep the places as they are at a catch: the shape that looks are read from."""
    for p in range(g.ground.players):
        g.spots[p, 0], g.spots[p, 1] = g.players[p].x, g.players[p].y


def see(g: Any) -> None:
    """The part of a tick before anybody decides: remember, attend, count."""
    perception.remember(g)
    for p in range(g.ground.players):
        perception.attend(g, p)
    rules.run_count(g)


def decides_now(g: Any) -> bool:
    """Whether people decide at this tick: every `ground.every` of them."""
    return (g.play.tick - g.ground.depth) % g.ground.every == 0


def look(g: Any, me: Any, slot: int) -> None:
    """Write into the view `me` what the player in `slot` knows now."""
    play, ground, own, body = g.play, g.ground, g.players[slot], g.body[slot]
    perception.look_round(g, me, slot)
    now, eyes = play.now, g.laws.eyes
    offence = body.offence == 1
    flying = play.phase == FLYING
    holder = me.seen[play.holder]
    side = play.open_side
    if offence and now - play.open_since < own.lag:
        side = play.open_was
    me.slot, me.now = slot, now
    me.x, me.y, me.vx, me.vy, me.face = own.x, own.y, own.vx, own.vy, own.face
    me.disc_x, me.disc_y, me.open = holder.x, holder.y, side
    me.to_open, me.down = (own.x - holder.x) * side, own.y - holder.y
    me.top, me.tau, me.grip, me.hand = body.top_speed, body.sprint_time, body.grip, body.hand
    me.flying = int(flying)
    me.has_disc = int(play.holder == slot and play.phase == HELD)
    me.marking = int(play.mark == slot and not flying)
    me.count, me.held_for = rules.count_of(g), now - play.held_since
    me.completions, me.throws = play.completions, play.throws
    me.holder, me.last_thrower, me.mark, me.man = (
        play.holder, play.last_thrower, play.mark, own.watch,
    )  # fmt: skip
    thrown = play.phase != HELD
    me.receiver = play.receiver if thrown and (offence or flying) else -1
    me.look = play.look if thrown and offence else -1
    me.reach_x = play.hand_x if play.holder == slot else 0.0
    me.reach_y = play.hand_y if play.holder == slot else 0.0
    me.timing, me.lag, me.release_in = own.timing, own.lag, throwing.takes(g, slot, body.pivot)
    hear(g, me, slot, eyes.hear + eyes.hear_spread * abs(own.timing))
    for p in range(ground.players):
        me.watched[p] = g.players[p].watch
    for k in range(MEMORY):
        me.memory[k] = g.memory[slot, k]


def hear(g: Any, me: Any, slot: int, late: float) -> None:
    """Write into a view the call that a player has heard, and for how long it has been run."""
    play, own = g.play, g.players[slot]
    offence = g.body[slot].offence == 1
    me.call, me.call_who, me.since, me.since_call = -1, -1, -1.0, play.now - play.call_at
    if offence and (slot == play.holder or play.now - play.call_at >= late):
        me.call, me.call_who = play.call_look, play.call_who
    elif offence:
        me.call, me.call_who = play.was_look, play.was_who
    thrown_to = play.receiver == slot and play.phase != HELD
    if me.call >= 0 and me.call_who == slot:
        if own.run_look != me.call or own.run_at < play.call_at:
            own.run_look, own.run_at, own.run_side = me.call, play.now, play.call_side
        me.since = play.now - own.run_at
    elif own.run_look >= 0 and thrown_to:
        me.since = play.now - own.run_at
    elif own.run_look >= 0:
        own.run_look, own.waved_at = -1, play.now
    me.waved = play.now - own.waved_at
    me.run_open = play.call_side if slot == play.holder else own.run_side


def set_scene(g: Any, me: Any) -> None:
    """Write into a view what does not change in a play, and the shape as it is now."""
    ground = g.ground
    me.attackers, me.everybody, me.first, me.disc = (
        ground.attackers, ground.players, ground.holder, PLAYERS,
    )  # fmt: skip
    me.tick, me.pace, me.last_number = ground.tick * ground.every, ground.pace, ground.last_number
    me.half_width, me.goal_line = ground.half_width, ground.goal_line
    me.low, me.high, me.wind_x, me.wind_y = ground.low, ground.high, ground.wind_x, ground.wind_y
    me.luck.seed_low, me.luck.seed_high = g.luck.seed_low, g.luck.seed_high
    me.luck.low, me.luck.high = g.luck.low, g.luck.high
    for p in range(ground.players):
        me.body[p] = g.body[p]
        me.spots[p, 0], me.spots[p, 1] = g.spots[p, 0], g.spots[p, 1]


def busy(g: Any, slot: int) -> bool:
    """Whether a player has nothing left to decide: winding up for a throw."""
    return g.play.phase == WIND_UP and g.play.holder == slot


def take(g: Any, view: Any, slot: int, intent: Any) -> None:
    """Accept what the player in `slot` wants to do, and what the rule wants to remember."""
    play, me = g.play, g.players[slot]
    for k in range(MEMORY):
        g.memory[slot, k] = view.memory[k]
    me.ux, me.uy, me.want_face, me.eyes = intent.ux, intent.uy, intent.face, intent.eyes
    me.expect_x, me.expect_y = intent.expect_x, intent.expect_y
    if intent.watch != NOTHING:
        me.watch = max(intent.watch, -1)
    if play.mark == slot and intent.open_side != 0 and intent.open_side != play.open_side:
        play.open_was, play.open_side, play.open_since = play.open_side, intent.open_side, play.now
    if play.holder != slot or play.phase != HELD:
        return
    if intent.call != NOTHING:
        _call(g, intent.call, intent.call_who, view.open)
    if intent.throw_to >= 0:
        throwing.wind_up(g, slot, intent)
        if play.phase == WIND_UP:
            return
    play.reach_x, play.reach_y, play.reach_z = intent.reach_x, intent.reach_y, throwing.CARRIED


def _call(g: Any, look: int, who: int, side: int) -> None:
    """Call a look, or wave the last one off."""
    play = g.play
    if look == WAVE_OFF:
        if play.call_look >= 0:
            log(g, WAVED_OFF, play.call_look, play.call_who, math.nan)
        look, who = -1, -1
    else:
        log(g, CALLED, look, who, math.nan)
    play.was_look, play.was_who = play.call_look, play.call_who
    play.call_look, play.call_who, play.call_at, play.call_side = look, who, play.now, side


def go_on(g: Any, table: Any) -> None:
    """The part of a tick after everybody has decided: release, run, fly, judge."""
    play = g.play
    if play.phase == FLYING:
        steps = max(1, int(g.laws.hands.replan / g.ground.tick + 0.5))
        if int((play.now - play.release_at) / g.ground.tick + 0.5) % steps == 0:
            contest.choose_meetings(g)
        contest.chase_disc(g)
    if play.phase == WIND_UP and play.release_at <= play.now + 1e-9:
        _release(g, table)


def _release(g: Any, table: Any) -> None:
    play = g.play
    log(g, THROWN, play.look, play.receiver, play.estimate)
    stopped = throwing.let_go(g, table)
    contest.read_flight(g)
    if stopped:
        landed(g, BLOCKED_BY_MARK, play.mark, 0.0)
        end(g, BLOCKED_BY_MARK, g.knots[0, 0], g.knots[0, 1], play.now, play.mark)


def advance(g: Any) -> None:
    """Everybody runs for one tick, the disc flies on, and the play is judged."""
    play, ground = g.play, g.ground
    flying = play.phase == FLYING
    for p in range(ground.players):
        g.before[p, 0], g.before[p, 1] = g.players[p].x, g.players[p].y
    for p in range(ground.players):
        _aim_run(g, p)
    for p in range(ground.players):
        move(g, p)
    bodies.hold_up(g)
    rules.stay_in(g)
    if throwing.bring_out(g):
        log(g, FAKED, -1, -1, math.nan)
        marking.meet_fake(g)
        play.fakes += 1
    marking.stretch(g)
    play.tick += 1
    play.now = (play.tick - ground.depth) * ground.tick
    if flying:
        _fly_on(g)
    _judge_time(g)


def _aim_run(g: Any, p: int) -> None:
    """What a player's legs are asked for: round bodies, within what the hips allow."""
    play, me, body, legs = g.play, g.players[p], g.body[p], g.laws.legs
    if play.phase != FLYING and p == play.holder:
        # 11.2: the one with the disc comes to a stop as soon as possible, then pivots
        back = 1.0 - body.sprint_time / legs.brake
        me.ux, me.uy = me.vx * back, me.vy * back
        return
    me.ux, me.uy = bodies.go_round(g, p, me.ux, me.uy)


def move(g: Any, p: int) -> None:
    """Turn the hips and run for one tick."""
    me, body, legs, tick = g.players[p], g.body[p], g.laws.legs, g.ground.tick
    most = body.top_speed
    ux, uy = me.ux, me.uy
    if math.isnan(me.want_face):
        if body.offence == 0 or me.face != me.face:
            toward = motion.heading(ux, uy, me.face)
            me.face = motion.turned(me.face, toward, legs.turn_rate, tick)
            most = motion.speed_with_hips(ux, uy, me.face, body.top_speed, legs.backward)
        else:
            me.face = motion.heading(me.vx, me.vy, me.face)
    else:
        me.face = motion.turned(me.face, me.want_face, legs.turn_rate, tick)
        most = motion.speed_with_hips(ux, uy, me.face, body.top_speed, legs.backward)
    ux, uy = motion.limit(ux, uy, most)
    me.x, me.y, me.vx, me.vy = motion.advance(me, body, ux, uy, tick)


def _fly_on(g: Any) -> None:
    play = g.play
    age = play.now - play.release_at
    what, who, x, y = contest.resolve(g, age)
    if what == contest.CAUGHT:
        _catch(g, who, age)
    elif what == contest.BLOCKED:
        landed(g, BLOCKED, who, age)
        end(g, BLOCKED, x, y, play.now, who)
    elif what == contest.DROPPED:
        landed(g, DROPPED, who, age)
        end(g, DROPPED, x, y, play.now, who)
    else:
        x, y, z = perception.disc_at(g, age)
        if z <= 0.02 or age >= play.knot_step * (KNOTS - 1):
            outcome = MISSED if rules.inside(g, x, y) else OUT
            landed(g, outcome, -1, age)
            end(g, outcome, x, y, play.now, -1)


def _catch(g: Any, who: int, age: float) -> None:
    """12.1, 14.1: a catch inside the field is a completion, inside the end zone a goal."""
    play, ground, me = g.play, g.ground, g.players[who]
    if not rules.inside(g, me.x, me.y):
        landed(g, OUT, -1, age)
        end(g, OUT, me.x, me.y, play.now, -1)
        return
    goal = rules.in_end_zone(g, me.x, me.y)
    landed(g, GOAL if goal else COMPLETED, -1, age)
    play.receiver = who
    if goal or ground.until == UNTIL_THROW:
        play.completions += int(not goal)
        play.holder = who
        end(g, GOAL if goal else COMPLETED, me.x, me.y, play.now, -1)
        return
    play.completions += 1
    play.phase, play.last_thrower = HELD, play.thrower
    play.holder, play.held_since = who, play.now
    play.counting, play.mark, play.receiver, play.look, play.fakes = 0, -1, -1, -1, 0
    play.call_look, play.call_who, play.was_look, play.was_who = -1, -1, -1, -1
    throwing.gather(g)
    for p in range(ground.players):
        other = g.players[p]
        other.plays, other.run_look, other.lean = 0, -1, 0.0
        other.timing = normal(g.luck, _TIMING, play.completions, p)
    keep_spots(g)


def _judge_time(g: Any) -> None:
    play, ground = g.play, g.ground
    if play.phase == OVER:
        return
    me = g.players[play.holder]
    if play.phase != FLYING and abs(me.x) > ground.half_width - TRAPPED_WITHIN:
        play.trapped_for += ground.tick
    if rules.stalled(g):
        end(g, STALLED, me.x, me.y, play.now, -1)
    elif (
        ground.until == UNTIL_RESET
        and play.phase == HELD
        and play.completions >= ground.resets
        and play.counting == 1
    ):
        # the count has begun again: the reset has worked
        end(g, COMPLETED, me.x, me.y, play.now, -1)
    elif play.now >= ground.time_cap - 1e-9:
        x, y = me.x, me.y
        if play.phase == FLYING:
            x, y, _ = perception.disc_at(g, play.now - play.release_at)
        end(g, TIME_CAP, x, y, play.now, -1)


def end(g: Any, outcome: int, x: float, y: float, when: float, stopper: int) -> None:
    """The rehearsal is over, with the disc at (x, y)."""
    play = g.play
    play.outcome, play.end_x, play.end_y, play.ended = outcome, x, y, when
    play.stopper, play.phase = stopper, OVER
