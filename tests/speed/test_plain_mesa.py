"""The yardstick of the benchmark plays the same play, and the benchmark runs."""

from __future__ import annotations

import collections
import dataclasses

import numpy as np
import pytest

from experiments import load
from experiments.lineup import LineUp, line_up
from policies.looks import JITTER
from sim.possession import Possession
from tests.speed import benchmark
from tests.speed.plain_mesa import PlainPlay


@pytest.fixture(scope="module")
def ready() -> LineUp:
    """Middle reset, everybody on the mark, nobody slow or quick by chance and nobody fooled."""
    made = line_up(load("middle-reset").with_setting("spread", 0.0))

    def steady(player):
        ability = dataclasses.replace(
            player.ability, reaction_spread=0.0, misread=0.0, misread_again=0.0
        )
        return dataclasses.replace(player, ability=ability)

    scene = dataclasses.replace(
        made.scene,
        attackers=tuple(map(steady, made.scene.attackers)),
        defenders=tuple(map(steady, made.scene.defenders)),
    )
    return dataclasses.replace(made, scene=scene)


def of_the_ensemble(ready: LineUp, rehearsal: int) -> tuple[float, float, np.ndarray]:
    """How late the striker goes, when the disc is released, and all paths until then."""
    paths: list[np.ndarray] = []
    possession = Possession(
        ready.scene,
        ready.offence,
        ready.defence,
        np.array([rehearsal]),
        7,
        open_side=ready.open_side,
        watch=lambda model: paths.append(model.world.pos[0].copy()),
    )
    striker = [p.name for p in ready.scene.attackers].index("left")
    late = JITTER * abs(float(possession.world.timing[0, striker]))
    while possession.world.throws[0] == 0:
        possession.step()
    return late, float(possession.world.release_at[0]), np.array(paths)


@pytest.mark.parametrize("rehearsal", range(5))
def test_the_plain_model_runs_the_same_paths_and_throws_at_the_same_time(ready, rehearsal):
    """Or else it would be no yardstick: same formulas, so to rounding, all the way to the throw."""
    late, release_at, there = of_the_ensemble(ready, rehearsal)
    play = PlainPlay(ready.scene, ready.offence, ready.defence, ready.open_side, 1, late)
    players = [*play.agents]
    here = []
    while play.disc is None:
        play.step()
        here.append([(p.x, p.y) for p in players])
    assert play.tick == ready.scene.tick == 0.05
    assert play.release_at == pytest.approx(release_at, abs=1e-9)
    ticks = len(there) - 1
    # paths of the ensemble are noted before the tick's run
    gap = np.hypot(*np.moveaxis(np.array(here[:ticks]) - there[1 : ticks + 1], -1, 0))
    assert gap.max() < 1e-9
    assert np.abs(there[ticks] - there[0]).max() > 3.0


def test_plain_plays_end_by_themselves_and_mostly_in_completions():
    ready = line_up(load("middle-reset"))
    ends = collections.Counter()
    for seed in range(30):
        play = PlainPlay(ready.scene, ready.offence, ready.defence, ready.open_side, seed)
        ends[play.run()] += 1
        assert 1.0 < play.now < 8.0
    assert ends["completed"] >= 20


def test_the_plain_model_refuses_a_play_that_it_cannot_play():
    ready = line_up(load("middle-reset").with_setting("plan", "dump"))
    with pytest.raises(ValueError, match="a strike and nothing else"):
        PlainPlay(ready.scene, ready.offence, ready.defence, ready.open_side, 0)


def test_the_benchmark_counts_steps_and_says_how_they_compare(capsys, monkeypatch):
    arguments = "benchmark --plays 1 --rehearsals 20 --turns 1 --study 20"
    monkeypatch.setattr("sys.argv", arguments.split())
    benchmark.main()
    told = capsys.readouterr().out
    assert "plain Mesa" in told
    assert "ratio" in told
    assert "20 rehearsals of middle-reset in one process" in told


def test_both_sides_of_the_benchmark_count_agent_steps_alike(ready):
    """One play has as many agent-steps as there are players, times the ticks it lasted."""
    players = len(ready.scene.players)
    slow, fast = benchmark.plain(ready, 3), benchmark.ensemble(ready, 3, size=2)
    for one in (slow, fast):
        assert one.plays == 3
        assert one.steps % players == 0
        assert 3 * 20 < one.steps / players < 3 * 160
        assert one.per_second > 0
