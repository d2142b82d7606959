"""The throw: a pivot, a wind-up, a release, its errors, and the flight they make.

Errors are born at release (speed, direction, pitch, tilt and spin of the disc) and carried to the
flight by the sensitivities of the table, so that an error makes a different flight. They grow with
mark pressure, a body still moving, wind and the weak side; a small share of throws slips.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from sim.elementary import cos, sin
from sim.flight.lookup import lay_out, reach
from sim.intent import FOREHAND
from sim.luck import Purpose, normal, uniform
from sim.marking import clearance, pressure, stop_chance
from sim.state import FLYING, HELD, WIND_UP

HIGH = 1.7  # m; a release above counts as over the mark, one below LOW as under its hands
LOW = 0.7
CARRIED = 1.0  # m above the ground at which the disc is held
OUTSIDE = 0.45  # m off the chest; a disc brought further out looks like a throw
_HEADING, _SPEED, _PITCH = (
    int(Purpose.THROW_HEADING),
    int(Purpose.THROW_SPEED),
    int(Purpose.THROW_PITCH),
)
_ROLL, _SPIN, _SLIP = int(Purpose.THROW_ROLL), int(Purpose.THROW_SPIN), int(Purpose.SLIP)
_WIND, _HAND = int(Purpose.WIND), int(Purpose.MARK_HAND)

# What a wind reckoned wrong does to a release, per m/s of wind that was not reckoned with: judgement
# from the change of the solved releases with the wind in the table.
WIND_HEADING = 0.010  # rad
WIND_SPEED = 0.012  # relative


class Throw(NamedTuple):
    """A throw as it is meant: its kind and shape, from where to where (m), the hand, the height (m)."""

    kind: int
    shape: int
    start_x: float
    start_y: float
    aim_x: float
    aim_y: float
    hand: float
    height: float


class Errors(NamedTuple):
    """What goes wrong at a release: heading, pitch and roll in rad, speed and spin relative."""

    heading: float
    faster: float
    pitch: float
    roll: float
    spin: float


WITHOUT_ERRORS = Errors(0.0, 0.0, 0.0, 0.0, 0.0)


def release_offset(
    place_x: float, place_y: float, aim_x: float, aim_y: float, side: float, pivot: float
) -> tuple[float, float]:
    """Where the disc leaves the hand, off the chest: a lunge to `side` and half a lunge forward.

    `side` is +1 for a release to the right of the line to the aim, -1 to the left; `pivot` in m.
    Nobody lunges past the middle of the way.
    """
    dx, dy = aim_x - place_x, aim_y - place_y
    far = max(math.sqrt(dx * dx + dy * dy), 1e-9)
    dx, dy = dx / far, dy / far
    pivot = min(pivot, 0.5 * far)
    across, along = side * pivot * 0.8660254037844386, pivot * 0.5
    return along * dx + across * dy, along * dy - across * dx


def side_of(hand: float, kind: int) -> float:
    """+1 if a throw of a kind is released to the right of its line, -1 to the left."""
    return hand if kind == FOREHAND else -hand


def gather(g: Any) -> None:
    """Take the disc in to the chest, at once."""
    play = g.play
    play.hand_x, play.hand_y, play.hand_z = 0.0, 0.0, CARRIED
    play.reach_x, play.reach_y, play.reach_z = 0.0, 0.0, CARRIED


def wind_up(g: Any, slot: int, intent: Any) -> None:
    """Begin a throw, if the player with the disc may: not sooner after the catch than it takes."""
    play, me, body, legs = g.play, g.players[slot], g.body[slot], g.laws.legs
    if play.phase != HELD or play.holder != slot or intent.throw_to == slot:
        return
    speed2 = me.vx * me.vx + me.vy * me.vy
    if play.now - play.held_since < legs.ready_after - 1e-9 or speed2 >= legs.ready_below**2:
        return
    play.phase = WIND_UP
    play.thrower, play.receiver = slot, intent.throw_to
    play.aim_x, play.aim_y = intent.aim_x, intent.aim_y
    play.kind, play.curve, play.look = intent.kind, intent.shape, intent.look
    play.height, play.estimate = intent.height, intent.said
    play.margin, play.past_mark, play.wild = intent.margin, intent.past_mark, intent.wild
    side = side_of(float(body.hand), intent.kind)
    play.reach_x, play.reach_y = release_offset(
        me.x, me.y, intent.aim_x, intent.aim_y, side, body.pivot
    )
    play.reach_z = intent.height
    dx, dy = play.reach_x - play.hand_x, play.reach_y - play.hand_y
    play.release_at = play.now + takes(g, slot, math.sqrt(dx * dx + dy * dy))
    me.ux, me.uy = 0.0, 0.0


def takes(g: Any, slot: int, way: float) -> float:
    """Seconds that a throw takes whose disc has to be brought `way` m to where it is released."""
    return max(float(g.body[slot].wind_up), way / g.laws.release.pivot_speed)


def bring_out(g: Any) -> bool:
    """Move the disc in the thrower's hand on by one tick, toward where it is to be held.

    True when it has just come to a place well outside the body that it will not be thrown from at
    once: a fake, whether it was meant as one or not.
    """
    play = g.play
    if play.phase > WIND_UP:
        return False
    dx, dy = play.reach_x - play.hand_x, play.reach_y - play.hand_y
    far = math.sqrt(dx * dx + dy * dy)
    step = g.laws.release.pivot_speed * g.ground.tick
    share = 1.0 if far <= step else step / far
    play.hand_x += dx * share
    play.hand_y += dy * share
    play.hand_z += (play.reach_z - play.hand_z) * share
    out = play.reach_x * play.reach_x + play.reach_y * play.reach_y > OUTSIDE * OUTSIDE
    return play.phase == HELD and share >= 1.0 and far > 0.0 and out


def let_go(g: Any, table: Any) -> bool:
    """Release the disc and lay out its flight; True if the mark's hand stops it there and then."""
    play, ground, law = g.play, g.ground, g.laws.release
    slot, nth = play.thrower, play.throws
    me, body = g.players[slot], g.body[slot]
    it = meant(g)

    grown = 1.0
    if (play.kind == FOREHAND) != (body.forehand_strong == 1):
        grown *= body.weak_side
    if play.height > HIGH:
        grown *= law.over_price
    elif play.height < LOW:
        grown *= law.low_price
    speed = math.sqrt(me.vx * me.vx + me.vy * me.vy)
    wind = math.sqrt(ground.wind_x * ground.wind_x + ground.wind_y * ground.wind_y)
    grown *= (1.0 + law.off_balance * speed) * (1.0 + law.gust * wind)
    # the flight as meant tells how near the hands it passes; their bother makes the errors
    _fly(g, table, it, WITHOUT_ERRORS)
    bother = pressure(clearance(g), g.laws.mark)
    grown *= 1.0 + g.laws.mark.hurry * bother
    if uniform(g.luck, _SLIP, nth, 0) < body.slip * (1.0 + bother):
        grown *= law.slip_size
    feel = body.wind_feel * normal(g.luck, _WIND, nth, 0)
    turn_wrong = body.wind_feel * normal(g.luck, _WIND, nth, 1)
    dx, dy = it.aim_x - it.start_x, it.aim_y - it.start_y
    far = max(math.sqrt(dx * dx + dy * dy), 1e-9)
    along = (ground.wind_x * dx + ground.wind_y * dy) / far
    across = (ground.wind_x * dy - ground.wind_y * dx) / far
    side = side_of(it.hand, it.kind)
    heading = side * body.aim_error * grown * normal(g.luck, _HEADING, nth, 0)
    heading += WIND_HEADING * across * turn_wrong
    faster = body.pace_error * grown * normal(g.luck, _SPEED, nth, 0) + WIND_SPEED * along * feel
    errors = Errors(
        heading,
        _held(faster, 0.30),
        _held(body.loft_error * grown * normal(g.luck, _PITCH, nth, 0), 0.25),
        _held(body.roll_error * grown * normal(g.luck, _ROLL, nth, 0), 0.6),
        _held(body.spin_error * grown * normal(g.luck, _SPIN, nth, 0), 0.5),
    )
    _fly(g, table, it, errors)
    play.throws += 1
    play.release_at = play.now
    play.phase = FLYING
    gap = clearance(g)
    g.events[play.events - 1].clearance = gap
    return uniform(g.luck, _HAND, nth, 0) < stop_chance(gap, g.laws.mark)


def _held(value: float, most: float) -> float:
    """An error no larger than the table of flights has been checked for (see MODEL.md)."""
    return min(max(value, -most), most)


def meant(g: Any) -> Throw:
    """The throw that is wound up for, as meant, from where the disc leaves the hand."""
    play, me, body = g.play, g.players[g.play.thrower], g.body[g.play.thrower]
    hand = float(body.hand)
    off_x, off_y = release_offset(
        me.x, me.y, play.aim_x, play.aim_y, side_of(hand, play.kind), body.pivot
    )
    x, y = me.x + off_x, me.y + off_y
    return Throw(play.kind, play.curve, x, y, play.aim_x, play.aim_y, hand, play.height)


def _fly(g: Any, table: Any, it: Throw, errors: Errors) -> None:
    """Write the knots of the flight of a throw, off by the errors."""
    ground, longest = g.ground, g.body[g.play.thrower].range
    wind_x, wind_y, shortest = ground.wind_x, ground.wind_y, g.laws.release.hand_over
    g.play.knot_step = the_way(table, it, wind_x, wind_y, shortest, longest, errors, g.knots[:])


def the_way(
    table: Any,
    it: Throw,
    wind_x: float,
    wind_y: float,
    shortest: float,
    longest: float,
    errors: Errors,
    knots: Any,
) -> float:
    """Write the way of a disc over the field into `knots` (K, 3), m; return the s between them.

    In a wind (m/s), no less far than `shortest` and no further than `longest` m.
    """
    dx, dy = it.aim_x - it.start_x, it.aim_y - it.start_y
    far = max(math.sqrt(dx * dx + dy * dy), 1e-9)
    dx, dy = dx / far, dy / far
    c, s = cos(errors.heading), sin(errors.heading)
    dir_x, dir_y = dx * c + dy * s, dy * c - dx * s
    along = wind_x * dir_x + wind_y * dir_y
    across = (wind_x * dir_y - wind_y * dir_x) * it.hand
    longest = min(reach(table, it.kind, it.shape, along, across), longest)
    length = min(max(far, shortest), longest)
    step = lay_out(
        table, it.kind, it.shape, length, along, across, it.height, errors.faster, errors.pitch,
        errors.roll, errors.spin, knots,
    )  # fmt: skip
    for k in range(len(knots)):
        ahead, aside = knots[k, 0], knots[k, 1] * it.hand
        knots[k, 0] = it.start_x + ahead * dir_x + aside * dir_y
        knots[k, 1] = it.start_y + ahead * dir_y - aside * dir_x
    return step
