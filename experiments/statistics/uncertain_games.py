"""How sure the value and the mixes of a game are, whose cells come from a number of rehearsals.

Rehearsals are drawn anew by random weights (the Bayesian bootstrap, Rubin 1981, Ann. Stat.
9:130-134), with one rehearsal more that was not seen, at the end of what is possible. For a single
cell of successes and failures that gives exactly Clopper and Pearson's interval, and for bounded
numbers Gaffke's bound (2005, Math. Methods Stat. 14; in Learned-Miller & Thomas 2019,
arXiv:1905.06208), so a failure that was never seen still counts.

The value of a game is at least what a mix of rows gets from the best answer to it, and at most what
the best answer gets from a mix of columns, whatever the mixes (von Neumann 1928). Those of the
solution are the luckiest of many, so each end allows for the number of plans they were chosen among
(Bonferroni). `tests/experiments/statistics/test_games.py` says how often the interval holds.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from experiments.statistics.estimates import Estimate
from experiments.statistics.games import Floats, Game, best_mixes, exploit, solve_game

# A part in a mix that is more than the arithmetic of the linear programme.
USED = 1e-6
# Draws for the ends of the value, which lie far out, and how many numbers are drawn at once.
VALUE_DRAWS, AT_ONCE = 2000, 4_000_000

Cells = Sequence[Sequence[npt.NDArray]]


@dataclasses.dataclass(frozen=True, eq=False)
class UncertainGame:
    """A game solved from rehearsals, and solved again from rehearsals drawn from those.

    Attributes
    ----------
    game : the solution for the averages.
    value : its value with an interval.
    row_low, row_high, column_low, column_high : the interval of each plan's part in the mix.
    row_used, column_used : the share of draws in which a plan has any part.
    loss : average, over the draws, of what the two sides could gain together against the mixes
        of `game` if the draw were the truth: what acting on this table may cost.
    draws : how many times the game was solved again.
    """

    game: Game
    value: Estimate
    row_low: Floats
    row_high: Floats
    column_low: Floats
    column_high: Floats
    row_used: Floats
    column_used: Floats
    loss: float
    draws: int


def solve_rehearsed(
    cells: Cells,
    seed: int,
    draws: int = 400,
    level: float = 0.95,
    ends: tuple[float, float] | None = None,
) -> UncertainGame:
    """Solve a game whose cells are rehearsed, and say how sure the answer is.

    Parameters
    ----------
    cells : for each row and column, (R,) results of rehearsals: true and false, or numbers. Every
        cell has the same ones, some perhaps fewer; they are drawn together, as common luck wants.
    seed : of the draws; the same gives the same answer.
    draws : how many times to solve the game again, for the intervals of the mixes. Where several
        mixes are as good, these tell how far the mix may wander, not how often they hold it.
    ends : the least and the most that a rehearsal not seen may have come to; 0 and 1 for true and
        false, of numbers the least and the most seen if None.

    Raises
    ------
    ValueError : if a cell is empty or holds NaN, or there are fewer than 2 draws.
    """
    columns = [np.asarray(cell) for row in cells for cell in row]
    shape = len(cells), len(cells[0]) if len(cells) else 0
    if len(columns) != shape[0] * shape[1] or not columns:
        raise ValueError("a game needs the same number of cells, at least one, in every row")
    if any(c.size == 0 or np.isnan(c.astype(float)).any() for c in columns):
        raise ValueError("every cell of a game needs rehearsals, each with a value")
    if draws < 2:
        raise ValueError(f"draws is {draws}; it must be at least 2")
    if ends is None:
        flags = all(c.dtype == np.bool_ for c in columns)
        known = [float(end) for c in columns for end in (np.min(c), np.max(c))]
        ends = (0.0, 1.0) if flags else (min(known), max(known))
    columns = [c.astype(float) for c in columns]
    rng = np.random.Generator(np.random.Philox(seed))
    game = solve_game(np.reshape([np.mean(c, dtype=float) for c in columns], shape))
    value = _value(columns, game, rng, ends, level)
    # Not seen in one cell is not unseen in all: a coin for each, or no plan would lose by it.
    unseen = np.where(rng.random((draws, len(columns))) < 0.5, *ends)
    seen, rest = _drawn(columns, rng, draws)
    matrices = (seen + rest * unseen).reshape(draws, *shape)
    rows, others = best_mixes(matrices), best_mixes(-matrices.transpose(0, 2, 1))
    losses = [exploit(matrix, game.row_mix, game.column_mix) for matrix in matrices]
    tails = [(1.0 - level) / 2.0, (1.0 + level) / 2.0]
    row_ends, column_ends = np.quantile(rows, tails, axis=0), np.quantile(others, tails, axis=0)
    return UncertainGame(
        game=game,
        value=value,
        row_low=row_ends[0],
        row_high=row_ends[1],
        column_low=column_ends[0],
        column_high=column_ends[1],
        row_used=np.mean(rows > USED, axis=0),
        column_used=np.mean(others > USED, axis=0),
        loss=math.fsum(losses) / draws,
        draws=draws,
    )


def _value(
    columns: list[npt.NDArray],
    game: Game,
    rng: np.random.Generator,
    ends: tuple[float, float],
    level: float,
) -> Estimate:
    """The value, at least what the rows' mix is sure of and at most what the columns' concedes."""
    seen, rest = _drawn(columns, rng, VALUE_DRAWS)
    worse, better = ((seen + rest * end).reshape(-1, *game.values.shape) for end in ends)
    tail, value = (1.0 - level) / 2.0, game.value
    rows, others = game.values.shape
    low = float(np.quantile((game.row_mix @ worse).min(axis=1), tail / rows))
    high = float(np.quantile((better @ game.column_mix).max(axis=1), 1.0 - tail / others))
    # Weights add up to 1 but for their last bits, so an end may lie a hair outside.
    low, high = min(max(low, ends[0]), value), max(min(high, ends[1]), value)
    return Estimate(value, low, high, min(column.size for column in columns), level)


def _drawn(
    columns: list[npt.NDArray], rng: np.random.Generator, draws: int
) -> tuple[Floats, Floats]:
    """(draws, cells) what was seen, and the weight of what was not, in rehearsals drawn anew."""
    sizes = np.array([column.size for column in columns])
    seen, rest = np.empty((2, draws, len(columns)))
    step = max(1, AT_ONCE // int(sizes.max()))
    for start in range(0, draws, step):
        now = slice(start, start + step)
        unseen = rng.exponential(size=(len(seen[now]), 1))
        weights = rng.exponential(size=(len(seen[now]), int(sizes.max())))
        for size in np.unique(sizes):
            here = np.flatnonzero(sizes == size)
            part = weights[:, :size]
            totals = part.sum(axis=1, keepdims=True) + unseen
            seen[now, here] = part @ np.stack([columns[i] for i in here], axis=1) / totals
            rest[now, here] = unseen / totals
    return seen, rest
