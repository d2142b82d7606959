"""What one player may know when deciding: the past of the others, the present of oneself.

`ATTRIBUTES` lists everything that a rule finds in its view `me`, with units. Slots are places in
the line-up, attackers first. Nothing in it is the present of anybody else: `me.seen` shows all
others as they were one reaction delay ago, carried on at the velocity seen then.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.luck import Purpose, uniform
from sim.state import BODY, LUCK, MEMORY, PLAYERS, SEEN

# name, kind (whole number or number), unit, meaning
ATTRIBUTES: tuple[tuple[str, type, str, str], ...] = (
    ("slot", int, "", "which player this is"),
    ("attackers", int, "", "how many attackers there are: slots 0 to attackers - 1"),
    ("everybody", int, "", "how many players there are; the defenders follow the attackers"),
    ("first", int, "", "the slot that had the disc at the start"),
    ("disc", int, "", "the place of the disc in `seen`"),
    ("now", float, "s", "since the start of the rehearsal"),
    ("tick", float, "s", "from one decision to the next"),
    ("x", float, "m", "own place across, positive to the right of who faces the goal attacked"),
    ("y", float, "m", "own place downfield, 0 on the goal line defended"),
    ("vx", float, "m/s", "own velocity across"),
    ("vy", float, "m/s", "own velocity downfield"),
    ("face", float, "rad", "bearing of the own hips, from downfield, positive to the right"),
    ("to_open", float, "m", "own place from the disc, to the open side"),
    ("down", float, "m", "own place from the disc, downfield"),
    ("top", float, "m/s", "own top speed"),
    ("tau", float, "s", "own time constant of the sprint law"),
    ("grip", float, "m/s2", "own largest acceleration"),
    ("hand", int, "", "+1 right-handed, -1 left-handed"),
    ("has_disc", int, "", "1 with the disc in hand"),
    ("marking", int, "", "1 when marking the one with the disc"),
    ("flying", int, "", "1 while the disc is in the air"),
    ("disc_x", float, "m", "the holder's place as seen; in flight, where it was thrown from"),
    ("disc_y", float, "m", "the same, downfield"),
    ("open", int, "", "+1 or -1, the side left open by the mark, times x"),
    ("count", float, "count", "the stall count: its whole part was said last, 0 with no count"),
    ("pace", float, "s", "from number to number"),
    ("last_number", float, "count", "the number at which the disc is lost"),
    ("held_for", float, "s", "since the disc was caught"),
    ("completions", int, "", "catches by the offence so far"),
    ("throws", int, "", "throws so far"),
    ("holder", int, "slot", "who has the disc, or threw it while it flies"),
    ("last_thrower", int, "slot", "who threw the pass caught last; -1 for nobody"),
    ("mark", int, "slot", "who marks; -1 for nobody"),
    ("man", int, "slot", "whom this player attends to; -1 for nobody"),
    ("receiver", int, "slot", "to whom the disc is thrown; -1 while it is not"),
    ("look", int, "", "which look of the plan is thrown; -1 for none"),
    ("call", int, "", "the look called last, as heard; -1 for none"),
    ("call_who", int, "slot", "for whom"),
    ("since", float, "s", "that this player has been running the called cut; negative if not"),
    ("run_open", int, "", "`open` as it was when the cut being run, or watched, was called"),
    ("since_call", float, "s", "since the last call was made"),
    ("waved", float, "s", "since this player was last waved off; large if never"),
    ("lag", float, "s", "how long ago all others were as they are seen and carried on from"),
    ("release_in", float, "s", "from deciding to throw until the release, when all is ready"),
    ("reach_x", float, "m", "with the disc, where it is held off the chest, across"),
    ("reach_y", float, "m", "the same, downfield"),
    ("half_width", float, "m", "x of the right sideline"),
    ("goal_line", float, "m", "y of the goal line attacked"),
    ("low", float, "m", "y of the back line defended"),
    ("high", float, "m", "y of the back line attacked"),
    ("wind_x", float, "m/s", "the wind across, as felt"),
    ("wind_y", float, "m/s", "the wind downfield, as felt"),
    ("timing", float, "", "own habit now, a standard normal number: how late on a call"),
)
ARRAYS: tuple[tuple[str, str], ...] = (
    ("seen", "seen[q].x, .y, .vx, .vy, .face: anybody as seen (m, m/s, rad; the disc: its height)"),
    ("body", "body[q].top_speed, .handler, .guards, .start_x and so on: who anybody is"),
    ("spots", "spots[q, 0], spots[q, 1]: where anybody stood when the disc was last caught, m"),
    ("watched", "watched[q]: whom anybody attends to; for the calls of one's own team"),
    ("memory", "16 numbers kept until the next decision, 0 at the start; write into them"),
    ("luck", "for `chance`"),
)

VIEW = np.dtype(
    [(name, np.int64 if kind is int else np.float64) for name, kind, _, _ in ATTRIBUTES]
    + [
        ("seen", SEEN, (PLAYERS + 1,)),
        ("body", BODY, (PLAYERS,)),
        ("spots", np.float64, (PLAYERS, 2)),
        ("watched", np.int64, (PLAYERS,)),
        ("memory", np.float64, (MEMORY,)),
        ("luck", LUCK),
    ],
    align=True,
)

_CHOICE = int(Purpose.CHOICE)


def chance(me: Any, occasion: int) -> float:
    """A draw from 0 to 1 of this player's own, the same each time it is asked for an occasion."""
    return uniform(me.luck, _CHOICE, occasion, me.slot)


def imagine(me: Any, other: Any, slot: int) -> None:
    """Write into the view `other` what this player takes another attacker to know."""
    body = me.body[slot]
    other.slot, other.now, other.hand = slot, me.now, body.hand
    other.top, other.tau, other.grip = body.top_speed, body.sprint_time, body.grip
    other.has_disc, other.marking, other.flying, other.face = 0, 0, 0, 0.0
    other.disc_x, other.disc_y, other.open = me.disc_x, me.disc_y, me.run_open
    other.count, other.held_for, other.throws = me.count, me.held_for, me.throws
    other.completions, other.holder, other.last_thrower = me.completions, me.holder, me.last_thrower
    other.mark, other.man, other.receiver, other.look = me.mark, -1, me.receiver, me.look
    other.run_open = me.run_open
    other.call, other.call_who, other.since_call = me.call, me.call_who, me.since_call
    other.waved, other.reach_x, other.reach_y, other.timing = 1e9, 0.0, 0.0, 0.0
    other.lag, other.release_in = body.tracking, 0.0
    for q in range(me.everybody):
        other.seen[q] = me.seen[q]
        other.watched[q] = me.watched[q]
    for k in range(MEMORY):
        other.memory[k] = 0.0


def put(other: Any, x: float, y: float, vx: float, vy: float, since: float) -> None:
    """Place the player of an imagined view, on the way for `since` s."""
    other.x, other.y, other.vx, other.vy, other.since = x, y, vx, vy, since
    other.to_open, other.down = (x - other.disc_x) * other.open, y - other.disc_y
