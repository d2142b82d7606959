"""One possession, rehearsed many times at once: a Mesa model over an ensemble."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import mesa
import numpy as np

from sim import bodies, contest, marking, motion, rules, throwing
from sim.agents import KINDS
from sim.contest import BLOCKED, CAUGHT, DROPPED, Hands
from sim.flight import FlightTable, load_table
from sim.intent import Intent, Policy
from sim.luck import Purpose
from sim.marking import MarkBody
from sim.perception import Attention, History
from sim.record import TRAPPED_WITHIN, Record
from sim.scene import Scene
from sim.world import FLYING, HELD, OVER, WIND_UP, World

READY_AFTER = 0.30  # s from a catch until the next wind-up may start
READY_BELOW = 3.0  # m/s
BRAKE = 0.20  # s in which a player with the disc wants to stand, grip allowing
REPLAN = 0.10  # s between two looks at where to meet the disc
KEEP_ABOVE = 0.75  # share still played below which the ended are dropped: copying costs too


class Possession(mesa.Model):
    """R rehearsals of one scene, advanced together tick by tick.

    Parameters
    ----------
    scene : the start.
    offence, defence : the policy of each side, or one a player in slot order.
    rehearsals : (R,) int64, the numbers of the rehearsals; they address the luck.
    seed : int. Results depend on (scene, policies, rehearsal number, seed) alone.
    open_side : +1 or -1, the side the force leaves open at the start.
    watch : called after every tick with the model, to keep paths.
    """

    def __init__(
        self,
        scene: Scene,
        offence: Policy | Sequence[Policy],
        defence: Policy | Sequence[Policy],
        rehearsals: np.ndarray,
        seed: int,
        *,
        open_side: int = 1,
        mark_body: MarkBody | None = None,
        hands: Hands | None = None,
        table: FlightTable | None = None,
        watch: Callable[[Possession], None] | None = None,
    ) -> None:
        super().__init__(rng=0)  # Mesa wants a generator; every draw here comes from luck
        self.scene, self.now, self.ticks = scene, 0.0, 0
        self.body = MarkBody() if mark_body is None else mark_body
        self.hand_rules = Hands() if hands is None else hands
        self.table = load_table() if table is None else table
        self.world = World.begin(scene, rehearsals, seed, open_side)
        self.record = Record(scene, rehearsals)
        self.attention = Attention(self.world, scene)
        self.history = History(self.world, scene)
        self._motion = [scene.each(n) for n in ("top_speed", "sprint_time", "grip")]
        self._new_watch: list[tuple[np.ndarray, int, np.ndarray]] = []
        self._new_open: list[tuple[np.ndarray, np.ndarray]] = []
        self._watch = watch
        self.agent_steps = 0
        sides = ((scene.attackers, offence), (scene.defenders, defence))
        slot = 0
        for players, policy in sides:
            each = policy if isinstance(policy, Sequence) else [policy] * len(players)
            for player, one in zip(players, each, strict=True):
                KINDS[player.role](self, slot, one)
                slot += 1
        rules.run_count(self.world, scene, 0.0)
        if scene.stall > 0:
            self.world.counting[:] = True
            self.world.count_start[:] = -(scene.stall - 1.0) * scene.pace

    def run(self) -> Record:
        """Play every rehearsal to its end."""
        while (self.world.phase != OVER).any():
            self.step()
        return self.record

    def step(self) -> None:
        """One tick: see, decide, release, run, fly, judge."""
        world, scene = self.world, self.scene
        self.history.push(world)
        self.attention.update(world, self.history, self.now, scene.tick)
        rules.run_count(world, scene, self.now)
        self.agents.do("step")
        self.agent_steps += len(self.agents) * len(world)
        self._announce()
        self._go_for_the_disc()
        self._release()
        if self._watch is not None:
            self._watch(self)
        self._move_and_fly()
        self.ticks += 1
        self.now = self.ticks * scene.tick
        self._judge_time()
        self._forget_the_ended()

    def take(self, slot: int, rows: np.ndarray, intent: Intent) -> None:
        """Accept what the player in `slot` wants to do in the rehearsals `rows`."""
        world = self.world
        everywhere = len(rows) == len(world)
        world.want[slice(None) if everywhere else rows, slot] = intent.run
        if intent.watch is not None:
            self._new_watch.append((rows, slot, np.asarray(intent.watch)))
        if intent.open_side is not None:
            self._new_open.append((rows, np.asarray(intent.open_side)))
        if intent.throw is not None:
            self._wind_up(slot, rows, intent)

    def _wind_up(self, slot: int, rows: np.ndarray, intent: Intent) -> None:
        world, throw = self.world, intent.throw
        if throw is None:
            return
        velocity = world.vel[rows, slot]
        speed2 = velocity[:, 0] * velocity[:, 0] + velocity[:, 1] * velocity[:, 1]
        ready = (self.now - world.held_since[rows] >= READY_AFTER - 1e-9) & (
            speed2 < READY_BELOW**2
        )
        go = np.flatnonzero(throw.go & ready & (world.holder[rows] == slot))
        row = rows[go]
        world.phase[row] = WIND_UP
        world.thrower[row] = slot
        world.receiver[row] = throw.to[go]
        world.aim[row] = throw.aim[go]
        world.kind[row], world.shape[row] = throw.kind[go], throw.shape[go]
        world.over[row], world.look[row] = throw.over[go], throw.look[go]
        world.estimate[row] = throw.estimate[go]
        world.release_at[row] = self.now + self.scene.each("wind_up")[slot]
        world.want[row, slot] = 0.0

    def _announce(self) -> None:
        """Let calls and a changed force be heard once everybody has decided."""
        world = self.world
        for rows, slot, who in self._new_watch:
            world.watch[rows, slot] = who
        self._new_watch.clear()
        for rows, side in self._new_open:
            changed = world.open_side[rows] != side
            row = rows[changed]
            world.open_was[row] = world.open_side[row]
            world.open_side[row] = side[changed]
            world.open_since[row] = self.now
        self._new_open.clear()

    def _go_for_the_disc(self) -> None:
        world, scene = self.world, self.scene
        flying = np.flatnonzero(world.phase == FLYING)
        if not flying.size:
            return
        every = max(1, round(REPLAN / scene.tick))
        age = np.rint((self.now - world.release_at[flying]) / scene.tick).astype(np.int64)
        due = flying[age % every == 0]
        if due.size:
            contest.choose_meetings(world, scene, self.hand_rules, due, self.now)
        contest.chase(world, scene, flying, self.now)

    def _release(self) -> None:
        world = self.world
        due = (world.phase == WIND_UP) & (world.release_at <= self.now + 1e-9)
        rows = np.flatnonzero(due)
        if not rows.size:
            return
        stopped = throwing.release(world, self.scene, self.table, self.body, rows, self.now)
        world.phase[rows] = FLYING
        self.record.throw(world, rows, self.now)
        hit = rows[stopped]
        self._end(hit, "blocked by the mark", world.knots[hit, 0, :2], self.now, world.marker[hit])

    def _move_and_fly(self) -> None:
        world, scene, now = self.world, self.scene, self.now
        flying = np.flatnonzero(world.phase == FLYING)
        before = world.pos[flying]
        self._stop_holder()
        speed, tau, grip = self._motion
        want = motion.limit(world.want, speed)
        world.pos, world.vel = motion.advance(world.pos, world.vel, want, tau, grip, scene.tick)
        bodies.hold_up(world, len(scene.attackers))
        rules.stay_in(world, scene)
        if not flying.size:
            return
        age = now - world.release_at[flying]
        disc_before = world.flown(flying, age)
        disc_after = world.flown(flying, age + scene.tick)
        verdict = contest.resolve(
            world, scene, self.hand_rules, flying, before, disc_before, disc_after, age + scene.tick
        )
        self._judge_hands(verdict)
        self._judge_ground(flying, disc_after, age + scene.tick)

    def _stop_holder(self) -> None:
        """11.2: the one with the disc comes to a stop as soon as possible, then pivots."""
        world = self.world
        rows = np.flatnonzero(world.phase != FLYING)
        who = world.holder[rows]
        brake = self._motion[1][who] / BRAKE
        world.want[rows, who] = world.vel[rows, who] * (1.0 - brake)[:, None]

    def _judge_hands(self, verdict: contest.Verdict) -> None:
        world = self.world
        when = self.now + self.scene.tick
        self.record.flight(world, verdict.rows, when - world.release_at[verdict.rows])
        place = verdict.place[:, :2]
        for what, word in ((BLOCKED, "blocked"), (DROPPED, "dropped")):
            of = verdict.what == what
            stopper = verdict.who[of] if what == BLOCKED else None
            self._end(verdict.rows[of], word, place[of], when, stopper)
        of = verdict.what == CAUGHT
        self._catch(verdict.rows[of], verdict.who[of])

    def _judge_ground(self, flying: np.ndarray, disc: np.ndarray, age: np.ndarray) -> None:
        world, field = self.world, self.scene.field
        down = (disc[:, 2] <= 0.02) | (age >= world.knot_step[flying] * (len(world.knots[0]) - 1))
        down &= world.phase[flying] == FLYING
        rows, place = flying[down], disc[down, :2]
        inside = field.in_bounds(place[:, 0], place[:, 1])
        self.record.flight(world, rows, age[down])
        when = self.now + self.scene.tick
        self._end(rows[inside], "missed", place[inside], when)
        self._end(rows[~inside], "out of bounds", place[~inside], when)

    def _catch(self, rows: np.ndarray, who: np.ndarray) -> None:
        """12.1, 14.1: a catch inside the field is a completion, inside the end zone a goal."""
        world, field = self.world, self.scene.field
        place = world.pos[rows, who]
        inside = field.in_bounds(place[:, 0], place[:, 1])
        goal = inside & field.in_end_zone(place[:, 0], place[:, 1])
        when = self.now + self.scene.tick
        self._end(rows[~inside], "out of bounds", place[~inside], when)
        self._end(rows[goal], "goal", place[goal], when)
        plain = inside & ~goal
        rows, who = rows[plain], who[plain]
        world.completions[rows] += 1
        if self.scene.until == "throw":
            self._end(rows, "completed", place[plain], when)
            return
        world.phase[rows] = HELD
        world.holder[rows] = who
        world.held_since[rows] = when
        world.counting[rows] = False
        world.marker[rows] = -1
        world.receiver[rows] = -1
        world.look[rows] = -1
        world.plays[rows] = False
        world.spot[rows] = world.pos[rows]
        world.timing[rows] = world.luck.take(rows).normal(
            Purpose.TIMING,
            occasion=world.completions[rows],
            slot=np.arange(len(self.scene.players))[None, :],
        )

    def _judge_time(self) -> None:
        world, scene = self.world, self.scene
        rows = np.arange(len(world))
        place = world.pos[rows, world.holder]
        held = (world.phase == HELD) | (world.phase == WIND_UP)
        near = np.abs(place[:, 0]) > scene.field.half_width - TRAPPED_WITHIN
        world.trapped_for += np.where(held & near, scene.tick, 0.0)
        out = np.flatnonzero(rules.stalled(world, scene, self.now))
        self._end(out, "stalled", place[out], self.now)
        if scene.until == "reset":
            # the count has begun again: the reset has worked
            again = (world.phase == HELD) & (world.completions >= scene.resets) & world.counting
            rows = np.flatnonzero(again)
            self._end(rows, "completed", place[rows], self.now)
        if self.now >= scene.time_cap - 1e-9:
            rows = np.flatnonzero(world.phase != OVER)
            self._end(rows, "time cap", world.disc(self.now)[rows, :2], self.now)

    def _end(
        self,
        rows: np.ndarray,
        outcome: str,
        place: np.ndarray,
        when: float,
        stopper: np.ndarray | None = None,
    ) -> None:
        if rows.size:
            self.record.end(self.world, rows, outcome, place, when, stopper)
            self.world.phase[rows] = OVER

    def _forget_the_ended(self) -> None:
        """Drop ended rehearsals, so that cost follows what is still alive."""
        alive = self.world.phase != OVER
        index = np.flatnonzero(alive)
        if len(index) > KEEP_ABOVE * len(alive) or not len(index):
            return
        self.world.keep(index)
        self.history.keep(index)
        self.attention.keep(index)
        for agent in self.agents:
            agent.keep(index)

    def mark_reach(self) -> tuple[np.ndarray, np.ndarray]:
        """Bearings (rad) that the mark stops in each rehearsal, lowest and highest, (R,)."""
        world = self.world
        rows = np.arange(len(world))
        thrower, mark = world.pos[rows, world.holder], world.pos[rows, world.marker]
        return marking.covered_sector(thrower, mark, self.body)
