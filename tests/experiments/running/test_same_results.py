"""Results depend on (situation, n, seed) alone, and the mirror image plays the mirror image."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from experiments import load, rehearse, shipped
from experiments.running.batch import rehearse_rows, rehearse_tape
from experiments.running.engine import Engine
from experiments.running.runner import run
from experiments.running.tasks import Task
from experiments.statistics.tables import data_frame
from sim import machine_code

ROOT = Path(__file__).parents[3]

N = 24
SAME_IN_THE_MIRROR = [
    "rehearsal",
    "outcome",
    "completed",
    "throws",
    "look",
    "thrower",
    "receiver",
    "stopper",
    "stall_at_release",
    "release_s",
    "estimate",
    "distance_m",
    "flight_s",
    "separation_m",
    "start_y_m",
    "end_y_m",
    "gain_m",
    "off_centre_m",
    "trapped",
    "trapped_s",
    "duration_s",
    "aim_y_m",
    "catch_chance",
]
FLIPPED_IN_THE_MIRROR = ["start_x_m", "end_x_m", "aim_x_m"]


# Every plan of every situation; a few of them for a quick look.
QUICK = {"middle-reset-strike", "cup-over", "dump-swing-poach-swing-dump"}
PLANS = [
    pytest.param(
        name, plan, id=f"{name}-{plan}", marks=[pytest.mark.slow] * (f"{name}-{plan}" not in QUICK)
    )
    for name in shipped()
    for plan in load(name).plans
]


@pytest.mark.parametrize(("ensemble", "some"), [(1, 5), (7, N), (N, N)])
def test_the_size_of_an_ensemble_does_not_matter(ensemble, some):
    situation = load("middle-reset")
    whole = rehearse_rows(situation, np.arange(N), 7)
    parts = [
        rehearse_rows(situation, np.arange(first, min(first + ensemble, some)), 7)
        for first in range(0, some, ensemble)
    ]
    pd.testing.assert_frame_equal(
        pd.concat(parts, ignore_index=True), whole[:some], check_exact=True
    )


def test_the_order_of_rehearsals_does_not_matter():
    situation = load("middle-reset")
    ids = np.arange(N)
    whole = rehearse_rows(situation, ids, 7)
    back = rehearse_rows(situation, ids[::-1].copy(), 7)
    back = back.sort_values("rehearsal").reset_index(drop=True)
    pd.testing.assert_frame_equal(back, whole, check_exact=True)


@pytest.mark.parametrize(("name", "plan"), PLANS)
def test_the_mirrored_situation_plays_the_mirror_image_bit_for_bit(name, plan):
    situation = load(name).with_setting("plan", plan)
    # The first two or three throws of a possession have all there is in it.
    situation = situation.with_setting("time_cap", min(situation.time_cap, 12.0))
    ids = np.arange(N)
    here = rehearse_rows(situation, ids, 7)
    there = rehearse_rows(situation.mirrored(), ids, 7)
    pd.testing.assert_frame_equal(
        here[SAME_IN_THE_MIRROR], there[SAME_IN_THE_MIRROR], check_exact=True
    )
    for column in FLIPPED_IN_THE_MIRROR:
        np.testing.assert_array_equal(here[column], -there[column])


def test_another_seed_gives_another_table():
    situation = load("middle-reset")
    ids = np.arange(N)
    assert not rehearse_rows(situation, ids, 7).equals(rehearse_rows(situation, ids, 8))


@pytest.mark.parametrize("name", ["middle-reset", "cup", "possession"])
def test_a_tape_is_the_rehearsal_that_gave_the_row(name):
    situation = load(name)
    rows = rehearse_rows(situation, np.arange(N), 7)
    for rehearsal in (0, 5, N - 1):
        tape = rehearse_tape(situation, rehearsal, 7)
        assert tape.outcome == rows["outcome"][rehearsal]
        assert set(tape.row) == set(rows.columns)
        for column in rows:
            np.testing.assert_array_equal(tape.row[column], rows[column][rehearsal], column)
        assert len(tape.times) == len(tape.positions) == len(tape.disc)
        assert np.all(np.isfinite(tape.positions))


def test_plays_that_are_not_compiled_come_out_the_same(monkeypatch):
    situation = load("middle-reset")
    compiled = rehearse_rows(situation, np.arange(2), 7)
    monkeypatch.setenv("STALLWISE_COMPILE", "0")
    plain = rehearse_rows(situation, np.arange(2), 7)
    pd.testing.assert_frame_equal(plain, compiled, check_exact=True)


def test_threads_and_chunks_have_no_say():
    """Plays at the same moment have nothing in common, not even the memory they are played in."""
    situation = load("middle-reset")
    alone = rehearse(situation, 400, 7, engine=Engine(processes=1, progress=False))
    with ThreadPoolExecutor(3) as executor:
        shared = rehearse(situation, 400, 7, engine=Engine(executor=executor, progress=False))
        tasks = [Task("try", situation.to_dict(), 400, 7)]
        chunked = run(tasks, Engine(executor=executor, chunk=37, progress=False))
    pd.testing.assert_frame_equal(shared.table, alone.table, check_exact=True)
    pd.testing.assert_frame_equal(data_frame(chunked.tables["try"]), alone.table, check_exact=True)


@pytest.mark.slow
def test_worker_processes_have_no_say():
    situation = load("middle-reset")
    alone = rehearse(situation, 400, 7, engine=Engine(processes=1, progress=False))
    shared = rehearse(situation, 400, 7, engine=Engine(processes=2, progress=False))
    pd.testing.assert_frame_equal(shared.table, alone.table, check_exact=True)


def _link(file: str, to: str) -> None:
    try:
        os.link(file, to)
    except OSError:  # on another disk
        shutil.copy2(file, to)


@pytest.mark.slow
def test_what_was_compiled_before_has_no_say(tmp_path, monkeypatch):
    """Of two processes that find no compiled mark one compiles it, the other finds it then.

    And does without the compiler. The rest is there already: to compile all of it takes half a minute.
    """
    rehearse_rows(load("middle-reset"), np.arange(1), 7)
    for kept in {machine_code.folder(rules=True), machine_code.folder(rules=False)}:
        copy = tmp_path / "stallwise" / kept.name
        shutil.copytree(kept, copy, ignore=shutil.ignore_patterns("*.Mark.*"), copy_function=_link)
    program = (
        "import numpy as np; from experiments import load; "
        "from experiments.running.batch import rehearse_rows; "
        "import sys; "
        "print(rehearse_rows(load('middle-reset'), np.arange(20), 7).to_json(double_precision=15)); "
        "print(int('numba' in sys.modules))"
    )
    monkeypatch.setenv("STALLWISE_CACHE", str(tmp_path))
    with ThreadPoolExecutor(2) as both:
        running = [
            both.submit(
                subprocess.run,
                [sys.executable, "-c", program],
                cwd=ROOT,
                capture_output=True,
                text=True,
                check=True,
            )
            for _ in range(2)
        ]
    told = [one.result().stdout.splitlines() for one in running]
    assert sorted(compiled for _, compiled in told) == ["0", "1"]
    here = rehearse_rows(load("middle-reset"), np.arange(20), 7).to_json(double_precision=15)
    assert [rows for rows, _ in told] == [here, here]


@pytest.mark.slow
def test_a_worker_does_without_charts():
    """Each would wait for them to be imported."""
    program = (
        "import numpy as np\n"
        "from experiments import load\n"
        "from experiments.running.tasks import rehearse_dict\n"
        "from experiments.running.workers import LocalWorkers\n"
        "if __name__ == '__main__':\n"
        "    workers = LocalWorkers(1)\n"
        "    told = (rehearse_dict, load('middle-reset').to_dict(), np.arange(3), 7)\n"
        "    assert len(workers.submit(*told).result()) == 3\n"
        "    names = workers.submit(eval, 'list(__import__(\"sys\").modules)').result()\n"
        "    workers.finish()\n"
        "    assert 'experiments.running.batch' in names\n"
        "    print({'matplotlib', 'SALib', 'reportlab', 'typer'} & set(names))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "set()"
