"""Games: what is refused, what does not change the answer, and how sure the mix is."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from experiments.statistics.estimates import Estimate
from experiments.statistics.games import exploit, solve_game
from experiments.statistics.uncertain_games import solve_rehearsed


@pytest.mark.parametrize("bad", [[], [1.0, 2.0], [[]], [[1.0, np.nan]], [[np.inf, 0.0]]])
def test_no_game_in_it(bad):
    with pytest.raises(ValueError, match="a game needs"):
        solve_game(bad)


def test_scale_and_shift_leave_the_mix():
    matrix = np.random.default_rng(1).uniform(size=(4, 3))
    plain = solve_game(matrix)
    for factor, shift in ((1e-6, 0.0), (1e6, -3e5), (1.0, 1000.0)):
        changed = solve_game(factor * matrix + shift)
        assert changed.row_mix == pytest.approx(plain.row_mix, abs=1e-6)
        assert changed.value == pytest.approx(factor * plain.value + shift, rel=1e-9)


def test_every_solution_proves_itself():
    rng = np.random.default_rng(2)
    for _ in range(20):
        # Small whole numbers make ties and degenerate games.
        game = solve_game(rng.integers(-2, 3, size=rng.integers(1, 7, size=2)))
        assert 0.0 <= game.gap + 1e-12 < 1e-9
        for mix, ends in ((game.row_mix, game.row_range), (game.column_mix, game.column_range)):
            assert mix.sum() == pytest.approx(1.0)
            assert np.all((ends[:, 0] - 1e-6 <= mix) & (mix <= ends[:, 1] + 1e-6))


def test_any_other_mix_can_be_exploited():
    matrix = [[1.0, -1.0], [-1.0, 1.0]]
    assert exploit(matrix, [0.5, 0.5], [0.5, 0.5]) == 0.0
    assert exploit(matrix, [0.6, 0.4], [0.5, 0.5]) == pytest.approx(0.2)


def _cells(rates, n, seed, common=True):
    draws = np.random.default_rng(seed).random((*np.shape(rates), n))
    return (draws[:1, :1] if common else draws) < np.asarray(rates)[..., np.newaxis]


def test_the_same_seed_gives_the_same_uncertainty():
    cells = _cells([[0.9, 0.6], [0.5, 0.8]], 400, seed=1, common=False)
    one, other, third = (solve_rehearsed(cells, seed, draws=60) for seed in (3, 3, 4))
    assert one.value == other.value
    assert np.array_equal(one.row_low, other.row_low)
    assert one.value != third.value
    assert one.game.value == solve_game(cells.mean(axis=2)).value


def test_more_rehearsals_make_the_mix_surer():
    widths, losses = [], []
    for n in (200, 3200):
        got = solve_rehearsed(_cells([[0.9, 0.6], [0.5, 0.8]], n, 2, common=False), 1, draws=200)
        widths.append(float((got.row_high - got.row_low).max()))
        losses.append(got.loss)
    # Four times narrower by the root of 16; halfway there would already be plain.
    assert widths[1] < widths[0] / 2.0
    assert 0.0 < losses[1] < losses[0] / 2.0


GAMES = {
    "one mixed solution": ([[0.9, 0.6], [0.5, 0.8]], 400),
    "failures are rare": ([[0.998, 0.998], [0.998, 0.998]], 300),
    "failures are few": ([[0.99, 0.99], [0.99, 0.99]], 200),
    "rare failures, mixed": ([[0.998, 0.99], [0.985, 0.999]], 400),
    "six plans as good": ([[0.8]] * 6, 200),
    "all as good": (np.full((3, 3), 0.9), 200),
}
REPEATS = 150
FEWEST = stats.binom.ppf(1e-4, REPEATS, 0.95)


def _covered(name, uneven=False, interval=None):
    rates, n = GAMES[name]
    truth, covered = solve_game(rates).value, 0
    for seed in range(REPEATS):
        cells = list(map(list, _cells(rates, n, seed, common=True)))
        if uneven:
            cells[0][0] = cells[0][0][: n // 3]
        value = (interval or _value)(cells, seed)
        # Most tables show no failure at all: drawn from them alone, there would be no width.
        assert interval is not None or value.high > value.low
        covered += value.low <= truth <= value.high
    return covered


def _value(cells, seed):
    return solve_rehearsed(cells, seed, draws=2).value


@pytest.mark.slow
@pytest.mark.parametrize("name", GAMES)
def test_the_interval_of_the_value_covers(name):
    """At a coverage of 0.95 fewer than FEWEST of 150 games have a probability of 1e-4."""
    assert _covered(name) >= FEWEST


@pytest.mark.slow
def test_the_interval_of_the_value_covers_cells_of_other_sizes():
    assert _covered("one mixed solution", uneven=True) >= FEWEST


@pytest.mark.slow
def test_the_plain_bootstrap_would_not_do_where_failures_are_rare():
    """So the test above can fail, and a failure not seen has to be drawn."""

    def plain(cells, seed):
        rng = np.random.default_rng(seed)
        columns = np.array(cells, float)
        n = columns.shape[-1]
        weights = rng.multinomial(n, np.full(n, 1.0 / n), size=200) / n
        values = (weights @ columns.reshape(-1, n).T).reshape(-1, *columns.shape[:2])
        best = values.min(axis=2).max(axis=1)  # of alike columns
        low, high = np.quantile(best, [0.025, 0.975])
        return Estimate(float(best.mean()), float(low), float(high), n)

    assert _covered("failures are rare", interval=plain) < FEWEST


def test_a_value_has_a_width_where_no_failure_was_seen():
    """One plan against one defence, 0 of 300 lost: the exact interval ends at 0.025 ** (1 / 300)."""
    value = solve_rehearsed([[np.ones(300, bool)]], 1).value
    assert value.high == 1.0
    # The end is a quantile of 2000 draws: its relative error is some 7 %, five of which is far off.
    assert 1.0 - value.low == pytest.approx(1.0 - 0.025 ** (1 / 300), rel=0.35)


def test_ties_are_ties():
    solved = solve_rehearsed(np.ones((2, 2, 300), bool), 1)
    assert solved.game.row_range == pytest.approx(np.array([[0.0, 1.0]] * 2))
    assert np.all(solved.row_low < 0.1) and np.all(solved.row_high > 0.9)


def test_cells_that_cannot_be_solved_are_refused():
    good = np.ones(5, bool)
    with pytest.raises(ValueError, match="with a value"):
        solve_rehearsed([[np.array([1.0, np.nan])]], 1)
    with pytest.raises(ValueError, match="same number of cells"):
        solve_rehearsed([[good, good], [good]], 1)
    with pytest.raises(ValueError, match="draws"):
        solve_rehearsed([[good]], 1, draws=1)
    assert solve_rehearsed([[good, good[:3]]], 1, 5).value.estimate == 1.0
