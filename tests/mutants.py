"""Break `sim` in one place at a time, and say which test notices: python -m tests.mutants

Each change of `tests/mutants.toml` is made in a copy of the tree, never in place. The tests of its
own module run first, then the quick ones of tests/sim and tests/outside, those that compile the game
last, then the slow ones; the first failure ends it. A change that no test notices has lived; one whose
tests use up the processor time given is told as such. Not a part of CI: a change that lives takes
some minutes.
"""

from __future__ import annotations

import argparse
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
COPIED = ("sim", "policies", "experiments", "tests", "pyproject.toml")
OUT_OF_TIME = "(out of time)"
# Beside tests/sim/test_<module>.py, where a change of a module shows first.
NEAR = {
    "motion": ("outside/test_running",),
    "reach": ("sim/test_motion", "outside/test_running"),
    "perception": ("outside/test_reactions",),
    "play": ("sim/test_rules", "sim/test_perception", "outside/test_reactions"),
    "flight": ("sim/test_flight_physics", "outside/test_disc_flight"),
    "lookup": ("sim/test_throwing", "sim/test_flight_lookup"),
}
LAST = ("test_flight_lookup", "test_compiling", "test_ensemble")  # they compile
LEFT_OUT = ("test_model_text",)  # compares a text with the settings, not the model with the world


@dataclass(frozen=True)
class Change:
    """One small change to a file of `sim`."""

    name: str
    file: str
    old: str
    new: str
    breaks: str


def changes() -> tuple[Change, ...]:
    """The changes of the file; refused unless the old text of each is found exactly once."""
    found = tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))
    made = tuple(Change(name, **rest) for name, rest in found.items())
    wrong = [
        f"{change.name}: the old text stands {times} times in sim/{change.file}"
        for change in made
        if (times := (ROOT / "sim" / change.file).read_text("utf-8").count(change.old)) != 1
    ]
    if wrong:
        raise SystemExit("\n".join(wrong))
    return made


def test_files(change: Change) -> tuple[list[str], list[str]]:
    """The test files near a change, and the others in the order in which they are to run."""
    path = Path(change.file)
    near = [f"sim/test_{path.stem}", *NEAR.get(path.stem, ()), *NEAR.get(path.parts[0], ())]
    every = sorted((ROOT / "tests" / "sim").glob("test_*.py"))
    every += sorted((ROOT / "tests" / "outside").glob("test_*.py"))
    every = [f for f in every if f.stem not in LEFT_OUT]
    every.sort(key=lambda file: file.stem in LAST)
    first = [f"tests/{name}.py" for name in near]
    rest = [str(file.relative_to(ROOT)) for file in every]
    there = list(dict.fromkeys(name for name in first if name in rest))
    return there, [name for name in rest if name not in there]


def first_failure(tree: Path, files: list[str], marks: str, seconds: float) -> str:
    """The first test that fails in a tree; empty if all pass, OUT_OF_TIME if it is over first.

    The time is that of the processor, s, so that other work on the machine decides nothing.
    """
    # No module under test is the one beside this script, and no compiled code outlives its tree.
    environment = os.environ | {
        "PYTHONPATH": str(tree),
        "STALLWISE_CACHE": str(tree / "cache"),
        "PYTHONDONTWRITEBYTECODE": "1",
        "MPLBACKEND": "Agg",
    }
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "--tb=no",
        "-rfE",
        "-p",
        "no:cacheprovider",
    ]
    most = max(int(seconds), 1)
    done = subprocess.run(
        [*command, "-m", marks, *files],
        cwd=tree,
        env=environment,
        capture_output=True,
        text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5)),
    )
    if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        return OUT_OF_TIME
    if done.returncode in (0, 5):  # 5: no test has these marks
        return ""
    found = re.search(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)
    if found is None:
        raise RuntimeError(
            f"the tests could not be run:\n{done.stdout[-2000:]}{done.stderr[-2000:]}"
        )
    return found.group(1).removeprefix("tests/")


def notice(change: Change | None, seconds: float, quick: bool) -> tuple[str, float]:
    """The test that notices a change, "" if it lives, and the time it took, s."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mutant-") as folder:
        tree = Path(folder)
        for name in COPIED:
            if (ROOT / name).is_dir():
                shutil.copytree(
                    ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__")
                )
            else:
                shutil.copy(ROOT / name, tree / name)
        if change is not None:
            file = tree / "sim" / change.file
            file.write_text(file.read_text("utf-8").replace(change.old, change.new), "utf-8")
        near, others = test_files(change or Change("", "motion.py", "", "", ""))
        found = ""
        every = "not slow" if quick else "slow or not slow"
        for marks, files in ((every, near), ("not slow", others), ("slow", others)):
            if not found and files and not (quick and marks == "slow"):
                found = first_failure(tree, files, marks, seconds)
    return found, time.monotonic() - began


def run(tried: tuple[Change, ...], seconds: float, quick: bool, jobs: int) -> Iterator[str]:
    """A line for each change as it is done, and a last one with the total."""
    noticed = undecided = 0
    with ThreadPoolExecutor(jobs) as pool:
        for change, (test, took) in zip(
            tried, pool.map(lambda c: notice(c, seconds, quick), tried), strict=True
        ):
            undecided += test == OUT_OF_TIME
            noticed += test not in ("", OUT_OF_TIME)
            yield f"{change.name:22} {took:5.0f} s  {test or 'LIVES: ' + change.breaks}"
    yield f"{noticed} of {len(tried)} noticed, {undecided} undecided"


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", action="append", metavar="NAME", help="only this one; repeatable")
    parser.add_argument("--jobs", type=int, default=1, help="changes tried at a time")
    parser.add_argument("--seconds", type=float, default=900.0, help="most processor time")
    parser.add_argument("--quick", action="store_true", help="without the tests marked slow")
    parser.add_argument(
        "--unchanged", action="store_true", help="first see that all pass unchanged"
    )
    parser.add_argument("--list", action="store_true", help="print the changes and what they break")
    asked = parser.parse_args()
    every = changes()
    unknown = set(asked.only or ()) - {change.name for change in every}
    if unknown:
        parser.error(f"no change named {', '.join(sorted(unknown))}")
    tried = tuple(c for c in every if not asked.only or c.name in asked.only)
    if asked.list:
        for change in tried:
            print(f"{change.name:22} sim/{change.file:24} {change.breaks}")
        return
    if asked.unchanged and (failing := notice(None, asked.seconds, asked.quick)[0]):
        raise SystemExit(f"without any change {failing} fails")
    for line in run(tried, asked.seconds, asked.quick, asked.jobs):
        print(line, flush=True)


if __name__ == "__main__":
    main()
