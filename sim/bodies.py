"""Bodies: nobody runs through anybody, and a runner with somebody in the way goes round.

The game forbids contact (rules 12 and 17), so whoever runs at another gives way: the speed at which
two who touch close is taken from the one who brings it, not shared. Going round is seen in time: a
run that would pass within two half bodies of somebody is turned to pass beside, and costs the way.
"""

from __future__ import annotations

import math
from typing import Any

from sim import compiling
from sim.motion import Moving, moving


def hold_up(g: Any) -> None:
    """Take away the speed at which any two who touch, or would within a tick, run at each other.

    As much as would bring them nearer than touching: two sprinters face to face make 0.9 m in a
    tick, more than a body, and would be through each other between two looks.
    """
    apart, tick = g.laws.legs.apart, g.ground.tick
    players = g.players
    for a in range(g.ground.players):
        for b in range(a + 1, g.ground.players):
            first, second = players[a], players[b]
            one, other = give_way(moving(first), moving(second), apart, tick)
            first.vx, first.vy, second.vx, second.vy = one.vx, one.vy, other.vx, other.vy


def give_way(first: Moving, second: Moving, apart: float, tick: float) -> tuple[Moving, Moving]:
    """Two runners once whoever brings the speed at which they meet has given way."""
    x, y, vx, vy = first
    other_x, other_y, wx, wy = second
    dx, dy = other_x - x, other_y - y
    far2 = dx * dx + dy * dy
    if far2 > 4.0 or far2 <= 0.0:
        return first, second
    over_x, over_y = wx - vx, wy - vy
    nearing = -(dx * over_x + dy * over_y)
    if nearing <= 0.0:
        return first, second
    when = min(nearing / (over_x * over_x + over_y * over_y), tick)
    px, py = dx + over_x * when, dy + over_y * when
    if px * px + py * py >= apart * apart:
        return first, second
    far = math.sqrt(far2)
    nx, ny = dx / far, dy / far
    ours, theirs = vx * nx + vy * ny, wx * nx + wy * ny
    share = 1.0 - max(far - apart, 0.0) / tick / (ours - theirs)
    if share <= 0.0:
        return first, second
    common = min(max(0.0, theirs), ours) if ours > 0.0 else ours
    one, other = (common - ours) * share, (common - theirs) * share
    first = Moving(x, y, vx + one * nx, vy + one * ny)
    return first, Moving(other_x, other_y, wx + other * nx, wy + other * ny)


def go_round(g: Any, slot: int, ux: float, uy: float) -> tuple[float, float]:
    """The intent (ux, uy), turned to pass beside the first body in its way.

    Others are carried on at their present velocity for the time that a runner looks ahead.
    """
    legs = g.laws.legs
    me = g.players[slot]
    room = legs.apart + legs.round_room
    first, side = legs.round_ahead, 0.0
    for q in range(g.ground.players):
        if q == slot or (q == me.watch and g.body[slot].offence == 0):
            continue  # a cover keeps to the own man on purpose
        other = g.players[q]
        when, across = passing(
            other.x - me.x, other.y - me.y, ux - other.vx, uy - other.vy, room, first
        )
        if when < first:
            first, side = when, across
    if first >= legs.round_ahead:
        return ux, uy
    return beside(ux, uy, first, side, room, float(g.play.open_side))


def passing(
    dx: float, dy: float, wx: float, wy: float, room: float, soonest: float
) -> tuple[float, float]:
    """When, s, and on which side, m, a run passes somebody; `soonest` if not near or not before.

    Parameters
    ----------
    dx, dy : the other's place from the runner, m. wx, wy : the run as the other sees it, m/s.
    room : what lies further aside is no passing, m.
    """
    if dx * dx + dy * dy > 36.0:
        return soonest, 0.0
    close2 = wx * wx + wy * wy
    ahead = dx * wx + dy * wy
    if ahead <= 0.0 or close2 < 1e-6 or ahead >= soonest * close2:
        return soonest, 0.0
    across = (dx * wy - dy * wx) / math.sqrt(close2)  # + : the other is to the right of the way
    if abs(across) >= room:
        return soonest, 0.0
    return ahead / close2, across


def beside(
    ux: float, uy: float, when: float, across: float, room: float, open_side: float
) -> tuple[float, float]:
    """The intent turned away from the side the other is on, by as much as clears the body; never back."""
    speed = math.sqrt(ux * ux + uy * uy)
    if speed < 0.5:
        return ux, uy
    lack = room - abs(across)
    near = max(when * speed, 0.3)
    turn = min(lack / near, 1.2)
    sign = open_side
    if across != 0.0:
        sign = -1.0 if across > 0.0 else 1.0
    nx, ny = uy / speed * sign, -ux / speed * sign
    wx, wy = ux + nx * turn * speed, uy + ny * turn * speed
    scale = speed / math.sqrt(wx * wx + wy * wy)
    return wx * scale, wy * scale


compiling.write_out(give_way)  # of every two players in every tick
