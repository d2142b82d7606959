"""While the disc flies: who goes for it, where they meet it, and whose hand is first.

Nothing here knows a completion probability. A player who can get a hand on the disc at its height
tries; when another could be there within a few hundredths of a second, luck decides whose hand is
first; a hand holds or not. A defender too far behind to touch the disc changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim import motion
from sim.luck import Purpose
from sim.reach import may_reach, reach_time
from sim.scene import Scene
from sim.settings import check_settings, setting
from sim.world import KNOTS, World

CAUGHT, BLOCKED, DROPPED = 1, 2, 3
_POINTS = np.arange(2, KNOTS, 2)  # knots of the flight considered as meeting points
_SHOULDER = 1.3  # m; below this height the arm's full length counts


@dataclass(frozen=True)
class Hands:
    """How bodies and hands decide a disc in the air."""

    plays_if_late: float = setting(
        0.30,
        low=0.0,
        high=1.0,
        unit="s",
        doc="the receiver's defender goes for a disc missed by less than this",
    )
    closing: float = setting(
        6.0, low=2.0, high=12.0, unit="m/s", doc="speed of a hand toward the disc, body included"
    )
    timing: float = setting(
        0.06, low=0.01, high=0.3, unit="s", doc="sd of the difference of two hands' timing"
    )
    rival_room: float = setting(
        0.5, low=0.0, high=1.5, unit="m", doc="a rival further than this from a touch has no play"
    )
    crowd: float = setting(
        0.06, low=0.0, high=0.5, unit="", doc="share of catches lost with a rival's hand there too"
    )
    touch: float = setting(
        0.85, low=0.0, high=1.0, unit="", doc="chance that a defender's easy attempt stops it"
    )
    touch_stretched: float = setting(
        0.45, low=0.0, high=1.0, unit="", doc="the same, jumping or laid out"
    )
    run_up: float = setting(
        2.5, low=0.0, high=6.0, unit="m/s", doc="slowest speed from which a player lays out"
    )

    def __post_init__(self) -> None:
        check_settings(self)


def choose_meetings(world: World, scene: Scene, hands: Hands, rows: np.ndarray, now: float) -> None:
    """Let everyone choose whether, where and when to meet the disc.

    Writes `world.plays`, `world.meet` and `world.meet_at` for the rehearsals `rows`, all in flight.
    Each player takes the soonest point of the flight that can be reached in time, or the least late
    one. The receiver always goes, the receiver's defender if not too late, the others if in time.
    """
    arm, top = scene.each("arm"), scene.each("standing_reach") + scene.each("jump")
    knots = world.knots[rows][:, _POINTS]  # (r, k, 3)
    due = world.release_at[rows, None] + world.knot_step[rows, None] * _POINTS - now  # (r, k)
    p = len(scene.players)
    speed, tau, grip = (scene.each(n) for n in ("top_speed", "sprint_time", "grip"))
    inside = scene.field.in_bounds(knots[..., 0], knots[..., 1])
    receives = np.arange(p) == world.receiver[rows, None]
    # the candidates: everybody of the defence, and the receiver
    r, q = np.nonzero(receives | (np.arange(p) >= len(scene.attackers)))
    receives = receives[r, q]
    pos, vel = world.pos[rows[r], q], world.vel[rows[r], q]
    # nobody leaves another man for a disc that cannot be reached, or not before the receiver
    own = world.watch[rows[r], q] == world.receiver[rows[r]]
    late_yet = np.where(own, hands.plays_if_late, 1e-9)
    best_cost, best_late = np.full(len(r), np.inf), np.full(len(r), np.inf)
    best = np.zeros(len(r), dtype=np.int64)
    caught = np.zeros(len(rows), dtype=bool)
    going = np.arange(len(r))
    for k in range(len(_POINTS)):
        # a point costs at least the time until the disc is there: later ones cannot be better
        left = due[:, k][r[going]]
        may = (left < best_cost[going]) & (receives[going] | own[going] | ~caught[r[going]])
        going, left = going[may], left[may]
        ahead = left > 0.0
        c, left = going[ahead], left[ahead]
        target = knots[r[c], k, :2]
        in_time = receives[c] | may_reach(
            pos[c], vel[c], target, left + late_yet[c], speed[q[c]], tau[q[c]], arm[q[c]]
        )
        c, target, left = c[in_time], target[in_time], left[in_time]
        who = q[c]
        late = reach_time(pos[c], vel[c], target, speed[who], tau[who], grip[who], radius=arm[who])
        late -= left
        late = np.where(knots[r[c], k, 2] > top[who], late + 1.0, late)
        late = np.where(receives[c] & ~inside[r[c], k], late + 2.0, late)
        cost = 10.0 * np.maximum(late, 0.0) + left
        better = cost < best_cost[c]
        c, late = c[better], late[better]
        best_cost[c], best_late[c], best[c] = cost[better], late, k
        caught[r[c[receives[c] & (late <= 0.0)]]] = True
    wants = (receives | (best_late < late_yet)) & (q != world.thrower[rows[r]])
    world.plays[rows] = False
    world.plays[rows[r], q] = wants
    world.meet[rows[r], q] = knots[r, best, :2]
    world.meet_at[rows[r], q] = now + due[r, best]


def chase(world: World, scene: Scene, rows: np.ndarray, now: float) -> None:
    """Turn the wish to meet the disc into a run, overruling whatever else was wanted.

    Only those do who have had the time to see that it was thrown.
    """
    age = now - world.release_at[rows]
    r, q = np.nonzero(world.plays[rows] & (age[:, None] >= scene.each("tracking") - 1e-9))
    row = rows[r]
    speed, tau = (scene.each(n)[q] for n in ("top_speed", "sprint_time"))
    world.want[row, q] = motion.meet(
        world.pos[row, q],
        world.vel[row, q],
        world.meet[row, q],
        world.meet_at[row, q] - now,
        speed,
        tau,
    )


def easy_reach(height: np.ndarray, arm: np.ndarray, standing: np.ndarray) -> np.ndarray:
    """Horizontal reach (m) without leaving the ground, at a disc height (m); 0 when too high."""
    above = np.clip((height - _SHOULDER) / (standing - _SHOULDER), 0.0, 1.0)
    return arm * np.sqrt(1.0 - above * above)


def full_reach(
    height: np.ndarray,
    arm: np.ndarray,
    standing: np.ndarray,
    jump: np.ndarray,
    dive: np.ndarray,
) -> np.ndarray:
    """Horizontal reach (m) jumping or laid out, at a disc height (m)."""
    jumping = easy_reach(height, arm, standing + jump)
    laid_out = np.where(height < _SHOULDER, arm + dive, 0.0)
    return np.maximum(jumping, laid_out)


@dataclass(frozen=True)
class Verdict:
    """What hands did to the disc in one tick: `rows` ended, how, by whom, and where."""

    rows: np.ndarray
    what: np.ndarray
    who: np.ndarray
    place: np.ndarray


def resolve(
    world: World,
    scene: Scene,
    hands: Hands,
    rows: np.ndarray,
    before: np.ndarray,
    disc_before: np.ndarray,
    disc_after: np.ndarray,
    age: np.ndarray,
) -> Verdict:
    """Let hands decide the discs that flew from `disc_before` to `disc_after` in one tick.

    Parameters
    ----------
    rows : (r,) rehearsals in flight. before : (r, P, 2) places at the start of the tick.
    disc_before, disc_after : (r, 3). age : (r,) s since release at the end of the tick.
    """
    arm, standing = scene.each("arm"), scene.each("standing_reach")
    jump, dive = scene.each("jump"), scene.each("dive")
    start = disc_before[:, None, :2] - before
    move = disc_after[:, None, :2] - world.pos[rows] - start
    height = 0.5 * (disc_before[:, 2] + disc_after[:, 2])[:, None]
    easy = easy_reach(height, arm, standing)
    full = full_reach(height, arm, standing, jump, dive)
    nearest, closest = _closest(start, move)
    enters = _enters(start, move, easy)
    velocity = world.vel[rows]
    speed2 = velocity[..., 0] * velocity[..., 0] + velocity[..., 1] * velocity[..., 1]
    runs = (speed2 > hands.run_up**2) | (height > _SHOULDER)
    leaving = (nearest > 0.0) & (nearest < 1.0)
    stretched = leaving & (closest <= full) & runs & ~np.isfinite(enters)
    may = _may_try(world, scene, rows, age)
    moment = np.where(may, np.where(stretched, nearest, enters), np.inf)
    first = np.argmin(moment, axis=1)
    index = np.arange(len(rows))
    hit = np.flatnonzero(np.isfinite(moment[index, first]))
    if hit.size == 0:
        none = np.zeros(0, dtype=np.int64)
        return Verdict(none, none, none, np.zeros((0, 3)))
    who, at = first[hit], moment[index, first][hit]
    gap = _gap(start[hit], move[hit], at) - np.broadcast_to(easy, moment.shape)[hit]
    owner, crowded = _whose_hand(world, scene, hands, rows[hit], who, gap, may[hit])
    is_easy = gap[np.arange(len(hit)), owner] <= 1e-9
    return _hold(
        world,
        scene,
        hands,
        rows[hit],
        owner,
        is_easy,
        crowded,
        disc_before[hit],
        disc_after[hit],
        at,
    )


def _closest(start: np.ndarray, move: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Share of the tick at which the disc is closest to each player, and that distance."""
    square = move[..., 0] * move[..., 0] + move[..., 1] * move[..., 1]
    dot = start[..., 0] * move[..., 0] + start[..., 1] * move[..., 1]
    at = np.clip(-dot / np.maximum(square, 1e-12), 0.0, 1.0)
    x, y = start[..., 0] + at * move[..., 0], start[..., 1] + at * move[..., 1]
    return at, np.sqrt(x * x + y * y)


def _enters(start: np.ndarray, move: np.ndarray, reach: np.ndarray) -> np.ndarray:
    """Share of the tick at which the disc comes within `reach`, inf if it does not."""
    a = move[..., 0] * move[..., 0] + move[..., 1] * move[..., 1]
    b = start[..., 0] * move[..., 0] + start[..., 1] * move[..., 1]
    c = start[..., 0] * start[..., 0] + start[..., 1] * start[..., 1] - reach * reach
    root = b * b - a * c
    at = (-b - np.sqrt(np.maximum(root, 0.0))) / np.maximum(a, 1e-12)
    crosses = (a > 1e-9) & (root >= 0.0) & (at >= 0.0) & (at <= 1.0)
    return np.where(c <= 0.0, np.where(reach > 0, 0.0, np.inf), np.where(crosses, at, np.inf))


def _gap(start: np.ndarray, move: np.ndarray, at: np.ndarray) -> np.ndarray:
    x = start[..., 0] + at[:, None] * move[..., 0]
    y = start[..., 1] + at[:, None] * move[..., 1]
    return np.sqrt(x * x + y * y)


def _may_try(world: World, scene: Scene, rows: np.ndarray, age: np.ndarray) -> np.ndarray:
    """Who may try for the disc: not the thrower, not twice, not before it could be seen."""
    may = ~world.tried[rows]
    index = np.arange(len(rows))
    may[index, world.thrower[rows]] = False
    mark = world.marker[rows]
    young = (mark >= 0) & (age < 0.4)  # the mark's hand has had its say at release
    may[index[young], mark[young]] = False
    return may & (age[:, None] >= 0.7 * scene.each("tracking"))


def _whose_hand(
    world: World,
    scene: Scene,
    hands: Hands,
    rows: np.ndarray,
    who: np.ndarray,
    gap: np.ndarray,
    may: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """The player whose hand is first, and whether a rival's hand was there too."""
    index = np.arange(len(rows))
    attack = np.arange(gap.shape[1]) < len(scene.attackers)
    rival = (attack[None, :] != attack[who][:, None]) & may & (gap < hands.rival_room)
    distance = np.where(rival, gap, np.inf)
    other = np.argmin(distance, axis=1)
    late = (distance[index, other] - gap[index, who]) / hands.closing
    scale = np.pi / (np.sqrt(3.0) * hands.timing)
    overtaken = 1.0 / (1.0 + np.exp(np.clip(late, -1.0, 1.0) * scale))
    overtaken = np.where(np.isfinite(late), overtaken, 0.0)
    luck = world.luck.take(rows)
    draw = luck.uniform(Purpose.CONTEST, occasion=world.throws[rows], slot=who)
    owner = np.where(draw < overtaken, other, who)
    return owner, distance[index, other] < 0.15


def _hold(
    world: World,
    scene: Scene,
    hands: Hands,
    rows: np.ndarray,
    owner: np.ndarray,
    is_easy: np.ndarray,
    crowded: np.ndarray,
    disc_before: np.ndarray,
    disc_after: np.ndarray,
    at: np.ndarray,
) -> Verdict:
    attack = owner < len(scene.attackers)
    holds = np.where(is_easy, scene.each("hands")[owner], scene.each("stretch_hands")[owner])
    holds = holds * np.where(crowded, 1.0 - hands.crowd, 1.0)
    touches = np.where(is_easy, hands.touch, hands.touch_stretched)
    draw = world.luck.take(rows).uniform(Purpose.CATCH, occasion=world.throws[rows], slot=owner)
    works = draw < np.where(attack, holds, touches)
    world.tried[rows, owner] = True
    what = np.where(attack, np.where(works, CAUGHT, DROPPED), BLOCKED)
    ends = attack | works
    place = disc_before + at[:, None] * (disc_after - disc_before)
    return Verdict(rows[ends], what[ends], owner[ends], place[ends])
