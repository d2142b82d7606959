"""Nobody sees the present: what was where a moment ago, and how long a moment is.

A player sees everybody as they were `lag` seconds ago and carries them on at the velocity seen.
The lag of a player who watches somebody standing still is the reaction time to a movement nobody
announced; once that somebody is seen to move, attention closes in and the lag shrinks to the
tracking delay, and it grows back after a rest. So a false step warns. It can also fool: each start
that is seen may be misread, more often when the runner was moving another way just before. Eyes on
the man alone make the delay shorter, and a throw is noticed later.
"""

from __future__ import annotations

from typing import Any

from sim.flight.lookup import on_the_way
from sim.luck import Purpose, capped_normal, uniform
from sim.state import FLYING, PLAYERS

_MISREAD, _REACTION = int(Purpose.MISREAD), int(Purpose.REACTION)


def remember(g: Any) -> None:
    """Keep the present in the ring: everybody, and the disc in the last place."""
    play = g.play
    play.row = play.tick % g.ground.depth
    ring = g.ring[play.row]
    for p in range(g.ground.players):
        me = g.players[p]
        ring[p, 0], ring[p, 1], ring[p, 2], ring[p, 3] = me.x, me.y, me.vx, me.vy
        ring[p, 4] = me.face
    holder = g.players[play.holder]
    disc = ring[PLAYERS]
    if play.phase == FLYING:
        disc[0], disc[1], disc[4] = disc_at(g, play.now - play.release_at)
        disc[2], disc[3] = 0.0, 0.0
    else:
        disc[0], disc[1], disc[4] = holder.x + play.hand_x, holder.y + play.hand_y, play.hand_z
        disc[2], disc[3] = holder.vx, holder.vy


def disc_at(g: Any, age: float) -> tuple[float, float, float]:
    """Where the disc is `age` s after its release, m."""
    return on_the_way(g.knots, g.play.knot_step, age)


def ago(g: Any, who: int, lag: float) -> tuple[float, float, float, float, float]:
    """Where `who` was `lag` s ago (the disc: the last place), x, y, the velocity, the hips."""
    now, before, part = when(g, lag)
    return between(g, who, now, before, part)


def when(g: Any, lag: float) -> tuple[int, int, float]:
    """The two rows of the ring around the moment `lag` s ago, and the share of the earlier one."""
    back = lag / g.ground.tick
    whole = int(back)
    row = g.play.row - whole
    if row < 0:
        row += g.ground.depth
    before = row - 1 if row > 0 else g.ground.depth - 1
    return row, before, back - whole


def between(
    g: Any, who: int, row: int, before: int, part: float
) -> tuple[float, float, float, float, float]:
    """The same between two rows of the ring."""
    later, earlier = g.ring[row, who], g.ring[before, who]
    return (
        later[0] + (earlier[0] - later[0]) * part,
        later[1] + (earlier[1] - later[1]) * part,
        later[2] + (earlier[2] - later[2]) * part,
        later[3] + (earlier[3] - later[3]) * part,
        later[4],
    )


def look_round(g: Any, view: Any, slot: int) -> None:
    """Write into `view.seen` how everybody and the disc look to the player in `slot` now."""
    me = g.players[slot]
    lag = me.lag
    row, before, part = when(g, lag)
    fooled_by = me.watch if me.fooled_until > g.play.now else -1
    for p in range(g.ground.players + 1):
        q = p if p < g.ground.players else PLAYERS
        x, y, vx, vy, face = between(g, q, row, before, part)
        if q == fooled_by:
            vx, vy = -vx, -vy  # a misread runner is carried on the wrong way
        seen = view.seen[q]
        seen.x, seen.y, seen.vx, seen.vy, seen.face = x + vx * lag, y + vy * lag, vx, vy, face
    own = view.seen[slot]
    # oneself one knows
    own.x, own.y, own.vx, own.vy, own.face = me.x, me.y, me.vx, me.vy, me.face


def wake_up(g: Any, slot: int) -> None:
    """The delays of a player in this rehearsal."""
    me, body = g.players[slot], g.body[slot]
    spread = capped_normal(g.luck, _REACTION, 0, slot)
    me.first = body.reaction * (1.0 + body.reaction_spread * spread)
    me.tracking = min(body.tracking, me.first)
    me.lag = me.first if body.guards >= 0 else me.tracking
    me.fooled_until, me.last_start = -1.0, -10.0


def attend(g: Any, slot: int) -> None:
    """Move a player's lag on by one tick, and misread a start that is seen now, as luck has it.

    A run the way that is expected is answered after a simple reaction, as one already followed, and
    is not misread: to be ready for one thing is no choice (Woods 2015 against two choices).
    """
    me = g.players[slot]
    if g.body[slot].offence == 1:
        return
    eyes, tick = g.laws.eyes, g.ground.tick
    moving = 0
    if me.watch >= 0 and (me.expect_x != 0.0 or me.expect_y != 0.0) and me.lag > me.tracking:
        _, _, vx, vy, _ = ago(g, me.watch, me.tracking)
        if vx * me.expect_x + vy * me.expect_y > 0.5 * eyes.moving:
            me.lag, me.sees_moving, me.last_start = me.tracking, 1, g.play.now
    if me.watch >= 0:
        _, _, vx, vy, _ = ago(g, me.watch, me.lag)
        moving = int(vx * vx + vy * vy > eyes.moving * eyes.moving)
    goal = me.tracking if moving == 1 else me.first
    if me.eyes == 1:
        goal *= eyes.on_man
    me.lag += min(max(goal - me.lag, -eyes.closing_in * tick), eyes.drifting_off * tick)
    if moving == 1 and me.sees_moving == 0:
        body = g.body[slot]
        again = g.play.now - me.last_start < eyes.recent
        risk = body.misread_again if again else body.misread
        if uniform(g.luck, _MISREAD, me.starts_seen, slot) < risk:
            me.fooled_until = g.play.now + eyes.wrong_step
        me.starts_seen += 1
        me.last_start = g.play.now
    me.sees_moving = moving


def notices_throw_after(g: Any, slot: int) -> float:
    """Seconds after a release at which a player knows that the disc is in the air."""
    me = g.players[slot]
    if g.body[slot].offence == 0 and me.eyes == 1:
        return me.tracking + g.laws.eyes.disc_unseen
    return me.tracking
