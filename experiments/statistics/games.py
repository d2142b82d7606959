"""Zero-sum matrix games: what to call when the other side may answer with anything.

Rows are the plans of the side that wants much, columns those of the side that wants to give
little. The best mixes are found exactly by linear programming (von Neumann 1928, Math. Ann.
100:295-320; the programme as in Dantzig 1951), and each solution carries its own proof: how much
either side could still gain against it.
"""

from __future__ import annotations

import dataclasses
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.optimize import linprog

Floats = npt.NDArray[np.float64]

# Of the spread of the values; what the linear programme's arithmetic may leave.
EXACT = 1e-8


@dataclasses.dataclass(frozen=True, eq=False)
class Game:
    """A solved game.

    Attributes
    ----------
    values : (rows, columns) what the row side gets.
    value : what it gets on average when both mix as well as they can.
    row_mix, column_mix : how often each side should choose each plan, adding up to 1.
    gap : what the best answers to the two mixes leave between them: 0 proves both are best.
    """

    values: Floats
    value: float
    row_mix: Floats
    column_mix: Floats
    gap: float

    @cached_property
    def row_range(self) -> Floats:
        """(plans, 2) the least and the most a plan is used among all the mixes that are as good."""
        return _ranges(_scaled(self.values), self.row_mix)

    @cached_property
    def column_range(self) -> Floats:
        """The same of the columns; where the two differ, the mix shown is one of many."""
        return _ranges(1.0 - _scaled(self.values).T, self.column_mix)


def solve_game(values: npt.ArrayLike) -> Game:
    """Solve the game of a matrix of what the row side gets.

    Raises
    ------
    ValueError : if it is not a table of finite numbers with a row and a column at least.
    RuntimeError : if the solution found could be improved on; it has not been seen.
    """
    matrix = np.array(values, dtype=float)
    if matrix.ndim != 2 or matrix.size == 0:
        raise ValueError(f"a game needs a table of values, not an array of shape {matrix.shape}")
    if not np.all(np.isfinite(matrix)):
        raise ValueError("a game needs a finite value in every cell")
    scaled = _scaled(matrix)
    row_mix, column_mix = best_mixes([scaled])[0], best_mixes([1.0 - scaled.T])[0]
    gap = exploit(matrix, row_mix, column_mix)
    if gap > EXACT * (float(np.ptp(matrix)) or 1.0):
        raise RuntimeError(f"the game was not solved: {gap:g} is left to gain")
    value = float((matrix @ column_mix).max() + (row_mix @ matrix).min()) / 2.0
    return Game(matrix, value, row_mix, column_mix, gap)


def exploit(values: npt.ArrayLike, row_mix: npt.ArrayLike, column_mix: npt.ArrayLike) -> float:
    """What the two sides could gain together by answering each other's mix as well as they can.

    It is never negative, and 0 only if both mixes are best (the minimax theorem).
    """
    matrix = np.asarray(values, float)
    against_column = matrix @ np.asarray(column_mix, float)
    against_row = np.asarray(row_mix, float) @ matrix
    return float(against_column.max() - against_row.min())


def best_mixes(values: npt.ArrayLike) -> Floats:
    """For each of many games, a mix of rows with the largest guaranteed value.

    They are put into one linear programme, block by block, since most of the time of a small one
    goes into setting it up.

    Parameters
    ----------
    values : (games, rows, columns).

    Returns
    -------
    mixes : (games, rows), each adding up to 1.
    """
    matrices = np.asarray(values, float)
    games, rows, columns = matrices.shape
    spread = np.ptp(matrices, axis=(1, 2), keepdims=True)
    scaled = (matrices - matrices.min(axis=(1, 2), keepdims=True)) / np.where(spread, spread, 1.0)
    # Maximise v with mix @ matrix >= v for every column: one block a game.
    # As sparse arrays, since of plain ones `block_diag` makes what depends on the release of scipy.
    blocks = [sparse.coo_array(np.hstack([-matrix.T, np.ones((columns, 1))])) for matrix in scaled]
    parts = np.append(np.ones(rows), 0.0)[np.newaxis]
    bounds = np.array([[0.0, 1.0]] * rows + [[-np.inf, np.inf]])
    found = _programme(
        np.tile(np.append(np.zeros(rows), -1.0), games),
        A_ub=sparse.block_diag(blocks, format="csc"),
        b_ub=np.zeros(games * columns),
        A_eq=sparse.kron(sparse.eye_array(games), parts, format="csc"),
        b_eq=np.ones(games),
        bounds=np.tile(bounds, (games, 1)),
    )
    mixes = np.clip(found.reshape(games, rows + 1)[:, :-1], 0.0, None)
    return mixes / mixes.sum(axis=1, keepdims=True)


def _scaled(matrix: Floats) -> Floats:
    return (matrix - matrix.min()) / (float(np.ptp(matrix)) or 1.0)


def _ranges(matrix: Floats, mix: Floats) -> Floats:
    """Least and most use of each row among the mixes that guarantee as much as this one."""
    rows, columns = matrix.shape
    worth = float((mix @ matrix).min())
    ends = np.empty((rows, 2))
    for row in range(rows):
        for end, sign in enumerate((1.0, -1.0)):
            cost = np.zeros(rows)
            cost[row] = sign
            found = _programme(
                cost,
                A_ub=-matrix.T,
                b_ub=np.full(columns, EXACT - worth),
                A_eq=np.ones((1, rows)),
                b_eq=[1.0],
                bounds=[(0.0, 1.0)] * rows,
            )
            ends[row, end] = min(max(found[row], 0.0), 1.0) + 0.0
    return ends


def _programme(cost: Floats, **limits: Any) -> Floats:
    options = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}
    found = linprog(cost, method="highs-ds", options=options, **limits)
    if not found.success:
        raise RuntimeError(f"the game was not solved: {found.message}")
    return found.x
