"""Bodies: nobody runs through the player who covers them, nor through the one they cover.

Two who meet hold each other up: the speeds at which they close are made equal, as in a perfectly
inelastic contact of equal masses without friction; what they run past each other is kept. The game
forbids contact (rules 12 and 17); so read it as both giving way in time.
"""

from __future__ import annotations

import numpy as np

from sim.world import World

APART = 0.6  # m from middle to middle: two half widths of the shoulders (judgement: 0.3 m each)


def hold_up(world: World, first_defender: int) -> None:
    """Let the defenders from slot `first_defender` on and those they cover meet, if they do."""
    for slot in range(first_defender, world.pos.shape[1]):
        man = world.watch[:, slot]
        rows = np.flatnonzero(man >= 0)
        man = man[rows]
        x = world.pos[rows, man, 0] - world.pos[rows, slot, 0]
        y = world.pos[rows, man, 1] - world.pos[rows, slot, 1]
        far2 = x * x + y * y
        near = np.flatnonzero((far2 < APART * APART) & (far2 > 0.0))
        if not near.size:
            continue
        rows, man = rows[near], man[near]
        far = np.sqrt(far2[near])
        x, y = x[near] / far, y[near] / far
        vx = world.vel[rows, man, 0] - world.vel[rows, slot, 0]
        vy = world.vel[rows, man, 1] - world.vel[rows, slot, 1]
        half = 0.5 * np.minimum(vx * x + vy * y, 0.0)  # half the speed of closing, negative
        for who, sign in ((man, -1.0), (slot, 1.0)):
            world.vel[rows, who, 0] += sign * half * x
            world.vel[rows, who, 1] += sign * half * y
