"""Offence plans against defence plans: values with intervals, and the mix of each side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from experiments.charts.heat import HATCHED, MAP, colours_of, draw_cells, places
from experiments.charts.style import DEFENCE, INK, OFFENCE, Style, dress, ink_on, letters, new_axes
from experiments.studies.matchup import Matchup
from experiments.words.looks import HALF, HARDLY, own_look
from experiments.words.measured import headline, words_of
from experiments.words.wording import minus, percent, percent_range

# Parts of a mix that differ by less are one.
TIED = 0.005


def matchup(found: Matchup, ax: Axes | None = None, style: Style | None = None) -> Axes:
    """Draw the table of a matchup, with the mix of either side as bars.

    Where mixes with less and with more of a plan are as good, its bar is outlined from one to the
    other. Under each plan stands how often the look that it is named after was thrown first and
    kept; cells where it was thrown in under half of the plays are hatched.
    """
    style = style or Style()
    values, low, high = (found.array(part) for part in ("estimate", "low", "high"))
    rows, columns = values.shape
    s, game, share = found.situation, found.solved.game, found.measure.share
    looks = np.array(
        [[own_look(s, p, found.looks[p, d]) for d in found.defences] for p in found.plans]
    )
    if ax is None:
        height = 1.2 + (rows + 1) * style.sizes.text * 5.0 / 72.0
        ax = new_axes(style, height=height)
    norm = colours_of(values, share=share)
    draw_cells(ax, values, norm, style.sizes.line)
    hardly = looks[..., 0] < HALF
    fits = letters(0.55 * style.sizes.width / columns, style.sizes.text)
    factor = 100.0 if share else 1.0
    form = f".{places(factor * values)}f"
    for row, column in np.ndindex(rows, columns):
        value, least, most = (factor * float(a[row, column]) for a in (values, low, high))
        paper = colormaps[MAP](norm(values[row, column]))
        ends = f"{least:{form}} to {most:{form}}"
        if len(ends) > fits:
            ends = ends.replace("to ", "to\n")
        patch = {"facecolor": paper, "edgecolor": "none", "pad": 1.0}
        ax.text(
            column,
            row,
            minus(f"{value:{form}}\n{ends}"),
            ha="center",
            va="center",
            fontsize=style.sizes.text,
            color=ink_on(paper),
            linespacing=1.3,
            bbox=patch if hardly[row, column] else None,
            gid="number",
        )
    _mixes(
        ax,
        _mix_ends(game.row_mix, game.row_range),
        _mix_ends(game.column_mix, game.column_range),
        style,
    )
    ax.set_xlim(-0.5, columns + 0.55)
    ax.set_ylim(rows + 0.25, -0.5)
    for row, column in np.argwhere(hardly):
        ax.add_patch(Rectangle((column - 0.5, row - 0.5), 1.0, 1.0, **HATCHED, gid="hatched cell"))
    plans = ["\n".join([n, *_ranges(*looks[k].T)]) for k, n in enumerate(found.plans)]
    _names(ax, plans, found.defences)
    shown = percent(game.value, 1) if share else minus(f"{game.value:{form}}")
    words = [
        f"{words_of(found.measure, s)}{', per cent' * share}, with its interval",
        f"{shown} when both sides play their mix",
        *([f"hatched: the plan's own look {HARDLY}"] if hardly.any() else []),
    ]
    title = headline(s, plan=False, defence=False)
    dress(ax, style, title=title, x="\n".join(words))
    ax.tick_params(length=0)
    for spine in ax.spines.values():
        spine.set_visible(False)
    return ax


def _names(ax: Axes, plans: Sequence[str], defences: Sequence[str]) -> None:
    """Offence plans at the left, defence plans on top, the mixes after them."""
    ax.set_yticks([*range(len(plans)), len(plans) - 0.1], [*plans, "defence's mix"])
    across = [*map(_two_lines, defences), "offence's\nmix"]
    ax.set_xticks(range(len(across)), across)
    ax.xaxis.tick_top()
    ax.xaxis.set_label_position("bottom")
    for label in (*ax.get_xticklabels(), *ax.get_yticklabels()):
        label.set_parse_math(False)


def _ranges(thrown: np.ndarray, kept: np.ndarray) -> list[str]:
    """From the least to the most over the defences, for each of the two; nothing where not known."""
    lines = []
    for word, shares in (("thrown", thrown), ("kept", kept)):
        known = shares[np.isfinite(shares)]
        if known.size:
            lines.append(f"{word} {percent_range(known.min(), known.max())}")
    return lines


def _two_lines(name: str) -> str:
    """A long name broken at the space or hyphen nearest its middle."""
    if len(name) <= 11:
        return name
    breaks = [i for i, letter in enumerate(name) if letter in " -"]
    if not breaks:
        return name
    at = min(breaks, key=lambda i: abs(i - len(name) / 2))
    return name[: at + (name[at] == "-")] + "\n" + name[at + 1 :]


def _mix_ends(mix: np.ndarray, ends: np.ndarray) -> list[tuple[float, float]]:
    """Least and most of each plan; its part in the mix for both where no other is as good."""
    return [
        (float(part), float(part)) if most - least < TIED else (float(least), float(most))
        for part, (least, most) in zip(mix, ends, strict=True)
    ]


def _mixes(
    ax: Axes,
    offence: list[tuple[float, float]],
    defence: list[tuple[float, float]],
    style: Style,
) -> None:
    """Bars as long as the share of each plan, with the share beside or in them."""
    rows, columns = len(offence), len(defence)
    look: dict[str, Any] = {"fontsize": style.sizes.text, "color": INK}
    sides = (
        (offence, OFFENCE, 0.22, "offence mix"),
        (defence, DEFENCE, 0.16, "defence mix"),
    )
    for parts, colour, height, gid in sides:
        for place, (least, most) in enumerate(parts):
            ours = gid == "offence mix"
            x, y = (columns - 0.42, place + 0.12) if ours else (place - 0.45, rows - 0.32)
            ax.add_patch(Rectangle((x, y), 0.9 * least, height, color=colour, gid=gid))
            if most > least:
                ax.add_patch(
                    Rectangle(
                        (x + 0.9 * least, y),
                        0.9 * (most - least),
                        height,
                        facecolor="none",
                        edgecolor=colour,
                        hatch="///",
                        linewidth=style.sizes.line,
                        gid=f"{gid}, any part",
                    )
                )
            words = percent_range(least, most)
            if not ours and len(words) > letters(
                0.55 * style.sizes.width / columns, style.sizes.text
            ):
                words = words.replace("to ", "to\n")
            spot = (x, place - 0.12) if ours else (x, rows - 0.13)
            ax.text(*spot, words, va="center" if ours else "top", **look)
