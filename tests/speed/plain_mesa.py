"""An ordinary Mesa model of one play: one agent a player, plain numbers, one play at a time.

It is what a good engineer would write who never heard of ensembles, and the yardstick for them: the
same scene, tick and motion, a delayed cover and a thrower's read of the strike. It plays a simpler
game than `sim` and `policies` do now, without calls, hips, bodies in the way or a real flight, which
makes it faster, not slower.
"""

from __future__ import annotations

import random
from math import cos, hypot, radians, sin

import mesa

from policies.cuts import Strike
from policies.looks import Look, Looks
from policies.man import Man
from sim.scene import Scene
from tests.speed.plain_agents import (
    Defender,
    Disc,
    Player,
    Point,
    Seen,
    Striker,
    Thrower,
    Waiter,
    time_in_the_air,
)

JITTER = 0.12  # s, spread of the moment a cutter goes on a count that all have heard


class PlainPlay(mesa.Model):
    """One rehearsal of a strike against man cover: the first throw, and no further.

    Parameters
    ----------
    scene, plan, defence, open_side : what is played, as `experiments.situations.lineup` has it; the
        plan's first look must be a strike.
    seed : of an ordinary generator; two plays share no luck with each other or with `sim.luck`.
    late : s by which the striker goes after the count; drawn if None.
    """

    def __init__(
        self,
        scene: Scene,
        plan: Looks,
        defence: Man,
        open_side: int,
        seed: int,
        late: float | None = None,
    ) -> None:
        super().__init__(rng=0)
        self.luck = random.Random(seed)
        self.scene, self.plan, self.defence, self.open_side = scene, plan, defence, open_side
        self.tick, self.now, self.ticks = scene.tick, 0.0, 0
        self.look: Look = plan.looks[0]
        cut = self.look.cut
        if not isinstance(cut, Strike):
            raise ValueError("the plain model plays a strike and nothing else")
        self.cut, self.count, self.since = cut, scene.stall, -1.0
        self.late = JITTER * abs(self.luck.gauss(0.0, 1.0)) if late is None else late
        self.release_at: float | None = None
        self.aim: Point = (0.0, 0.0)
        self.disc: Disc | None = None
        self.outcome = ""
        attackers: list[Player] = []
        for slot, start in enumerate(scene.attackers):
            kind = Striker if start.name == self.look.who else Waiter
            attackers.append((Thrower if slot == scene.holder else kind)(self, start))
        self.thrower = attackers[scene.holder]
        self.striker = next(p for p in attackers if isinstance(p, Striker))
        self.defenders = []
        for start in scene.defenders:
            handler = scene.attackers[start.guards].role == "handler"
            cover = defence.handlers if handler else defence.cutters
            self.defenders.append(Defender(self, start, attackers[start.guards], cover))
        self.mark = next(d for d in self.defenders if d.man is self.thrower)

    def run(self) -> str:
        """Play to the end and say how it ended."""
        while not self.outcome:
            self.step()
        return self.outcome

    @property
    def age(self) -> float:
        """Seconds since the release."""
        assert self.release_at is not None
        return self.now - self.release_at

    def step(self) -> None:
        """One tick: see, decide, release, run, judge."""
        self.agents.do("remember")
        self.count = self.scene.stall + self.now / self.scene.pace
        self.since = (self.count - self.look.start) * self.scene.pace - self.late
        self.agents.do("step")
        if self.disc is None and self.release_at is not None and self.age >= -1e-9:
            self.release()
        self.agents.do("advance")
        for defender in self.defenders:
            defender.hold_up()
        self.ticks += 1
        self.now = self.ticks * self.tick
        self.judge()

    def release(self) -> None:
        """Let the disc go, off the aim by the thrower's errors."""
        ability, at = self.thrower.ability, self.thrower
        dx, dy = self.aim[0] - at.x, self.aim[1] - at.y
        turn = radians(ability.aim_error) * self.luck.gauss(0.0, 1.0)
        pace = 1.0 + ability.pace_error * self.luck.gauss(0.0, 1.0)
        x = pace * (dx * cos(turn) + dy * sin(turn))
        y = pace * (dy * cos(turn) - dx * sin(turn))
        self.disc = Disc((at.x + x, at.y + y), time_in_the_air(hypot(x, y)))

    def judge(self) -> None:
        """The nearest hand has the disc when it comes down; a disc held too long is stalled."""
        if self.disc is None:
            if self.count >= self.scene.field.stall:
                self.outcome = "stalled"
        elif self.age >= self.disc.time:
            x, y = self.disc.place
            striker = hypot(self.striker.x - x, self.striker.y - y) - self.striker.arm
            rival = min(hypot(d.x - x, d.y - y) - d.arm for d in self.defenders)
            if rival <= min(striker, 0.0):
                self.outcome = "blocked"
            elif striker <= self.striker.ability.dive:
                self.outcome = "completed"
            else:
                self.outcome = "missed"

    def frame(self, at: Seen) -> Seen:
        """A state seen from the disc: to the open side, and downfield."""
        side = self.open_side
        return Seen((at.x - self.thrower.x) * side, at.y - self.thrower.y, at.vx * side, at.vy)

    def out(self, place: Point) -> Point:
        """A place seen from the disc, on the field."""
        return place[0] * self.open_side + self.thrower.x, place[1] + self.thrower.y
