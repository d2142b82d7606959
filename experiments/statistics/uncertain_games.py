"""How sure the mixes of a game are, when its values come from a limited number of rehearsals."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from experiments.statistics.estimates import Estimate
from experiments.statistics.games import Floats, Game, best_mixes, exploit, solve_game

# A part in a mix that is more than the arithmetic of the linear programme.
USED = 1e-6

Cells = Sequence[Sequence[npt.NDArray]]


@dataclasses.dataclass(frozen=True, eq=False)
class UncertainGame:
    """A game solved from rehearsals, and solved again from rehearsals drawn from those.

    Attributes
    ----------
    game : the solution for the averages.
    value : its value with the interval that holds `level` of the draws.
    row_low, row_high, column_low, column_high : the interval of each plan's part in the mix.
    row_used, column_used : the share of draws in which a plan has any part.
    loss : average, over the draws, of what the two sides could gain together against the mixes
        of `game` if the draw were the truth: what acting on this table may cost.
    draws : how many bootstrap samples of the rehearsals were drawn.
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
    cells: Cells, seed: int, draws: int = 400, paired: bool = True, level: float = 0.95
) -> UncertainGame:
    """Solve a game whose cells are rehearsed, and say how sure the answer is.

    Parameters
    ----------
    cells : for each row and column, (R,) results of rehearsals: true and false, or numbers.
    seed : of the draws; the same gives the same answer.
    draws : how many times to draw the rehearsals anew, with replacement (the bootstrap, Efron
        1979, Ann. Stat. 7:1-26; percentile intervals). Where several mixes are as good, these
        intervals tell how far the mix may wander, not how often they hold it.
        To each cell of a draw one failure and one best result are added with random weight, since
        those that are rare may not have been seen.
    paired : every cell has the same rehearsals, some perhaps fewer of them, and they are drawn
        together, as common luck wants; otherwise each cell is drawn on its own.

    Raises
    ------
    ValueError : if a cell is empty or holds NaN, or there are fewer than 2 draws.
    """
    columns = [np.asarray(cell, float) for row in cells for cell in row]
    shape = len(cells), len(cells[0]) if len(cells) else 0
    if len(columns) != shape[0] * shape[1] or not columns:
        raise ValueError("a game needs the same number of cells, at least one, in every row")
    if any(column.size == 0 or np.isnan(column).any() for column in columns):
        raise ValueError("every cell of a game needs rehearsals, each with a value")
    if draws < 2:
        raise ValueError(f"draws is {draws}; it must be at least 2")
    rng = np.random.Generator(np.random.Philox(seed))
    game = solve_game(np.reshape([_average(column) for column in columns], shape))
    redrawn = _together(columns, draws, rng) if paired else _apart(columns, draws, rng)
    unseen = _Unseen(columns, rng)
    matrices = np.stack([unseen.added(averages).reshape(shape) for averages in redrawn])
    rows, others = best_mixes(matrices), best_mixes(-matrices.transpose(0, 2, 1))
    values = [float((mix @ matrix).min()) for mix, matrix in zip(rows, matrices, strict=True)]
    losses = [exploit(matrix, game.row_mix, game.column_mix) for matrix in matrices]
    ends = [(1.0 - level) / 2.0, (1.0 + level) / 2.0]
    low, high = map(float, np.quantile(values, ends))
    n = min(column.size for column in columns)
    row_ends, column_ends = np.quantile(rows, ends, axis=0), np.quantile(others, ends, axis=0)
    return UncertainGame(
        game=game,
        value=Estimate(game.value, min(low, game.value), max(high, game.value), n, level),
        row_low=row_ends[0],
        row_high=row_ends[1],
        column_low=column_ends[0],
        column_high=column_ends[1],
        row_used=np.mean(rows > USED, axis=0),
        column_used=np.mean(others > USED, axis=0),
        loss=math.fsum(losses) / draws,
        draws=draws,
    )


class _Unseen:
    """What a cell's rehearsals may not have shown yet: a failure, and a result as good as any.

    Each counts as a rehearsal with an exponential weight of mean 1, as every rehearsal does in the
    Bayesian bootstrap (Rubin 1981, Ann. Stat. 9:130-134). Where nothing failed in n rehearsals this
    gives up to 3.7 failures in n at 97.5 %, as the exact binomial bound does.
    """

    def __init__(self, columns: list[Floats], rng: np.random.Generator) -> None:
        self._sizes = np.array([column.size for column in columns], float)
        self._worst = min(0.0, *(float(column.min()) for column in columns))
        self._best = max(float(column.max()) for column in columns)
        self._rng = rng

    def added(self, averages: Floats) -> Floats:
        """The averages of the cells with both added."""
        weights = self._rng.exponential(size=(2, len(averages)))
        total = self._sizes * averages + weights[0] * self._worst + weights[1] * self._best
        return np.asarray(total / (self._sizes + weights.sum(axis=0)))


def _together(columns: list[Floats], draws: int, rng: np.random.Generator) -> Iterator[Floats]:
    n = max(column.size for column in columns)
    for _ in range(draws):
        times = np.bincount(rng.integers(n, size=n), minlength=n)
        yield np.array([_drawn(column, times[: column.size]) for column in columns])


def _drawn(column: Floats, times: npt.NDArray[np.int64]) -> float:
    """Average over the rehearsals that were drawn; of a cell that got none, over all it has."""
    total = int(times.sum())
    return float((column * times).sum()) / total if total else _average(column)


def _apart(columns: list[Floats], draws: int, rng: np.random.Generator) -> Iterator[Floats]:
    for _ in range(draws):
        yield np.array([_average(c[rng.integers(c.size, size=c.size)]) for c in columns])


def _average(column: Floats) -> float:
    return float(np.mean(column))
