"""What the README says of the practice week is so, with more than one seed.

The differences are those of the shipped files as they are; each is far larger than what so few
rehearsals can be wrong by, so that no luck of a seed decides.
"""

from __future__ import annotations

import pytest

from experiments import Situation, compare, load
from experiments.running.engine import Engine
from experiments.statistics.comparison import Difference
from experiments.statistics.measures import MEASURES, difference
from experiments.studies.compare import Compared

pytestmark = pytest.mark.slow
QUIET = Engine(progress=False)
SEEDS = (7, 101)
N = 600


def against(compared: Compared, plan: str, measure: str) -> Difference:
    """A plan less the first."""
    found = compared.comparison.differences
    return next(d for d in found if d.plan == plan and d.measure == measure)


def plans(name: str, *chosen: str, seed: int, defence: str = "") -> Compared:
    """Some plans of a situation of the week, as it is or against another defence."""
    situation: Situation = load(name)
    if defence:
        situation = situation.with_setting("defence", defence)
    return compare(situation, chosen, n=N, seed=seed, engine=QUIET)


@pytest.mark.parametrize("seed", SEEDS)
def test_tuesday_the_line_comes_first_and_stays_trapped(seed: int) -> None:
    found = plans("week-trapped-line", "dump-first", "line-first", seed=seed)
    assert against(found, "line-first", "completed").difference.low > 0.0
    caught = found.rehearsals["line-first"].query("completed")
    assert caught["trapped"].mean() > 0.9
    assert (found.rehearsals["line-first"]["look"] == "under up-field").mean() > 0.5


@pytest.mark.parametrize("seed", SEEDS)
def test_tuesday_it_has_to_be_called_by_seven(seed: int) -> None:
    situation = load("week-trapped-line")
    late = situation.with_setting("stall", 8.0)
    now, after = (
        compare(each, ["line-first", "dump-first"], n=N, seed=seed, engine=QUIET)
        for each in (situation, late)
    )
    tables = [each.rehearsals["line-first"] for each in (now, after)]
    assert difference(*tables, MEASURES["completed"]).low > 0.0
    assert (tables[1]["look"] == "under up-field").mean() < 0.5


@pytest.mark.parametrize("seed", SEEDS)
def test_tuesday_a_defender_in_front_of_the_cutter_costs_the_line_half_of_its_lead(
    seed: int,
) -> None:
    behind, front = (
        plans("week-trapped-line", "dump-first", "line-first", seed=seed, defence=defence)
        for defence in ("trap", "trap-and-front")
    )
    kept = [each.rehearsals["line-first"] for each in (behind, front)]
    assert difference(*kept, MEASURES["completed"]).low > 0.03
    leads = [against(c, "line-first", "completed").difference.estimate for c in (behind, front)]
    assert leads[1] < leads[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_thursday_the_cutters_score_more_than_the_handler_who_goes_or_a_swing(seed: int) -> None:
    found = plans("week-end-zone-pair", "cutters-first", "handler-goes", "swing-first", seed=seed)
    for plan in ("handler-goes", "swing-first"):
        assert against(found, plan, "goal").difference.high < 0.0


@pytest.mark.parametrize("seed", SEEDS)
def test_saturday_the_up_line_costs_little_against_the_denied_dump_and_gains(seed: int) -> None:
    found = plans("week-denied-reset", "dump", "up-line", seed=seed)
    assert abs(against(found, "up-line", "completed").difference.estimate) < 0.06
    assert against(found, "up-line", "gain_m").difference.low > 7.0


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("defence", ["man", "deny-up-line"])
def test_saturday_where_the_dump_is_not_denied_it_keeps_more(seed: int, defence: str) -> None:
    found = plans("week-denied-reset", "dump", "up-line", seed=seed, defence=defence)
    assert against(found, "up-line", "completed").difference.high < -0.02
