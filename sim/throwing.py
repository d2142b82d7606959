"""The throw: a wind-up, a release point beside the thrower, a line, and its errors."""

from __future__ import annotations

import numpy as np

from sim import marking
from sim.flight import FlightTable
from sim.intent import FOREHAND
from sim.luck import Luck, Purpose
from sim.marking import MarkBody
from sim.scene import Scene
from sim.world import KNOTS, World

OFF_BALANCE = 0.12  # share added to the errors for each m/s the thrower still moves
GUST = 0.06  # share added to the errors for each m/s of wind
SHORTEST = 1.5  # m; a shorter pass is handed over rather than thrown


def release(
    world: World, scene: Scene, table: FlightTable, body: MarkBody, rows: np.ndarray, now: float
) -> np.ndarray:
    """Let go of the disc in some rehearsals and lay out its flight.

    Parameters
    ----------
    rows : rehearsals whose wind-up ends now.

    Returns
    -------
    (len(rows),) bool: the mark's hand stopped the disc.
    """
    who = world.thrower[rows]
    hand = scene.hands[who]
    side = hand * np.where(world.kind[rows] == FOREHAND, 1.0, -1.0)
    place, aim = world.pos[rows, who], world.aim[rows]
    luck, nth = world.luck.take(rows), world.throws[rows]
    over = world.over[rows]
    start = marking.release_point(place, aim, side, scene.each("pivot")[who])
    stopped, bother = _meet_the_mark(world, scene, body, rows, start, luck, nth)
    velocity = world.vel[rows, who]
    speed = np.sqrt(velocity[:, 0] * velocity[:, 0] + velocity[:, 1] * velocity[:, 1])
    weak = (world.kind[rows] == FOREHAND) != _forehand_is_strong(scene)[who]
    grown = np.where(weak, scene.each("weak_side")[who], 1.0)
    grown = grown * (1.0 + body.hurry * bother) * np.where(over, body.over_price, 1.0)
    grown = grown * (1.0 + OFF_BALANCE * speed) * (1.0 + GUST * scene.wind.speed)

    def error(name: str, purpose: Purpose) -> np.ndarray:
        return scene.each(name)[who] * grown * luck.normal(purpose, occasion=nth)

    turn = side * np.deg2rad(error("aim_error", Purpose.THROW_ANGLE))
    loft = np.deg2rad(error("loft_error", Purpose.THROW_HEIGHT))
    pace = 1.0 + np.clip(error("pace_error", Purpose.THROW_PACE), -0.6, 0.6)
    _lay_out(world, scene, table, rows, start, turn, loft, pace)
    world.throws[rows] += 1
    world.release_at[rows] = now
    world.tried[rows] = False
    world.plays[rows] = False
    return stopped


def _forehand_is_strong(scene: Scene) -> np.ndarray:
    return np.array([p.ability.strong_side == "forehand" for p in scene.players])


def _meet_the_mark(
    world: World,
    scene: Scene,
    body: MarkBody,
    rows: np.ndarray,
    start: np.ndarray,
    luck: Luck,
    nth: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Whether the mark stops each throw, and how much it bothers it."""
    mark, who = world.marker[rows], world.thrower[rows]
    there = mark >= 0
    mark = np.maximum(mark, 0)
    chest = world.pos[rows, mark]
    away_x, away_y = chest[:, 0] - start[:, 0], chest[:, 1] - start[:, 1]
    there &= away_x * away_x + away_y * away_y < scene.field.stall_radius**2
    time = scene.each("wind_up")[who] - scene.each("tracking")[mark]
    bites = luck.uniform(Purpose.FAKE, occasion=nth) < body.bite
    chest = marking.slid(chest, start, world.aim[rows], time, bites, body)
    room = marking.clearance(start, world.aim[rows], chest, body)
    chance = np.where(there, marking.stop_chance(room, world.over[rows], body), 0.0)
    stopped = luck.uniform(Purpose.MARK_HAND, occasion=nth) < chance
    return stopped, np.where(there, marking.pressure(room, body), 0.0)


def _lay_out(
    world: World,
    scene: Scene,
    table: FlightTable,
    rows: np.ndarray,
    start: np.ndarray,
    turn: np.ndarray,
    loft: np.ndarray,
    pace: np.ndarray,
) -> None:
    """Write the knots of the flights that leave `start` for the aim, off by the errors."""
    who = world.thrower[rows]
    hand = scene.hands[who]
    to_x = world.aim[rows, 0] - start[:, 0]
    to_y = world.aim[rows, 1] - start[:, 1]
    meant = np.sqrt(to_x * to_x + to_y * to_y)
    to_x, to_y = to_x / np.maximum(meant, 1e-9), to_y / np.maximum(meant, 1e-9)
    cos, sin = np.cos(turn), np.sin(turn)
    dir_x, dir_y = to_x * cos + to_y * sin, to_y * cos - to_x * sin
    wind_x, wind_y = scene.wind.vector
    along = wind_x * dir_x + wind_y * dir_y
    across = (wind_x * dir_y - wind_y * dir_x) * hand
    kind, shape = world.kind[rows], world.shape[rows]
    longest = np.minimum(table.longest(kind, shape, along, across), scene.each("range")[who])
    length = np.clip(meant * pace, SHORTEST, np.maximum(longest, SHORTEST))
    paths = table.look_up(kind, shape, length, along, across)
    step = paths.ground_time / (KNOTS - 1)
    rise = np.tan(loft)
    sinks = np.maximum(paths.ground_time - paths.duration, 1e-9)
    for k in range(KNOTS):
        ahead, aside, height = paths.at(step * k)
        # what the error adds fades out after the aim: the table ends with the disc on the ground
        left = np.clip((paths.ground_time - step * k) / sinks, 0.0, 1.0)
        aside = aside * hand
        world.knots[rows, k, 0] = start[:, 0] + ahead * dir_x + aside * dir_y
        world.knots[rows, k, 1] = start[:, 1] + ahead * dir_y - aside * dir_x
        world.knots[rows, k, 2] = np.maximum(height + rise * np.minimum(ahead, 25.0) * left, 0.0)
    world.knot_step[rows] = step
