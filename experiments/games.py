"""Zero-sum matrix games: what to call when the other side may answer with anything.

Rows are the plans of the side that wants much, columns those of the side that wants to give
little. The best mixes are found exactly by linear programming (von Neumann 1928, Math. Ann.
100:295-320; the programme as in Dantzig 1951), and each solution carries its own proof: how much
either side could still gain against it.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import numpy.typing as npt
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
    row_range, column_range : (plans, 2) the least and the most a plan is used among all the
        mixes that are as good; where they differ, the mix shown is one of many.
    gap : what the best answers to the two mixes leave between them: 0 proves both are best.
    """

    values: Floats
    value: float
    row_mix: Floats
    column_mix: Floats
    row_range: Floats
    column_range: Floats
    gap: float

    @property
    def saddle(self) -> tuple[int, int] | None:
        """Row and column of a pair of single plans neither side would leave, if there is one."""
        values = self.values
        worst, best = values.min(axis=1, keepdims=True), values.max(axis=0, keepdims=True)
        cells = np.argwhere((values == worst) & (values == best))
        return None if len(cells) == 0 else (int(cells[0][0]), int(cells[0][1]))


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
    spread = float(np.ptp(matrix)) or 1.0
    scaled = (matrix - matrix.min()) / spread
    row_mix, row_worth = _best_mix(scaled)
    column_mix, column_worth = _best_mix(1.0 - scaled.T)
    gap = exploit(matrix, row_mix, column_mix)
    if gap > EXACT * spread:
        raise RuntimeError(f"the game was not solved: {gap:g} is left to gain")
    value = float((matrix @ column_mix).max() + (row_mix @ matrix).min()) / 2.0
    return Game(
        matrix,
        value,
        row_mix,
        column_mix,
        _ranges(scaled, row_worth),
        _ranges(1.0 - scaled.T, column_worth),
        gap,
    )


def exploit(values: npt.ArrayLike, row_mix: npt.ArrayLike, column_mix: npt.ArrayLike) -> float:
    """What the two sides could gain together by answering each other's mix as well as they can.

    It is never negative, and 0 only if both mixes are best (the minimax theorem).
    """
    matrix = np.asarray(values, float)
    against_column = matrix @ np.asarray(column_mix, float)
    against_row = np.asarray(row_mix, float) @ matrix
    return float(against_column.max() - against_row.min())


def best_mix(values: npt.ArrayLike) -> Floats:
    """A mix of rows with the largest guaranteed value, without the rest of `solve_game`."""
    matrix = np.asarray(values, float)
    return _best_mix((matrix - matrix.min()) / (float(np.ptp(matrix)) or 1.0))[0]


def _best_mix(matrix: Floats) -> tuple[Floats, float]:
    """Maximise v with mix @ matrix >= v for every column."""
    rows, columns = matrix.shape
    cost = np.append(np.zeros(rows), -1.0)
    no_worse = np.hstack([-matrix.T, np.ones((columns, 1))])
    whole = np.append(np.ones(rows), 0.0)[np.newaxis]
    bounds = [(0.0, 1.0)] * rows + [(None, None)]
    found = _programme(cost, A_ub=no_worse, b_ub=np.zeros(columns), A_eq=whole, bounds=bounds)
    mix = np.clip(found[:-1], 0.0, None)
    mix /= mix.sum()
    return mix, float((mix @ matrix).min())


def _ranges(matrix: Floats, worth: float) -> Floats:
    """Least and most use of each row among the mixes that guarantee the worth."""
    rows, columns = matrix.shape
    floor = np.full(columns, -(worth - EXACT))
    ends = np.empty((rows, 2))
    for row in range(rows):
        for end, sign in enumerate((1.0, -1.0)):
            cost = np.zeros(rows)
            cost[row] = sign
            found = _programme(
                cost,
                A_ub=-matrix.T,
                b_ub=floor,
                A_eq=np.ones((1, rows)),
                bounds=[(0.0, 1.0)] * rows,
            )
            ends[row, end] = min(max(found[row], 0.0), 1.0) + 0.0
    return ends


def _programme(cost: Floats, **limits: Any) -> Floats:
    options = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}
    found = linprog(cost, b_eq=[1.0], method="highs-ds", options=options, **limits)
    if not found.success:
        raise RuntimeError(f"the game was not solved: {found.message}")
    return found.x
