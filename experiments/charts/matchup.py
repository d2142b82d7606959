"""Offence plans against defence plans: values with intervals, and the mix of each side."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from experiments.charts.heat import cell_number, colours_of, draw_cells, hatch_cells, places
from experiments.charts.style import DEFENCE, OFFENCE, Style, chart
from experiments.studies.matchup import Matchup
from experiments.words.looks import HALF, HARDLY, own_look
from experiments.words.measured import headline, words_of
from experiments.words.wording import minus, percent, percent_range

# Parts of a mix that differ by less are one.
TIED = 0.005


@chart
def matchup(found: Matchup, ax: Axes | None, style: Style) -> Axes:
    """Draw the table of a matchup, with the mix of either side as bars.

    Where mixes with less and with more of a plan are as good, its bar is outlined from one to the
    other. Under each plan stands how often the look that it is named after was thrown first and
    kept; cells where it was thrown in under half of the plays are hatched.
    """
    values, low, high = (found.array(part) for part in ("estimate", "low", "high"))
    rows, columns = values.shape
    s, game, share = found.situation, found.solved.game, found.measure.share
    looks = np.array(
        [[own_look(s, p, found.looks[p, d]) for d in found.defences] for p in found.plans]
    )
    ax = style.axes(ax, 1.2 + (rows + 1) * style.sizes.text * 5.0 / 72.0)
    norm = colours_of(values, share=share)
    draw_cells(ax, values, norm, style.sizes.line)
    hardly = looks[..., 0] < HALF
    fits = style.letters(0.55 * style.sizes.width / columns)
    factor = 100.0 if share else 1.0
    form = f".{places(factor * values)}f"
    for row, column in np.ndindex(rows, columns):
        value, least, most = (factor * float(a[row, column]) for a in (values, low, high))
        ends = f"{least:{form}} to {most:{form}}"
        words = minus(f"{value:{form}}\n{_in_lines(ends, fits)}")
        patch, colour = bool(hardly[row, column]), norm(values[row, column])
        cell_number(ax, row, column, words, colour, patch=patch, linespacing=1.3)
    look: dict[str, Any] = {"edgecolor": OFFENCE, "linewidth": style.sizes.line}
    for k, part in enumerate(_mix_ends(game.row_mix, game.row_range)):
        words = _bar(ax, part, (columns - 0.42, k + 0.12), 0.22, gid="offence mix", **look)
        ax.text(columns - 0.42, k - 0.12, words, va="center")
    look["edgecolor"] = DEFENCE
    for k, part in enumerate(_mix_ends(game.column_mix, game.column_range)):
        words = _bar(ax, part, (k - 0.45, rows - 0.32), 0.16, gid="defence mix", **look)
        ax.text(k - 0.45, rows - 0.13, _in_lines(words, fits), va="top")
    ax.set(xlim=(-0.5, columns + 0.55), ylim=(rows + 0.25, -0.5))
    hatch_cells(ax, hardly)
    plans = ["\n".join([n, *_ranges(*looks[k].T)]) for k, n in enumerate(found.plans)]
    ax.set_yticks([*range(rows), rows - 0.1], [*plans, "defence's mix"], parse_math=False)
    across = [*map(_two_lines, found.defences), "offence's\nmix"]
    ax.set_xticks(range(len(across)), across, parse_math=False)
    ax.xaxis.tick_top()
    ax.xaxis.set_label_position("bottom")
    shown = percent(game.value, 1) if share else minus(f"{game.value:{form}}")
    lines = [
        f"{words_of(found.measure, s)}{', per cent' * share}, with its interval",
        f"{shown} when both sides play their mix",
        *([f"hatched: the plan's own look {HARDLY}"] if hardly.any() else []),
    ]
    style.dress(ax, title=headline(s, plan=False, defence=False), x="\n".join(lines))
    ax.tick_params(length=0)
    ax.spines[:].set_visible(False)
    return ax


def _bar(
    ax: Axes, ends: tuple[float, float], spot: tuple[float, float], high: float, **look: Any
) -> str:
    """A bar as long as the share of a plan, hatched up to the most; gives the share in words."""
    least, most = (0.9 * end for end in ends)
    ax.add_patch(Rectangle(spot, least, high, color=look["edgecolor"], gid=look["gid"]))
    if most > least:
        look |= {"facecolor": "none", "hatch": "///", "gid": f"{look['gid']}, any part"}
        ax.add_patch(Rectangle((spot[0] + least, spot[1]), most - least, high, **look))
    return percent_range(*ends)


def _in_lines(ends: str, fits: int) -> str:
    """A range in a line, or in two where it does not fit."""
    return ends if len(ends) <= fits else ends.replace("to ", "to\n")


def _ranges(thrown: np.ndarray, kept: np.ndarray) -> list[str]:
    """From the least to the most over the defences, for each of the two; nothing where not known."""
    known = {"thrown": thrown[np.isfinite(thrown)], "kept": kept[np.isfinite(kept)]}
    return [f"{word} {percent_range(s.min(), s.max())}" for word, s in known.items() if s.size]


def _two_lines(name: str) -> str:
    """A long name broken at the space or hyphen nearest its middle."""
    breaks = [i for i, letter in enumerate(name) if letter in " -"]
    if len(name) <= 11 or not breaks:
        return name
    at = min(breaks, key=lambda i: abs(i - len(name) / 2))
    return name[: at + (name[at] == "-")] + "\n" + name[at + 1 :]


def _mix_ends(mix: np.ndarray, ends: np.ndarray) -> list[tuple[float, float]]:
    """Least and most of each plan; its part in the mix for both where no other is as good."""
    return [
        (float(part), float(part)) if most - least < TIED else (float(least), float(most))
        for part, (least, most) in zip(mix, ends, strict=True)
    ]
