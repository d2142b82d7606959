"""What a thrower expects of a pass: made of what can be seen, not of what will happen."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import erf

from policies.cuts import Cut, Runner
from policies.frame import Frame, length
from sim import marking
from sim.flight import SHAPES, THROWS, load_table
from sim.intent import BACKHAND, FOREHAND
from sim.marking import MarkBody
from sim.view import View

MARGIN_SPREAD = 0.45  # s; interception as a probability in time: Spearman 2017
CLOSING = 5.0  # m/s at which a defender is expected to close on a passing disc
ROOM = 1.2  # m a receiver makes up for a throw that is off
SIDELINE = 1.0  # m; nobody aims closer to the line than this
_USUAL = (0.7, 0.85)  # m to the break side and in front: where marks stand
_LANE = (0.4, 0.7, 1.0)  # shares of the way looked at
SECANTS = 3  # steps toward the meeting of runner and disc
STEEPEST = 0.9  # a runner as fast as the disc is never met


@dataclass(frozen=True)
class Expectation:
    """A pass as the thrower sees it: where, how, and the chance. All (R,), `aim` (R, 2)."""

    aim: np.ndarray
    kind: np.ndarray
    over: np.ndarray
    chance: np.ndarray


@lru_cache(maxsize=8)
def _calm_times(shape: str) -> tuple[np.ndarray, np.ndarray]:
    """Distances (m) and times in the air (s) that every thrower knows by feel."""
    distance = np.linspace(3.0, 70.0, 68)
    code = np.full(len(distance), SHAPES.index(shape))
    kind = np.full(len(distance), THROWS.index("backhand"))
    calm = np.zeros(len(distance))
    reach = np.minimum(distance, load_table().longest(kind, code, calm, calm))
    return distance, load_table().look_up(kind, code, reach, calm, calm).duration


def flight_time(distance: np.ndarray, shape: str) -> np.ndarray:
    """Time in the air (s) expected for a pass over `distance` m, (R,)."""
    return np.interp(distance, *_calm_times(shape))


@dataclass(frozen=True)
class Meeting:
    """Where a pass would be caught: all (R,), `place` (R, 2) in the frame of the disc, m."""

    place: np.ndarray
    time: np.ndarray
    distance: np.ndarray
    cue: np.ndarray

    def take(self, index: np.ndarray) -> Meeting:
        """The meetings of some of the rehearsals."""
        return Meeting(self.place[index], self.time[index], self.distance[index], self.cue[index])


def foresee(view: View, cut: Cut, runner: Runner, frame: Frame) -> Meeting:
    """Carry the runner forward along the cut until the disc and the runner meet.

    The time in the air t has to agree with the time the disc takes to where the runner is by then:
    a fixed point, found by secants of its two sides.
    """
    wind_up = np.full(len(view), view.scene.attackers[view.slot].ability.wind_up)
    me = frame.into(view.pos)

    def takes(time: np.ndarray) -> np.ndarray:
        return flight_time(length(cut.ahead(runner, wind_up + time) - me), cut.shape)

    last = np.zeros(len(view))
    image = takes(last)
    time = image
    for _ in range(SECANTS):
        new = takes(time)
        apart = time - last
        slope = np.where(np.abs(apart) > 1e-6, (new - image) / np.where(apart, apart, 1.0), 0.0)
        last, image = time, new
        time = time + (new - time) / (1.0 - np.clip(slope, -1.0, STEEPEST))
    place = cut.ahead(runner, wind_up + time)
    return Meeting(place, time, length(place - me), cut.cue(runner, wind_up, place))


def expect(view: View, meeting: Meeting, frame: Frame, body: MarkBody) -> Expectation:
    """What the thrower expects of a pass to a meeting that was foreseen.

    The chance is the product of three: that no defender gets to the line or to the place first (a
    logistic in time), that the mark does not stop it, and that it goes where it is meant to.
    """
    ability = view.scene.attackers[view.slot].ability
    wind_up = np.full(len(view), ability.wind_up)
    distance = meeting.distance
    aim = frame.out(meeting.place)
    kind, over, line = _best_line(view, aim, body)
    safe = _unreached(view, aim, wind_up, meeting.time)
    spread = np.maximum(distance, 1.0) * np.deg2rad(ability.aim_error)
    accurate = erf(ROOM / (np.maximum(spread, 1e-9) * np.sqrt(2.0)))
    far = np.clip((ability.range - distance) / 5.0, 0.0, 1.0)
    field = view.scene.field
    inside = field.in_bounds(aim[:, 0], aim[:, 1])
    inside &= field.sideline_distance(aim[:, 0]) > SIDELINE
    chance = np.where(inside, safe * line * accurate * far, 0.0)
    return Expectation(aim=aim, kind=kind, over=over, chance=chance)


def _best_line(
    view: View, aim: np.ndarray, body: MarkBody
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The side to release on, whether over the mark, and the chance to get past it."""
    start = view.scene.attackers[view.slot]
    seen = view.seen(np.maximum(view.mark, 0))
    mark = seen.pos + seen.vel * min(start.ability.wind_up, 0.3)
    pivot = np.full(len(view), start.ability.pivot)
    weak = 1.0 / start.ability.weak_side
    strong = FOREHAND if start.ability.strong_side == "forehand" else BACKHAND
    unmarked = (view.mark < 0) | (length(mark - view.pos) > view.scene.field.stall_radius)
    # one still on its way is expected to get to the usual place on the break side
    off = np.stack([-_USUAL[0] * view.open_side, np.full(len(view), _USUAL[1])], axis=-1)
    settled = view.pos + off
    # a mark is expected to slide toward the wind-up, as most do
    late = view.scene.each("tracking")[np.maximum(view.mark, 0)]
    slide = body.slide * np.maximum(start.ability.wind_up - late, 0.0)
    best = np.full(len(view), -1.0)
    kind = np.zeros(len(view), dtype=np.int64)
    over = np.zeros(len(view), dtype=bool)
    for one in (strong, 1 - strong):
        side = start.hand * np.where(one == FOREHAND, 1.0, -1.0) * np.ones(len(view))
        release = marking.release_point(view.pos, aim, side, pivot)
        # one on the move may stop at once, run on, or be anywhere on the way to that place
        places = (seen.pos, mark, 0.5 * (seen.pos + settled), settled)
        room = np.min([marking.clearance(release, aim, at, body) for at in places], axis=0) - slide
        room = np.where(unmarked, 9.0, room)
        bother = 1.0 - 0.15 * marking.pressure(room, body)
        skill = 1.0 if one == strong else 1.0 - 0.3 * (1.0 - weak)
        for high in (False, True):
            stop = marking.stop_chance(room, np.full(len(view), high), body)
            chance = (1.0 - stop) * bother * skill * (0.9 if high else 1.0)
            better = chance > best
            best = np.where(better, chance, best)
            kind = np.where(better, one, kind)
            over = np.where(better, high, over)
    return kind, over, best


def _unreached(view: View, aim: np.ndarray, wind_up: np.ndarray, time: np.ndarray) -> np.ndarray:
    """The chance that no defender but the mark gets to the line or to the place in time, (R,)."""
    slots = view.defenders[None, :]
    seen = view.seen(slots)
    arm = view.scene.each("arm")[view.defenders]
    least = np.full(len(view), np.inf)
    marks = slots == view.mark[:, None]
    for share in _LANE:
        point = view.pos + (aim - view.pos) * share
        due = (wind_up + time * share)[:, None]
        # a runner is carried on for a while, then turns toward the disc
        carried = seen.pos + seen.vel * np.minimum(due, 0.8)[..., None]
        gap = length(point[:, None] - carried) - arm
        chance_time = gap / CLOSING - 0.25 * time[:, None] * share
        least = np.minimum(least, np.where(marks, np.inf, chance_time).min(axis=1, initial=np.inf))
    return 1.0 / (1.0 + np.exp(-np.pi * np.clip(least, -5.0, 5.0) / (np.sqrt(3.0) * MARGIN_SPREAD)))
