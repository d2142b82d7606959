"""The rules of play, each with its number in the WFDF Rules of Ultimate 2021-24."""

from __future__ import annotations

import numpy as np

from sim.scene import Scene
from sim.world import HELD, WIND_UP, World


def find_marker(world: World, scene: Scene) -> np.ndarray:
    """The defender who marks in each rehearsal, (R,).

    The one attending to the holder, the nearest if several do; with nobody attending, the nearest
    defender of all. -1 in a play without defenders.
    """
    first = len(scene.attackers)
    rows = np.arange(len(world))
    if first == len(scene.players):
        return np.full(len(world), -1)
    holder = world.pos[rows, world.holder][:, None]
    away = world.pos[:, first:] - holder
    distance = away[..., 0] * away[..., 0] + away[..., 1] * away[..., 1]
    attends = world.watch[:, first:] == world.holder[:, None]
    distance = np.where(attends | ~attends.any(axis=1)[:, None], distance, np.inf)
    return first + np.argmin(distance, axis=1)


def run_count(world: World, scene: Scene, now: float) -> None:
    """Start, go on with, or give up the stall count.

    9.3: only a marker within 3 m of the thrower may count. 9.4: beyond that, or with a new
    marker, the count starts again at one.
    """
    held = (world.phase == HELD) | (world.phase == WIND_UP)
    rows = np.arange(len(world))
    marker = find_marker(world, scene)
    thrower, mark = world.pos[rows, world.holder], world.pos[rows, marker]
    dx, dy = thrower[:, 0] - mark[:, 0], thrower[:, 1] - mark[:, 1]
    near = (dx * dx + dy * dy <= scene.field.stall_radius**2) & (marker >= 0)
    same = (marker == world.marker) | (world.marker < 0)
    may = held & near
    starts = may & (~world.counting | ~same)
    world.count_start = np.where(starts, now, world.count_start)
    world.counting = may
    world.marker = np.where(held, marker, world.marker)


def stalled(world: World, scene: Scene, now: float) -> np.ndarray:
    """13.2.2: the disc is still held at the start of the last number ("ten"), (R,) bool."""
    held = (world.phase == HELD) | (world.phase == WIND_UP)
    # half a nanosecond of slack, since the clock is a sum of ticks
    return held & (world.count(now + 5e-10, scene.pace) >= scene.field.stall)


def stay_in(world: World, scene: Scene) -> None:
    """11.3.2.1: a thrower carried over a perimeter line pivots where it was crossed."""
    rows = np.arange(len(world))
    held = np.flatnonzero((world.phase == HELD) | (world.phase == WIND_UP))
    who = world.holder[held]
    place = world.pos[rows[held], who]
    low, high = scene.field.back_lines
    inside_x = np.clip(place[:, 0], -scene.field.half_width, scene.field.half_width)
    inside_y = np.clip(place[:, 1], low, high)
    out = (inside_x != place[:, 0]) | (inside_y != place[:, 1])
    world.pos[held[out], who[out], 0] = inside_x[out]
    world.pos[held[out], who[out], 1] = inside_y[out]
    world.vel[held[out], who[out]] = 0.0
