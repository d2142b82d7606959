"""The log of a play: what was called, waved off, faked and thrown, and how each throw ended."""

from __future__ import annotations

import math
from typing import Any

from sim import rules
from sim.state import EVENTS, THROWN


def log(g: Any, what: int, look: int, who: int, said: float) -> None:
    """Write down a call, a wave-off or a throw; the last place is used again when all are full."""
    play = g.play
    if play.events < EVENTS:
        play.events += 1
    event = g.events[play.events - 1]
    event.event, event.look, event.who, event.to = what, look, play.holder, who
    event.at, event.count, event.said = play.now, rules.count_of(g), said
    event.x, event.y = g.players[play.holder].x, g.players[play.holder].y
    event.cover, event.separation = nearest_defender(g, who)
    event.outcome, event.stopper, event.kind, event.curve = -1, -1, play.kind, play.curve
    event.aim_x, event.aim_y, event.distance = math.nan, math.nan, math.nan
    event.clearance, event.flight_s = math.nan, math.nan
    event.margin, event.past_mark, event.wild = math.nan, math.nan, math.nan
    if what == THROWN:
        event.aim_x, event.aim_y = play.aim_x, play.aim_y
        dx, dy = play.aim_x - event.x, play.aim_y - event.y
        event.distance = math.sqrt(dx * dx + dy * dy)
        event.margin, event.past_mark, event.wild = play.margin, play.past_mark, play.wild


def nearest_defender(g: Any, who: int) -> tuple[int, float]:
    """The defender nearest to a player, and how far off, m; -1 and nan without any."""
    best, far2 = -1, math.inf
    if who >= 0:
        for q in range(g.ground.attackers, g.ground.players):
            dx, dy = g.players[q].x - g.players[who].x, g.players[q].y - g.players[who].y
            if dx * dx + dy * dy < far2:
                best, far2 = q, dx * dx + dy * dy
    return best, math.sqrt(far2) if best >= 0 else math.nan


def landed(g: Any, outcome: int, stopper: int, age: float) -> None:
    """Complete the entry of the throw that has just come to its end."""
    for k in range(g.play.events - 1, -1, -1):
        if g.events[k].event == THROWN:
            g.events[k].outcome, g.events[k].stopper, g.events[k].flight_s = outcome, stopper, age
            break
    if g.play.throws == 1:
        g.play.flight_s = age
