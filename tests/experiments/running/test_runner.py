"""Runs: the same table however it is made, clear errors, progress, Ctrl-C."""

from __future__ import annotations

import concurrent.futures
import inspect
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import experiments
from experiments import Situation, load
from experiments.errors import RunError, RunInterrupted, StallwiseError, StudyFolderError
from experiments.running import runner
from experiments.running.engine import Engine, engine
from experiments.running.runner import run
from experiments.running.store import load_study_rows, read_manifest
from experiments.running.tasks import Run, Task
from tests.experiments import pretend

ROOT = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def plain():
    """What any other way of running must give."""
    return run(
        [pretend.task("one", 700), pretend.task("two", 450, rate=0.7)], Engine(rows=pretend.rows)
    )


def _same(one: Run, other: Run) -> bool:
    return list(one.tables) == list(other.tables) and all(
        pretend.same(one.tables[key], other.tables[key]) for key in one.tables
    )


def _again(**how):
    tasks = [pretend.task("one", 700), pretend.task("two", 450, rate=0.7)]
    return run(tasks, Engine(rows=pretend.rows, **how))


def test_the_table_is_what_the_rows_were(plain):
    ids = np.arange(700)
    assert pretend.same(plain.tables["one"], pretend.rows(pretend.BASE, ids, 7))
    assert plain.rehearsed == 1150
    assert plain.per_second > 0


@pytest.mark.parametrize("chunk", [1, 7, 333, 10_000])
def test_chunk_size_has_no_say(plain, chunk):
    if chunk == 1:
        small = run([pretend.task("one", 40)], Engine(rows=pretend.rows, chunk=1)).tables["one"]
        assert pretend.same(small, pretend.rows(pretend.BASE, np.arange(40), 7))
    else:
        assert _same(_again(chunk=chunk), plain)


@pytest.mark.slow
def test_worker_processes_have_no_say(plain):
    assert _same(_again(processes=2, chunk=130), plain)


@pytest.mark.parametrize("workers", [1, 3])
def test_any_executor_will_do(plain, workers):
    with concurrent.futures.ThreadPoolExecutor(workers) as executor:
        assert _same(_again(executor=executor, chunk=90), plain)
        # It is the caller's, and still works.
        assert executor.submit(int, "3").result() == 3


def test_the_same_luck_meets_every_task():
    done = run([pretend.task("a"), pretend.task("b", rate=0.8)], Engine(rows=pretend.rows))
    a, b = (done.tables[key]["completed"].to_numpy() for key in "ab")
    # A pass completed at the lower rate is completed at the higher with the same draw.
    assert np.all(a[b])
    assert np.count_nonzero(a & ~b) > 0


def test_a_rehearsal_that_fails_says_which_and_why():
    with pytest.raises(RunError, match=r"one, rehearsals 500 to 999: ValueError: .* met a wall"):
        run([pretend.task(fails_at=600)], Engine(rows=pretend.rows, chunk=500))


def test_a_failure_in_a_worker_keeps_what_was_done(tmp_path):
    tasks = [pretend.task(fails_at=650)]
    with (
        concurrent.futures.ThreadPoolExecutor(2) as executor,
        pytest.raises(RunError, match=r"rehearsals 600 to 699: ValueError"),
    ):
        run(tasks, Engine(rows=pretend.rows, executor=executor, chunk=100, folder=tmp_path))
    left = pretend.kept(tmp_path)["one"]
    assert pretend.same(left, pretend.rows(pretend.BASE, np.arange(len(left)), 7))
    assert len(left) >= 300


def _dies(situation, ids, seed):
    os._exit(3)


@pytest.mark.slow
def test_a_worker_that_dies_is_reported():
    with pytest.raises(RunError, match="a worker process died"):
        run([pretend.task()], Engine(rows=_dies, processes=2, chunk=100))


def test_rows_that_workers_cannot_import_are_refused_before_any_starts():
    with pytest.raises(RunError, match="function of a module"):
        run([pretend.task()], Engine(rows=lambda *_: None, processes=2, chunk=100))


def _wrong_rehearsals(situation, ids, seed):
    return pd.DataFrame({"rehearsal": ids[::-1]})


def _a_list_in_a_cell(situation, ids, seed):
    return pd.DataFrame({"rehearsal": ids, "path": [[0.0, 1.0] for _ in ids]})


def _other_columns_later(situation, ids, seed):
    return pd.DataFrame({"rehearsal": ids, f"from_{min(ids[0], 1)}": ids})


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        (_wrong_rehearsals, "one row for each rehearsal"),
        (_a_list_in_a_cell, "'path' must hold numbers, true and false, or words; found list"),
        (_other_columns_later, "different columns"),
    ],
)
def test_rows_that_are_no_table_of_rehearsals_are_refused(rows, says):
    with pytest.raises(RunError, match=says):
        run([pretend.task()], Engine(rows=rows, chunk=500))


def test_tasks_that_cannot_be_told_apart_are_refused():
    for tasks in ([], [pretend.task("a"), pretend.task("a", rate=0.1)]):
        with pytest.raises(ValueError, match="a name of its own"):
            run(tasks, Engine(rows=pretend.rows))
    with pytest.raises(ValueError, match="at least 1"):
        Task("a", {}, 0, 1)
    with pytest.raises(StallwiseError, match="at least 1"):
        run([pretend.task()], Engine(rows=pretend.rows, processes=0))


def test_progress_is_told_to_a_function_and_not_to_a_pipe(capfd):
    told = []
    run(
        [pretend.task(n=1200)],
        Engine(rows=pretend.rows, chunk=500, progress=lambda *at: told.append(at)),
    )
    assert told == [(0, 1200), (500, 1200), (1000, 1200), (1200, 1200)]
    run([pretend.task(n=1200)], Engine(rows=pretend.rows))
    assert capfd.readouterr() == ("", "")
    run([pretend.task(n=1200)], Engine(rows=pretend.rows, progress=True))
    out, err = capfd.readouterr()
    assert out == ""
    assert "1200/1200" in err


@pytest.fixture
def answers_ctrl_c():
    """Ctrl-C as a person's program has it; one started in the background ignores it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def _press_ctrl_c_at(situation, ids, seed):
    if situation["press_at"] in ids:
        signal.raise_signal(signal.SIGINT)
    return pretend.rows(situation, ids, seed)


def test_ctrl_c_keeps_finished_chunks_and_says_so(tmp_path, answers_ctrl_c):
    tasks = [pretend.task(press_at=650)]
    with pytest.raises(RunInterrupted, match="stopped after 600 of 1,000 rehearsals"):
        run(tasks, Engine(rows=_press_ctrl_c_at, chunk=100, folder=tmp_path))
    assert len(pretend.kept(tmp_path)["one"]) == 600
    assert not read_manifest(tmp_path).finished


def _start(folder: Path, jobs: int) -> subprocess.Popen[str]:
    """A slow study in a process group of its own."""
    return subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sys; from tests.experiments import pretend;"
            "pretend.study(sys.argv[1], 1000, int(sys.argv[2]))",
            str(folder),
            str(jobs),
        ],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), pretend.PAUSE: "0.002"},
        start_new_session=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        **pretend.HEARS_CTRL_C,
    )


def _until(what, seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.005)


def _until_chunks(process: subprocess.Popen[str], folder: Path, number: int) -> None:
    def there() -> bool:
        if process.poll() is not None:
            raise AssertionError(f"the run ended early: {process.communicate()}")
        return (folder / "manifest.json").exists() and _chunks(folder) >= number

    _until(there)


def _until_gone(group: int) -> None:
    """Wait until the workers have noticed and left."""
    _until(lambda: _gone(group))


def _chunks(folder: Path) -> int:
    return len(list(folder.glob("rehearsals/*.parquet")))


def _gone(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return True
    return False


unix = pytest.mark.skipif(os.name == "nt", reason="needs signals to process groups")


@unix
@pytest.mark.slow
def test_ctrl_c_on_a_real_run_with_workers(tmp_path):
    """The whole group gets the signal, as from a terminal: no traceback, no worker left."""
    process = _start(tmp_path, jobs=2)
    _until_chunks(process, tmp_path, 3)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (130, "")
    assert "the same command goes on from there" in out
    _until_gone(process.pid)
    assert not read_manifest(tmp_path).finished
    assert _chunks(tmp_path) >= 3


@unix
@pytest.mark.slow
def test_killed_at_random_moments_and_resumed_is_the_same_study(tmp_path):
    """kill -9 while starting, writing and waiting: the rest of the run gives the same table."""
    rng = np.random.default_rng(1)
    for jobs in (1, 2, 1):
        process = _start(tmp_path, jobs)
        _until_chunks(process, tmp_path, _chunks(tmp_path) + int(rng.integers(0, 7)))
        time.sleep(rng.uniform(0.0, 0.1))
        os.kill(process.pid, signal.SIGKILL)
        process.communicate(timeout=60)
        _until_gone(process.pid)
    kept = sum(len(t) for t in pretend.kept(tmp_path).values())
    assert 0 < kept < 1500, "the kills must leave something kept and something to do"
    with pytest.raises(StudyFolderError, match="not finished"):
        load_study_rows(tmp_path)
    resumed = run(pretend.study_tasks(1000), Engine(rows=pretend.rows, folder=tmp_path))
    whole = run(pretend.study_tasks(1000), Engine(rows=pretend.rows))
    assert resumed.found + resumed.rehearsed == 1500
    assert _same(resumed, whole)
    from_disk = load_study_rows(tmp_path)
    assert all(pretend.same(from_disk[key], table) for key, table in whole.tables.items())


@pytest.mark.parametrize("name", [*experiments.__all__, "Engine"])
def test_a_wrong_keyword_fails_at_the_call_with_the_nearest_known_one(name):
    public = getattr(experiments, name, Engine)
    known = list(inspect.signature(public).parameters)
    for right in known or ["none"]:
        near = f"found keyword '{right}_'.*" + (f"mean '{right}'" if known else "allowed: none")
        with pytest.raises(TypeError, match=near) as told:
            public(**{f"{right}_": 1})
        assert isinstance(told.value, StallwiseError)


def test_a_right_keyword_is_taken():
    assert engine(processes=2) == Engine(processes=2)
    situation = load(name_or_path="middle-reset")
    assert Situation(**situation.to_dict()) == situation


@pytest.mark.parametrize("number", range(3))
def test_ctrl_c_while_workers_start_ends_them_without_a_word(monkeypatch, number):
    """The pool's own thread may print a traceback where work was cancelled before its workers died.

    It does so in one of some thirty, so what is held is that nothing was cancelled.
    """

    def interrupted(*_, **__):
        time.sleep(0.2 * number)
        raise KeyboardInterrupt

    monkeypatch.setattr(runner, "wait", interrupted)
    failed, cancelled = [], []
    monkeypatch.setattr(concurrent.futures.Future, "cancel", cancelled.append)
    monkeypatch.setattr(threading, "excepthook", lambda told: failed.append(told.exc_value))
    with pytest.raises(RunInterrupted, match="stopped after"):
        run([pretend.task(n=4000)], Engine(processes=2, rows=pretend.rows, chunk=500))
    assert failed == []
    assert cancelled == []
