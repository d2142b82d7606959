"""Break `sim` in one place at a time and see which tests notice: python -m tests.mutants [NAME ...].

Each mutant is one small change (a sign, a half, a dropped term). It is made in a copy of the tree,
never in place, and refused if its text is not found exactly once. The tests nearest to it are run
first, then the rest of tests/sim, then tests/outside; the first that fails has noticed. What passes
all of them, or outlasts the time, has lived. Not part of CI: some minutes of two cores.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
COPIED = ("sim", "policies", "experiments", "tests", "pyproject.toml")
LONGEST = 900  # s for each group of tests


@dataclass(frozen=True)
class Mutant:
    """A change of one text in one file of `sim`, and the tests nearest to it (folders or files)."""

    name: str
    file: str
    old: str
    new: str
    near: tuple[str, ...]


FLIGHT = ("tests/sim/test_flight_physics.py", "tests/outside/test_disc_flight.py")
LOOKUP = ("tests/sim/test_flight_lookup.py",)
THROW = ("tests/sim/test_throwing.py",)
CONTEST = ("tests/sim/test_contest.py",)
SEEING = ("tests/sim/test_perception.py", "tests/outside/test_reactions.py")
RUNNING = ("tests/sim/test_motion.py", "tests/outside/test_running.py")
BODIES = ("tests/sim/test_bodies.py",)
MARKING = ("tests/sim/test_marking.py",)
RULES = ("tests/sim/test_rules.py", "tests/outside/test_rules_field.py")
LUCK = ("tests/sim/test_luck.py",)

MUTANTS = (
    # the disc
    Mutant(
        "roll damping with the other sign", "flight/dynamics.py",
        "roll = k * (coefficients.roll_damping * rolling",
        "roll = k * (-coefficients.roll_damping * rolling",
        FLIGHT,
    ),
    Mutant(
        "no slope of the pitching moment", "flight/coefficients.py",
        "self.moment_0 + self.moment_slope * held", "self.moment_0 + 0.0 * held", FLIGHT,
    ),
    Mutant(
        "half the lift", "flight/dynamics.py",
        "lift = press * coefficients.lift(angle)", "lift = 0.5 * press * coefficients.lift(angle)",
        FLIGHT,
    ),
    Mutant(
        "drag that pushes", "flight/dynamics.py",
        "-(lift * un / air + drag)", "-(lift * un / air - drag)", FLIGHT,
    ),
    Mutant("gravity upward", "flight/dynamics.py", "uz - disc.gravity", "uz + disc.gravity", FLIGHT),
    Mutant(
        "the wind from the other way", "flight/dynamics.py",
        "ux, uy, uz = vx - wind[0], vy - wind[1], vz", "ux, uy, uz = vx + wind[0], vy + wind[1], vz",
        FLIGHT,
    ),
    Mutant(
        "precession the wrong way round", "flight/dynamics.py",
        "rate[6] = wy * nz - wz * ny", "rate[6] = wz * ny - wy * nz", FLIGHT,
    ),
    Mutant(
        "spin that does not fade", "flight/dynamics.py",
        "turn = k * coefficients.spin_damping * spin", "turn = 0.0 * spin", FLIGHT,
    ),
    # the table of flights
    Mutant(
        "no second order of a speed error", "flight/lookup.py",
        "weights[5] = s * s", "weights[5] = 0.0", LOOKUP,
    ),
    Mutant(
        "a pitch error upside down", "flight/lookup.py", "weights[2] = p\n", "weights[2] = -p\n", LOOKUP
    ),
    Mutant(
        "a spin error without its inverse", "flight/lookup.py",
        "q = (1.0 / (1.0 + d_spin) - 1.0) / SPIN_STEP", "q = d_spin / SPIN_STEP", LOOKUP,
    ),
    Mutant(
        "times of the nearer node only", "flight/lookup.py",
        "total += weight * ((1.0 - c) * low + c * high)", "total += weight * low", LOOKUP,
    ),
    # the throw
    Mutant(
        "head and tail wind swapped", "throwing.py",
        "along = ground.wind_x * dir_x + ground.wind_y * dir_y",
        "along = -(ground.wind_x * dir_x + ground.wind_y * dir_y)", THROW,
    ),
    Mutant(
        "the cross wind from the other side", "throwing.py",
        "across = (ground.wind_x * dir_y - ground.wind_y * dir_x) * hand",
        "across = (ground.wind_y * dir_x - ground.wind_x * dir_y) * hand", THROW,
    ),
    Mutant(
        "off-balance dropped", "throwing.py", "(1.0 + law.off_balance * speed)", "1.0", THROW,
    ),
    Mutant("the weak side as good", "throwing.py", "grown *= body.weak_side", "grown *= 1.0", THROW),
    Mutant(
        "the mark does not hurry", "throwing.py",
        "grown *= 1.0 + g.laws.mark.hurry * bother", "grown *= 1.0 + 0.0 * bother", THROW,
    ),
    Mutant("no slips", "throwing.py", "grown *= law.slip_size", "grown *= 1.0", THROW),
    Mutant(
        "a pivot across only", "throwing.py", "pivot * 0.8660254037844386, pivot * 0.5",
        "pivot * 0.8660254037844386, 0.0", THROW,
    ),
    Mutant(
        "half the error of heading", "throwing.py",
        "heading = side * body.aim_error", "heading = 0.5 * side * body.aim_error", THROW,
    ),
    # the mark
    Mutant(
        "hands without a width", "marking.py", "max(abs(right - lean) - SPREAD, 0.0)",
        "abs(right - lean)", MARKING,
    ),
    Mutant(
        "hands at every height", "marking.py", "above = max(height - high, low - height, 0.0)",
        "above = 0.0", MARKING,
    ),
    Mutant(
        "arms that go the other way", "marking.py",
        "out = ((seen.x - thrower.x) * dy - (seen.y - thrower.y) * dx) / far",
        "out = ((seen.y - thrower.y) * dx - (seen.x - thrower.x) * dy) / far", MARKING,
    ),
    Mutant(
        "nobody bites on a fake", "marking.py", "play.mark) < law.bite", "play.mark) < 0.0", MARKING,
    ),
    # eyes
    Mutant(
        "flights are guessed exactly", "contest.py",
        "blur = eyes.flight_error * left", "blur = 0.0 * left", CONTEST,
    ),
    Mutant(
        "the present is seen", "perception.py", "back = lag / g.ground.tick", "back = 0.0", SEEING,
    ),
    Mutant(
        "nobody is carried on", "perception.py", "seen.x += seen.vx * lag", "seen.x += 0.0", SEEING,
    ),
    Mutant(
        "nobody is fooled", "perception.py",
        "me.fooled_until = g.play.now + eyes.wrong_step", "me.fooled_until = g.play.now", SEEING,
    ),
    Mutant(
        "an unseen start is answered at once", "perception.py",
        "goal = me.tracking if moving == 1 else me.first", "goal = me.tracking", SEEING,
    ),
    Mutant(
        "eyes on the man see the throw as soon", "perception.py",
        "return me.tracking + g.laws.eyes.disc_unseen", "return me.tracking", CONTEST + SEEING,
    ),
    # the contest
    Mutant(
        "stretched reach ignores height", "contest.py",
        "jumping = easy_reach(height, arm, standing + jump, shoulder)", "jumping = arm", CONTEST,
    ),
    Mutant(
        "easy reach ignores height", "contest.py",
        "return arm * math.sqrt(1.0 - above * above)", "return arm", CONTEST,
    ),
    Mutant(
        "defenders are never late to play", "contest.py",
        "me.plays = int(late < (g.laws.hands.plays_if_late if own else 1e-9))", "me.plays = 1",
        CONTEST,
    ),
    Mutant(
        "the first hand always has it", "contest.py",
        "return other, other_gap < 0.15, other_gap <= 1e-9", "return who, other_gap < 0.15, easily",
        CONTEST,
    ),
    Mutant(
        "crowds do not matter", "contest.py", "holds *= 1.0 - hands.crowd", "holds *= 1.0", CONTEST,
    ),
    Mutant(
        "low discs are easy", "contest.py", "holds *= 1.0 - hands.knee * low", "holds *= 1.0", CONTEST,
    ),
    Mutant(
        "nobody lays out", "contest.py", "bid = (1.0 - short / body.dive) * hands.touch_stretched",
        "bid = 0.0", CONTEST,
    ),
    # running
    Mutant(
        "twice the grip", "motion.py", "capped = min(max(gap - grip * tau, 0.0) / grip, t)",
        "capped = 0.5 * min(max(gap - grip * tau, 0.0) / grip, t)", RUNNING,
    ),
    Mutant(
        "no lag in the way", "motion.py", "x + (ux * dt - wx * lost)", "x + ux * dt", RUNNING,
    ),
    Mutant(
        "arms do not reach", "reach.py", "short = far - vmax * (t - lag) - radius",
        "short = far - vmax * (t - lag)", RUNNING,
    ),
    Mutant(
        "backward as fast as forward", "motion.py",
        "return vmax * (1.0 - (1.0 - backward) * share)", "return vmax", RUNNING,
    ),
    Mutant(
        "hips turn at once", "motion.py", "most = rate * dt\n", "most = 1e9\n", RUNNING,
    ),
    Mutant(
        "bodies pass through", "bodies.py", "if share <= 0.0:", "if share <= 9.0:", BODIES,
    ),
    Mutant(
        "nobody goes round", "bodies.py", "if abs(across) < room:", "if abs(across) < 0.0:", BODIES,
    ),
    # the rules
    Mutant(
        "a count that starts at nought", "rules.py", "return 1.0 + (play.now", "return 0.0 + (play.now",
        RULES,
    ),
    Mutant(
        "a new marker goes on counting", "rules.py", "(play.counting == 0 or not same)",
        "play.counting == 0", RULES,
    ),
    Mutant(
        "the line is in", "rules.py", "return abs(x) < g.ground.half_width",
        "return abs(x) <= g.ground.half_width", RULES,
    ),
    Mutant(
        "the goal line is a goal", "rules.py", "y > g.ground.goal_line", "y >= g.ground.goal_line",
        RULES,
    ),
    # luck
    Mutant("nine rounds", "luck.py", "for _ in range(_ROUNDS):", "for _ in range(_ROUNDS - 1):", LUCK),
    Mutant(
        "everybody has the same luck", "luck.py", "int(slot) | (purpose << 16)", "(purpose << 16)", LUCK,
    ),
)  # fmt: skip


def broken(mutant: Mutant, folder: Path) -> None:
    """A copy of the tree with the change made.

    Raises
    ------
    SystemExit : the text is not found exactly once.
    """
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / name)
    path = folder / "sim" / mutant.file
    text = path.read_text("utf-8")
    if text.count(mutant.old) != 1:
        found = text.count(mutant.old)
        raise SystemExit(f"{mutant.name}: its text is found {found} times in {path.name}, not once")
    path.write_text(text.replace(mutant.old, mutant.new), "utf-8")


def noticed(mutant: Mutant) -> str:
    """The test that notices a mutant, "" if it lives."""
    rest = [f"--ignore={name}" for name in mutant.near]
    groups = (list(mutant.near), ["tests/sim", *rest], ["tests/outside", "-m", "not slow", *rest])
    with tempfile.TemporaryDirectory(prefix="mutant-") as name:
        folder = Path(name)
        broken(mutant, folder)
        env = {**os.environ, "PYTHONPATH": name, "STALLWISE_CACHE": f"{name}/kept"}
        env |= {"OMP_NUM_THREADS": "1", "MPLBACKEND": "Agg"}
        for group in groups:
            command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *group]
            try:
                done = subprocess.run(
                    command, cwd=folder, env=env, capture_output=True, text=True, timeout=LONGEST
                )
            except subprocess.TimeoutExpired:
                continue
            failed = [
                line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))
            ]
            if done.returncode != 0:
                return failed[0].split(" - ")[0] if failed else "the tests cannot be run"
    return ""


def main(arguments: Iterable[str] | None = None) -> None:
    """Try the mutants named, all by default, and print what noticed each."""
    parser = argparse.ArgumentParser(description="Which tests notice a change of sim?")
    parser.add_argument("names", nargs="*", help="parts of the names of mutants; all by default")
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args(None if arguments is None else list(arguments))
    chosen = [m for m in MUTANTS if not asked.names or any(part in m.name for part in asked.names)]
    lived = 0
    with ThreadPoolExecutor(asked.jobs) as pool:
        for mutant, test in zip(chosen, pool.map(noticed, chosen), strict=True):
            lived += not test
            print(f"{mutant.name:44s} {test or 'LIVED'}", flush=True)
    print(f"{len(chosen) - lived} of {len(chosen)} noticed")


if __name__ == "__main__":
    main()
