"""The players of the ordinary Mesa model in `plain_mesa.py`: one agent a player of one play."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import deque
from math import cos, erf, exp, hypot, radians, sin, sqrt
from typing import TYPE_CHECKING, NamedTuple

import mesa

from policies.covers import Cover
from policies.cuts import Strike
from sim.flight.lookup import duration, load_table
from sim.scene import Start

if TYPE_CHECKING:
    from tests.speed.plain_mesa import PlainPlay

CLOSE_UP, SETTLE = 3.0, 0.2  # 1/s and s: how a follower closes up
# weights of: toward the disc, toward the open side, toward the goal attacked
STANCES = {"tight": (0.5, 0.5, 0.7), "sagging": (0.4, 0.3, 0.8), "backing": (0.0, 0.0, 1.0)}
CLOSING, MARGIN_SPREAD, ROOM = 5.0, 0.45, 1.2  # m/s, s, m: how a thrower reads a pass
SECANTS, STEEPEST = 3, 0.9
APART = 0.6  # m between two bodies
MOVING, CLOSING_IN, DRIFTING_OFF, WRONG_STEP, RECENT = 1.0, 0.6, 0.15, 0.3, 1.0
BODY, STRETCH, BOTHER, PASSED, STOPS = 0.30, 0.80, 1.10, 0.45, 0.85  # of a mark
BEND = 0.25  # s in which a cutter bends into the cut
REMEMBERED = 22  # ticks
LANE = (0.4, 0.7, 1.0)  # shares of the way at which defenders are looked for
DISTANCES = [float(d) for d in range(3, 71)]
TIMES = [duration(load_table(), 0, 0, d, 0.0, 0.0) for d in DISTANCES]

Point = tuple[float, float]


class Seen(NamedTuple):
    """Where somebody seems to be now, m and m/s."""

    x: float
    y: float
    vx: float
    vy: float


def time_in_the_air(distance: float) -> float:
    """Seconds that a flat pass takes over a distance in metres."""
    if distance <= DISTANCES[0]:
        return TIMES[0]
    if distance >= DISTANCES[-1]:
        return TIMES[-1]
    i = bisect_right(DISTANCES, distance)
    share = distance - DISTANCES[i - 1]  # the distances are a metre apart
    return TIMES[i - 1] + (TIMES[i] - TIMES[i - 1]) * share


class Player(mesa.Agent):
    """One player: body, eyes, and what it wants to do."""

    model: PlainPlay

    def __init__(self, model: PlainPlay, start: Start) -> None:
        super().__init__(model)
        self.x, self.y = start.at
        self.vx = self.vy = self.ux = self.uy = 0.0
        self.ability = start.ability
        self.hand = start.hand
        self.speed, self.tau = start.ability.top_speed, start.ability.sprint_time
        self.grip, self.arm = start.ability.grip, start.ability.arm
        self.lag = start.ability.tracking
        now = (self.x, self.y, 0.0, 0.0)
        self.past = deque([now] * REMEMBERED, maxlen=REMEMBERED)

    def step(self) -> None:
        """Decide."""

    def advance(self) -> None:
        """Run for one tick, dv/dt = (u - v) / tau with a cap, by its closed form."""
        ux, uy, dt, tau = self.ux, self.uy, self.model.tick, self.tau
        fast = hypot(ux, uy)
        if fast > self.speed:
            ux, uy = ux * self.speed / fast, uy * self.speed / fast
        wx, wy = ux - self.vx, uy - self.vy
        gap = hypot(wx, wy)
        if gap > self.grip * tau:
            capped = min(gap / self.grip - tau, dt)
            used = self.grip * capped / gap
            fade = exp((capped - dt) / tau)
            left = (1.0 - used) * fade
            lost = capped * (1.0 - 0.5 * used) + (1.0 - used) * tau * (1.0 - fade)
        else:
            left = exp(-dt / tau)
            lost = tau * (1.0 - left)
        self.x += ux * dt - wx * lost
        self.y += uy * dt - wy * lost
        self.vx, self.vy = ux - wx * left, uy - wy * left

    def remember(self) -> None:
        """Keep the present, for the others to see it later."""
        self.past.appendleft((self.x, self.y, self.vx, self.vy))

    def recall(self, lag: float) -> Seen:
        """This player as it was `lag` seconds ago."""
        back = lag / self.model.tick
        whole = int(back)
        part = back - whole
        x, y, vx, vy = self.past[whole]
        px, py, pvx, pvy = self.past[whole + 1]
        return Seen(x + (px - x) * part, y + (py - y) * part,
                    vx + (pvx - vx) * part, vy + (pvy - vy) * part)  # fmt: skip

    def see(self, other: Player) -> Seen:
        """Another player, late and carried on at the velocity seen."""
        x, y, vx, vy = other.recall(self.lag)
        return Seen(x + vx * self.lag, y + vy * self.lag, vx, vy)

    def follow(self, x: float, y: float, vx: float, vy: float) -> None:
        """Keep at a moving place."""
        wx, wy = vx + CLOSE_UP * (x - self.x), vy + CLOSE_UP * (y - self.y)
        fast = hypot(wx, wy)
        if fast > self.speed:
            wx, wy = wx * self.speed / fast, wy * self.speed / fast
        pull = self.tau / SETTLE
        self.ux, self.uy = self.vx + (wx - self.vx) * pull, self.vy + (wy - self.vy) * pull

    def chase(self, x: float, y: float) -> None:
        """Run flat out for a point, the drift of the present velocity taken off."""
        dx, dy = x - self.x - 0.5 * self.tau * self.vx, y - self.y - 0.5 * self.tau * self.vy
        far = max(hypot(dx, dy), 1e-9)
        self.ux, self.uy = dx * self.speed / far, dy * self.speed / far


class Waiter(Player):
    """An attacker outside the look, who holds the place."""

    def step(self) -> None:
        """Stay."""
        self.ux = self.uy = 0.0


class Striker(Player):
    """The handler who runs the strike."""

    def step(self) -> None:
        """Wait for the count, then run the strike, then run to the disc."""
        model = self.model
        if model.disc is not None and model.age >= self.ability.tracking - 1e-9:
            self.chase(*model.disc.place)
        elif model.since >= 0.0:
            at = model.frame(Seen(self.x, self.y, self.vx, self.vy))
            self.ux, self.uy = strike_heading(at, self, model.cut)
            self.ux *= model.open_side
        else:
            self.ux = self.uy = 0.0


def strike_heading(at: Seen, who: Player, cut: Strike) -> Point:
    """The wanted velocity of a strike, to the open side and downfield."""
    down = max(at.vy, 0.0)
    if at.y + down * down / (2.0 * who.grip) >= cut.depth:
        way_x, way_y = 1.0, 0.0
    else:
        way_x, way_y = sin(radians(cut.angle)), cos(radians(cut.angle))
    speed, pull = who.speed * cut.pace, who.tau / BEND
    return at.vx + (way_x * speed - at.vx) * pull, at.vy + (way_y * speed - at.vy) * pull


def strike_ahead(at: Seen, who: Player, cut: Strike, time: float) -> Point:
    """Where a striker is expected after some time: along the diagonal, then flat."""
    way_x, way_y = sin(radians(cut.angle)), cos(radians(cut.angle))
    speed = who.speed * cut.pace
    along = at.vx * way_x + at.vy * way_y
    lag = who.tau * (1.0 - exp(-time / who.tau))
    made = speed * time - (speed - max(along, 0.0)) * lag
    left = max(cut.depth - at.y, 0.0) / way_y
    if made < left:
        return at.x + made * way_x, at.y + made * way_y
    rest = max(time - min(left / max(along, 2.0), time), 0.0)
    lag = who.tau * (1.0 - exp(-rest / who.tau))
    flat = speed * rest - (speed - max(at.vx, 0.0)) * lag
    return at.x + left * way_x + flat, at.y + left * way_y


class Thrower(Player):
    """The handler with the disc, who reads the strike in every tick."""

    def step(self) -> None:
        """Throw when the cue has come and the chance is good enough."""
        model = self.model
        if model.release_at is not None or model.count < model.look.start:
            return
        striker, cut = model.striker, model.cut
        runner = model.frame(self.see(striker))
        wind_up = self.ability.wind_up
        me = model.frame(Seen(self.x, self.y, 0.0, 0.0))

        def takes(time: float) -> float:
            there = strike_ahead(runner, striker, cut, wind_up + time)
            return time_in_the_air(hypot(there[0] - me.x, there[1] - me.y))

        last, image = 0.0, takes(0.0)
        time = image
        for _ in range(SECANTS):
            new, apart = takes(time), time - last
            slope = (new - image) / apart if abs(apart) > 1e-6 else 0.0
            last, image = time, new
            time += (new - time) / (1.0 - min(max(slope, -1.0), STEEPEST))
        place = strike_ahead(runner, striker, cut, wind_up + time)
        distance = hypot(place[0] - me.x, place[1] - me.y)
        aim = model.out(place)
        chance = self.safe(aim, wind_up, time) * self.accurate(distance) * self.past_mark(aim)
        crossed = runner.x + runner.vx * (wind_up - cut.release_offset) >= 0.0
        cue = crossed and runner.vx > 0.5 and place[1] >= cut.depth - 2.0
        if cue and model.since > 0.0 and chance >= self.wanted():
            model.release_at = model.now + wind_up
            model.aim = aim

    def wanted(self) -> float:
        """The chance that is good enough at this count."""
        plan, end = self.model.plan, self.model.scene.field.stall - 0.5
        share = (self.model.count - plan.settle) / (end - plan.settle)
        return plan.picky + (plan.desperate - plan.picky) * min(max(share, 0.0), 1.0)

    def safe(self, aim: Point, wind_up: float, time: float) -> float:
        """The chance that no defender gets to the line or the place first."""
        least = math.inf
        seen = [(self.see(d), d.arm) for d in self.model.defenders if d is not self.model.mark]
        for share in LANE:
            x, y = self.x + (aim[0] - self.x) * share, self.y + (aim[1] - self.y) * share
            carried = min(wind_up + time * share, 0.8)
            for at, arm in seen:
                gap = hypot(x - at.x - at.vx * carried, y - at.y - at.vy * carried) - arm
                least = min(least, gap / CLOSING - 0.25 * time * share)
        least = min(max(least, -5.0), 5.0)
        return 1.0 / (1.0 + exp(-math.pi * least / (sqrt(3.0) * MARGIN_SPREAD)))

    def accurate(self, distance: float) -> float:
        """The chance that a pass goes where it is meant to."""
        spread = max(distance, 1.0) * radians(self.ability.aim_error)
        far = min(max((self.ability.range - distance) / 5.0, 0.0), 1.0)
        return erf(ROOM / (spread * sqrt(2.0))) * far

    def past_mark(self, aim: Point) -> float:
        """The chance to get past the mark on the better of the two sides."""
        at = self.see(self.model.mark)
        dx, dy = aim[0] - self.x, aim[1] - self.y
        far = max(hypot(dx, dy), 1e-9)
        dx, dy = dx / far, dy / far
        best = 0.0
        for side in (-1.0, 1.0):
            across, along = side * self.ability.pivot * 0.75**0.5, self.ability.pivot * 0.5
            x, y = self.x + along * dx + across * dy, self.y + along * dy - across * dx
            lx, ly = aim[0] - x, aim[1] - y
            length = max(hypot(lx, ly), 1e-9)
            lx, ly = lx / length, ly / length
            ahead = (at.x - x) * lx + (at.y - y) * ly
            room = hypot((at.x - x) * ly - (at.y - y) * lx, min(ahead, 0.0))
            room += PASSED * min(max(-ahead / 0.3, 0.0), 1.0)
            share = min(max((STRETCH - room) / (STRETCH - BODY), 0.0), 1.0)
            stop = STOPS * share * share * (3.0 - 2.0 * share)
            bother = (BOTHER - room) / (BOTHER - 0.5 * STRETCH)
            clear = (1.0 - stop) * (1.0 - 0.15 * min(max(bother, 0.0), 1.0))
            strong = (side == self.hand) == (self.ability.strong_side == "forehand")
            skill = 1.0 if strong else 1.0 - 0.3 * (1.0 - 1.0 / self.ability.weak_side)
            best = max(best, clear * skill)
        return best


class Defender(Player):
    """A defender who covers one attacker, seeing late, or marks the thrower."""

    def __init__(self, model: PlainPlay, start: Start, man: Player, cover: Cover) -> None:
        super().__init__(model, start)
        self.man, self.cover = man, cover
        a, draw = start.ability, model.luck.gauss(0.0, 1.0)
        self.first = a.reaction * (1.0 + a.reaction_spread * min(max(draw, -2.5), 2.5))
        self.tracking = min(a.tracking, self.first)
        self.lag = self.first
        self.sees_moving = False
        self.fooled_until = self.last_start = -10.0

    def step(self) -> None:
        """Pay attention, then mark, cover or go for the disc."""
        self.attend()
        model = self.model
        if self is model.mark:
            self.stand_off()
        elif model.disc is not None and model.age >= self.ability.tracking and self.may_stop():
            self.chase(*model.disc.place)
        else:
            self.guard()

    def attend(self) -> None:
        """Close in on somebody seen to move; misread some starts."""
        model, a = self.model, self.ability
        _, _, vx, vy = self.man.recall(self.lag)
        moving = vx * vx + vy * vy > MOVING * MOVING
        if moving and not self.sees_moving:
            again = model.now - self.last_start < RECENT
            if model.luck.random() < (a.misread_again if again else a.misread):
                self.fooled_until = model.now + WRONG_STEP
            self.last_start = model.now
        step = (self.tracking if moving else self.first) - self.lag
        tick = model.tick
        self.lag += min(max(step, -CLOSING_IN * tick), DRIFTING_OFF * tick)
        self.sees_moving = moving

    def stand_off(self) -> None:
        """Mark: stand off the thrower on the break side."""
        at, mark = self.see(self.man), self.model.defence.mark
        x = at.x - self.model.open_side * sin(radians(mark.angle)) * mark.distance
        self.follow(x, at.y + cos(radians(mark.angle)) * mark.distance, at.vx, at.vy)

    def guard(self) -> None:
        """Cover: keep a cushion on the stance's side of the attacker."""
        model, at = self.model, self.see(self.man)
        if self.fooled_until > model.now:
            x, y, vx, vy = self.man.recall(self.lag)
            at = Seen(x - vx * self.lag, y - vy * self.lag, -vx, -vy)
        disc = self.see(model.thrower)
        to_disc, to_open, to_goal = STANCES[self.cover.stance]
        dx, dy = disc.x - at.x, disc.y - at.y
        far = max(hypot(dx, dy), 1e-9)
        lean_x = to_disc * dx / far + to_open * model.open_side
        lean_y = to_disc * dy / far + to_goal
        far = max(hypot(lean_x, lean_y), 1e-9)
        cushion = self.cover.cushion
        self.follow(at.x + cushion * lean_x / far, at.y + cushion * lean_y / far, at.vx, at.vy)

    def hold_up(self) -> None:
        """Not through the man covered: the speed of closing is shared out."""
        man = self.man
        x, y = man.x - self.x, man.y - self.y
        far = hypot(x, y)
        if 0.0 < far < APART:
            x, y = x / far, y / far
            half = 0.5 * min((man.vx - self.vx) * x + (man.vy - self.vy) * y, 0.0)
            man.vx, man.vy = man.vx - half * x, man.vy - half * y
            self.vx, self.vy = self.vx + half * x, self.vy + half * y

    def may_stop(self) -> bool:
        """Whether going for the disc could be worth it."""
        disc = self.model.disc
        assert disc is not None
        far = hypot(disc.place[0] - self.x, disc.place[1] - self.y) - self.arm
        return far < self.speed * (disc.time - self.model.age + 0.3)


class Disc(NamedTuple):
    """A disc in the air: where it comes down to the hands, and after how many seconds."""

    place: Point
    time: float
