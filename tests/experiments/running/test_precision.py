"""Running to a wanted precision: it stops, does not depend on how it is run, and keeps coverage."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from functools import cache

import numpy as np
import pytest
from scipy import stats

from experiments.running.engine import Engine
from experiments.running.precision import (
    FIRST,
    SPENT,
    look_sizes,
    next_look,
    run_to_precision,
    working_level,
)
from experiments.statistics.comparison import completion_differences
from experiments.statistics.estimates import proportion_bounds
from tests.experiments import pretend

# Chances too small to matter, left out to save time; it can only make the coverage seem less.
NOTHING = 1e-15


@cache
def _rule(within: float, level: float):
    """Of every look that can be reached: size, bounds by count, and the next look by count."""
    sizes = look_sizes(within)
    reachable, plan = {sizes[0]}, []
    for size in sizes:
        if size not in reachable:
            continue
        low, high = proportion_bounds(np.arange(size + 1), size, working_level(level))
        widths = (high - low) / 2.0
        after = np.zeros(size + 1, dtype=int)
        for hits in np.flatnonzero(widths > within):
            after[hits] = next_look(size, float(widths[hits]), within)
        reachable |= set(after[after > 0].tolist())
        plan.append((size, low, high, after))
    return plan


def _coverage(rate: float, within: float, level: float = 0.95) -> float:
    """The exact chance that the final interval holds the rate, through every way to stop."""
    plan = _rule(within, level)
    first = plan[0][0]
    chances = {first: stats.binom.pmf(np.arange(first + 1), first, rate)}
    covered = 0.0
    for size, low, high, after in plan:
        here = chances.pop(size, None)
        if here is None:
            continue
        covered += here[(after == 0) & (low <= rate) & (rate <= high)].sum()
        for later in np.unique(after[(after > 0) & (here > NOTHING)]):
            here_on = np.flatnonzero((after == later) & (here > NOTHING))
            start, end = here_on[0], here_on[-1] + 1
            going = np.where(after == later, here, 0.0)[start:end]
            more = stats.binom.pmf(np.arange(later - size + 1), later - size, rate)
            likely = np.flatnonzero(more > NOTHING)
            moved = np.convolve(going, more[likely[0] : likely[-1] + 1])
            place = start + likely[0]
            into = chances.setdefault(later, np.zeros(later + 1))
            into[place : place + moved.size] += moved
    return covered


@pytest.mark.slow
@pytest.mark.parametrize(
    ("within", "level"),
    [(0.05, 0.95), (0.02, 0.95), (0.02, 0.9), (0.02, 0.99), (0.01, 0.95), (0.005, 0.95)],
)
def test_coverage_is_exactly_computed_and_never_short(within, level):
    """Not a simulation: every path of the stopping rule, with its chance."""
    rates = np.concatenate([np.geomspace(1e-3, 0.04, 25), np.linspace(0.045, 0.5, 15)])
    short = {r: c for r in rates if (c := _coverage(r, within, level)) < level}
    assert short == {}


def test_plain_intervals_at_every_look_would_fall_short():
    """So the check above can fail, and spending less than the whole error is needed."""
    spends_it_all = 1.0 - 0.05 / SPENT
    assert working_level(spends_it_all) == pytest.approx(0.95)
    assert _coverage(0.2433, 0.03, spends_it_all) < 0.95


REPEATS = 200


@pytest.mark.slow
@pytest.mark.parametrize("rate", [0.02, 0.5, 0.98])
def test_real_runs_cover_the_known_rate(rate):
    """200 whole runs with seeds of their own; at a true coverage of 0.95 fewer than `fewest`
    would cover with probability below 1e-4."""
    fewest = stats.binom.ppf(1e-4, REPEATS, 0.95)
    covered = 0
    for seed in range(REPEATS):
        task = pretend.task(seed=seed, rate=rate)
        done = run_to_precision([task], 0.03, Engine(rows=pretend.only_completed))
        got = done.estimates["one"]
        assert got.half_width <= 0.03
        assert (got.n, got.level) == (len(done.run.tables["one"]), 0.95)
        covered += got.low <= rate <= got.high
    assert covered >= fewest


def test_takes_more_rehearsals_where_it_is_harder():
    tasks = [pretend.task(f"{rate}", rate=rate) for rate in (0.5, 0.9, 0.99)]
    done = run_to_precision(tasks, 0.02, Engine(rows=pretend.only_completed))
    sizes = [done.estimates[task.key].n for task in tasks]
    assert sizes[0] > 2 * sizes[1] > 2 * sizes[2] >= 2 * FIRST
    assert done.reached
    # A fixed size would need 1.96^2 * 0.25 / 0.02^2 at 0.5; looking may cost a quarter more.
    assert 2401 < sizes[0] < 1.25 * 2401


def test_depends_on_situation_width_and_seed_only(tmp_path):
    tasks = [pretend.task("one"), pretend.task("two", rate=0.7)]
    plain = run_to_precision(tasks, 0.03, Engine(rows=pretend.rows))
    threads = ThreadPoolExecutor(2)
    others = [
        run_to_precision(tasks, 0.03, Engine(rows=pretend.rows, chunk=77)),
        run_to_precision(tasks, 0.03, Engine(rows=pretend.rows, executor=threads, chunk=150)),
        run_to_precision(tasks, 0.03, Engine(rows=pretend.rows, folder=tmp_path)),
        run_to_precision(tasks, 0.03, Engine(rows=pretend.rows, folder=tmp_path)),
        run_to_precision(tasks[1:] + tasks[:1], 0.03, Engine(rows=pretend.rows)),
    ]
    threads.shutdown()
    for other in others:
        assert other.estimates == {key: plain.estimates[key] for key in other.estimates}
        for key, table in plain.run.tables.items():
            assert pretend.same(table, other.run.tables[key])
    assert others[3].run.rehearsed == 0


def test_a_comparison_stops_by_its_differences_with_the_same_rehearsals():
    tasks = [pretend.task("a"), pretend.task("b", rate=0.8), pretend.task("c", rate=0.85)]
    done = run_to_precision(
        tasks,
        0.02,
        Engine(rows=pretend.only_completed),
        measure=completion_differences,
        together=True,
    )
    assert set(done.estimates) == {"b", "c"}
    assert max(e.half_width for e in done.estimates.values()) <= 0.02
    assert len({len(table) for table in done.run.tables.values()}) == 1


def test_gives_up_at_the_most_and_says_so():
    done = run_to_precision(
        [pretend.task(rate=0.5)], 0.01, Engine(rows=pretend.only_completed), most=1000
    )
    assert not done.reached
    assert done.estimates["one"].n == 1000


@pytest.mark.parametrize("within", [0.0, -0.1, float("nan"), float("inf")])
def test_a_width_that_is_none_is_refused(within):
    with pytest.raises(ValueError, match="positive"):
        run_to_precision([pretend.task()], within, Engine(rows=pretend.only_completed))
