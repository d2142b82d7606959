"""The mark's hands: they follow what is seen of the disc in the thrower's hand, late, and stop the
disc where its path meets them.

Seen along the line from the thrower to the mark, the hands cover a strip to both sides of the
chest, from hip to shoulder; a lunge carries the strip to one side. A disc that passes within half
its width of the strip may be stopped; one that passes further off only bothers the thrower. Trade
practice for size: a good mark stops about 90 degrees and bothers 45 to 60 degrees more.
"""

from __future__ import annotations

import math
from typing import Any

from sim.elementary import bearing
from sim.luck import Purpose, uniform
from sim.perception import ago
from sim.state import KNOTS, PLAYERS, WIND_UP

SPREAD = 0.45  # m to each side of the chest that arms held out cover without a lunge (judgement)
DEPTH = 0.25  # m before and behind the chest that the hands work (judgement)
_LOOKED_AT = 0.35  # s of flight; the disc is past the mark by then
_STEP = 0.01  # s
_FAKE = int(Purpose.FAKE)


def stretch(g: Any) -> None:
    """Move the mark's arms on by one tick, toward where the disc is seen to be brought out."""
    play = g.play
    if play.mark < 0 or play.phase > WIND_UP:
        return
    me, law = g.players[play.mark], g.laws.mark
    disc_x, disc_y, _, _, _ = ago(g, PLAYERS, me.tracking)
    thrower = g.players[play.holder]
    dx, dy = me.x - thrower.x, me.y - thrower.y
    far = math.sqrt(dx * dx + dy * dy)
    if far < 1e-6:
        return
    # to the right of the line from the thrower to the mark
    out = ((disc_x - thrower.x) * dy - (disc_y - thrower.y) * dx) / far
    most = law.arm - 0.5 * SPREAD
    goal = min(max(out, -most), most)
    if me.lunge_until > play.now:
        goal = me.lunge_to  # bitten on a fake
    step = law.lunge * g.ground.tick
    me.lean += min(max(goal - me.lean, -step), step)


def meet_fake(g: Any) -> None:
    """A fake has been shown: the mark may take it for a throw, lunge, and take time to recover."""
    play = g.play
    if play.mark < 0:
        return
    me, law = g.players[play.mark], g.laws.mark
    if uniform(g.luck, _FAKE, play.throws * 64 + play.fakes, play.mark) < law.bite:
        thrower = g.players[play.holder]
        dx, dy = me.x - thrower.x, me.y - thrower.y
        right = play.hand_x * dy - play.hand_y * dx
        most = law.arm - 0.5 * SPREAD
        me.lunge_to = most if right > 0.0 else -most
        me.lunge_until = play.now + me.tracking + law.recover


def gap_to_hands(
    off_x: float,
    off_y: float,
    height: float,
    way_x: float,
    way_y: float,
    lean: float,
    low: float,
    high: float,
) -> float:
    """How far a point is from the strip that the hands cover, m.

    Parameters
    ----------
    off_x, off_y, height : the point, from the mark's chest on the ground, and above the ground, m.
    way_x, way_y : the unit vector from the thrower to the mark.
    lean : how far the strip is carried to the right, m.
    low, high : the heights between which the hands work well, m.
    """
    along = off_x * way_x + off_y * way_y
    right = off_x * way_y - off_y * way_x
    beside = max(abs(right - lean) - SPREAD, 0.0)
    before = max(abs(along) - DEPTH, 0.0)
    above = max(height - high, low - height, 0.0)
    return math.sqrt(beside * beside + before * before + above * above)


def clearance(g: Any) -> float:
    """How near the disc just thrown comes to the mark's hands, m; large without a mark."""
    play = g.play
    if play.mark < 0:
        return 9.0
    me, thrower, law = g.players[play.mark], g.players[play.thrower], g.laws.mark
    dx, dy = me.x - thrower.x, me.y - thrower.y
    far = math.sqrt(dx * dx + dy * dy)
    if far > g.ground.mark_radius or far < 1e-6:
        return 9.0 if far > 1e-6 else 0.0
    nearest, t = 9.0, 0.0
    while t < _LOOKED_AT:
        k = min(int(t / play.knot_step), KNOTS - 2)
        part = t / play.knot_step - k
        x = g.knots[k, 0] + (g.knots[k + 1, 0] - g.knots[k, 0]) * part
        y = g.knots[k, 1] + (g.knots[k + 1, 1] - g.knots[k, 1]) * part
        z = g.knots[k, 2] + (g.knots[k + 1, 2] - g.knots[k, 2]) * part
        gap = gap_to_hands(
            x - me.x, y - me.y, z, dx / far, dy / far, me.lean, law.low_hand, law.high_hand
        )
        nearest = min(nearest, gap)
        t += _STEP
    return nearest


def stop_chance(gap: float, law: Any) -> float:
    """Chance that hands stop a disc that passes them at `gap` m."""
    return law.stop * max(0.0, 1.0 - gap / law.hand)


def pressure(gap: float, law: Any) -> float:
    """How much the hands bother such a throw: 0 not at all, 1 fully."""
    return max(0.0, 1.0 - gap / law.bother)


def covered_sector(
    thrower_x: float, thrower_y: float, mark_x: float, mark_y: float, lean: float, law: Any
) -> tuple[float, float]:
    """Lowest and highest bearing, rad, that a mark's hands cover for a thrower who does not pivot."""
    dx, dy = mark_x - thrower_x, mark_y - thrower_y
    far = max(math.sqrt(dx * dx + dy * dy), 0.1)
    middle = bearing(dx, dy)
    half = SPREAD + law.hand
    return middle + bearing(lean - half, far), middle + bearing(lean + half, far)
