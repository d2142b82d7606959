"""Zero-sum games whose solutions are known."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.optimize import linprog

from experiments.statistics.games import exploit, solve_game

# matrix, value, row mix, column mix; all with one solution only
KNOWN = {
    # von Neumann & Morgenstern 1944, Theory of Games and Economic Behavior (from memory).
    "matching pennies": ([[1, -1], [-1, 1]], 0, [1 / 2, 1 / 2], [1 / 2, 1 / 2]),
    "stone, paper, scissors": (
        [[0, -1, 1], [1, 0, -1], [-1, 1, 0]],
        0,
        [1 / 3, 1 / 3, 1 / 3],
        [1 / 3, 1 / 3, 1 / 3],
    ),
    # Ferguson, Game Theory, part II (from memory): odd or even, with the fingers as the stake.
    "odd or even": ([[-2, 3], [3, -4]], 1 / 12, [7 / 12, 5 / 12], [7 / 12, 5 / 12]),
    # Ferguson, part II (from memory): two rows, four columns, solved by the lower envelope:
    # columns 2 and 3 are 1 + 2p and 6 - 5p, which meet at p = 5/7.
    "two rows by envelope": (
        [[2, 3, 1, 5], [4, 1, 6, 0]],
        17 / 7,
        [5 / 7, 2 / 7],
        [0, 5 / 7, 2 / 7, 0],
    ),
    # By hand. Column 3 is never less than column 2, so it goes; then row 1 is less than row 3;
    # what is left, [[1, 2], [4, 1]], is worth (1 * 1 - 2 * 4) / (1 + 1 - 2 - 4) = 7/4.
    "dominated plans": (
        [[2, 0, 4], [1, 2, 3], [4, 1, 2]],
        7 / 4,
        [0, 3 / 4, 1 / 4],
        [1 / 4, 3 / 4, 0],
    ),
    # By hand. The row side has lines 4 - 3p, 1 + 2p and 3 + p at a part p of row 1. The lower
    # envelope of the first two peaks at p = 3/5, where the third is higher and goes unused.
    "two by three": ([[1, 3, 4], [4, 1, 3]], 11 / 5, [3 / 5, 2 / 5], [2 / 5, 3 / 5, 0]),
    # Palacios-Huerta 2003, Review of Economic Studies 70:395-415: scoring rates of penalty kicks
    # by sides of kicker and keeper, and the mixes that follow (from memory).
    "penalty kicks": (
        [[58.30, 94.97], [92.91, 69.92]],
        79.58,
        [0.3854, 0.6146],
        [0.4199, 0.5801],
    ),
}


@pytest.mark.parametrize("name", KNOWN)
def test_textbook_game(name):
    matrix, value, row_mix, column_mix = KNOWN[name]
    game = solve_game(matrix)
    near = {"abs": 2e-2} if name == "penalty kicks" else {"abs": 1e-12}
    assert game.value == pytest.approx(value, **near)
    assert game.row_mix == pytest.approx(row_mix, **{"abs": min(near["abs"], 1e-4)})
    assert game.column_mix == pytest.approx(column_mix, **{"abs": min(near["abs"], 1e-4)})
    assert game.gap == pytest.approx(0.0, abs=1e-12)
    # Only one solution: the ranges close on it.
    for ends, mix in ((game.row_range, game.row_mix), (game.column_range, game.column_mix)):
        assert ends[:, 0] == pytest.approx(mix, abs=1e-6)
        assert ends[:, 1] == pytest.approx(mix, abs=1e-6)


def test_saddle_point_needs_no_mixing():
    """By hand: 5 is the least of its row and the most of its column."""
    game = solve_game([[3, -4, 9], [6, 5, 7], [8, 2, -1]])
    assert game.value == pytest.approx(5.0, abs=1e-12)
    assert game.row_mix == pytest.approx([0, 1, 0], abs=1e-12)
    assert game.column_mix == pytest.approx([0, 1, 0], abs=1e-12)


def test_morra_has_a_range_of_best_mixes():
    """Two-finger Morra, a textbook game (from memory).

    Plans are (show, guess) 11, 12, 21, 22. A mix of x of 12 and the rest of 21 gets 3 - 5x from
    11 and 7x - 4 from 22, so it cannot be beaten if x is between 4/7 and 3/5.
    """
    game = solve_game([[0, 2, -3, 0], [-2, 0, 0, 3], [3, 0, 0, -4], [0, -3, 4, 0]])
    assert game.value == pytest.approx(0.0, abs=1e-12)
    assert game.row_range[1] == pytest.approx([4 / 7, 3 / 5], abs=1e-6)
    assert game.row_range[2] == pytest.approx([2 / 5, 3 / 7], abs=1e-6)
    assert game.row_range[[0, 3]] == pytest.approx(np.zeros((2, 2)), abs=1e-6)
    assert game.column_range == pytest.approx(game.row_range, abs=1e-6)


def test_agrees_with_trying_every_square_part():
    """Shapley & Snow 1950: some square part of the matrix gives the value (from memory)."""
    rng = np.random.default_rng(1)
    for _ in range(12):
        matrix = rng.normal(size=rng.integers(1, 5, size=2))
        assert solve_game(matrix).value == pytest.approx(_by_parts(matrix), abs=1e-9)


def test_agrees_with_scipys_other_method_on_the_other_sides_programme():
    rng = np.random.default_rng(2)
    for _ in range(4):
        matrix = rng.uniform(0.6, 1.0, size=(6, 6))
        theirs = linprog(
            [0.0] * 6 + [1.0],
            A_ub=np.hstack([matrix, -np.ones((6, 1))]),
            b_ub=np.zeros(6),
            A_eq=[[1.0] * 6 + [0.0]],
            b_eq=[1.0],
            bounds=[(0.0, None)] * 6 + [(None, None)],
            method="highs-ipm",
        )
        assert solve_game(matrix).value == pytest.approx(theirs.fun, abs=1e-7)


def _by_parts(matrix: np.ndarray) -> float:
    """The value by brute force: the mixes of each square part, kept if nobody would leave them."""
    rows, columns = matrix.shape
    for size in range(1, min(rows, columns) + 1):
        for mine in itertools.combinations(range(rows), size):
            for theirs in itertools.combinations(range(columns), size):
                part = matrix[np.ix_(mine, theirs)]
                border = np.ones((size + 1, size + 1))
                border[:size, :size], border[size, size] = part, 0.0
                end = np.append(np.zeros(size), 1.0)
                if abs(np.linalg.det(border)) < 1e-12:
                    continue
                row_mix, column_mix = np.zeros(rows), np.zeros(columns)
                row_mix[list(mine)] = np.linalg.solve(border.T, end)[:size]
                column_mix[list(theirs)] = np.linalg.solve(border, end)[:size]
                if min(row_mix.min(), column_mix.min()) < -1e-12:
                    continue
                if exploit(matrix, row_mix, column_mix) < 1e-10:
                    return float(row_mix @ matrix @ column_mix)
    raise AssertionError("no part gave a solution")
