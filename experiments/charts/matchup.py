"""Offence plans against defence plans: values with intervals, and the mix of each side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from experiments.charts.heat import HATCHED, MAP, colours_of, places
from experiments.charts.style import DEFENCE, INK, OFFENCE, Style, dress, ink_on, letters, new_axes
from experiments.words.looks import HALF, HARDLY
from experiments.words.wording import minus, percent, percent_range

# Parts of a mix that differ by less are one.
TIED = 0.005


def matchup(
    values: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    ax: Axes | None = None,
    *,
    offence: Sequence[str],
    defence: Sequence[str],
    offence_mix: np.ndarray | None = None,
    defence_mix: np.ndarray | None = None,
    offence_range: np.ndarray | None = None,
    defence_range: np.ndarray | None = None,
    game_value: float | None = None,
    thrown: np.ndarray | None = None,
    kept: np.ndarray | None = None,
    measure: str = "completed",
    share: bool = True,
    title: str = "",
    style: Style | None = None,
) -> Axes:
    """Draw the table of a matchup.

    Parameters
    ----------
    values, low, high : (offence plans, defence plans) estimates and their intervals.
    ax : axes to draw on; None makes a figure.
    offence, defence : names of the plans.
    offence_mix, defence_mix : how often each plan is to be played, shares that add up to 1.
    offence_range, defence_range : (plans, 2) the least and the most of each plan among mixes that
        are as good; where they differ the bar is outlined from one to the other.
    game_value : what the offence gets when both sides mix so.
    thrown, kept : (offence plans, defence plans) how often the look that the plan is named after
        was thrown first, and kept then, NaN where it is named after none; their range stands under
        the plan, and cells where it was thrown in under half of the plays are hatched.
    measure : what the values are.
    share : True when they are shares, shown in per cent.
    title : of the chart.
    style : sizes.
    """
    style = style or Style()
    rows, columns = np.shape(values)
    mixes = offence_mix is not None and defence_mix is not None
    if ax is None:
        text = style.sizes.text
        height = 1.2 + (rows + mixes) * text * 5.0 / 72.0
        ax = new_axes(style, height=height)
    norm = colours_of(np.asarray(values, dtype=float), share=share)
    mesh = ax.pcolormesh(
        np.arange(columns + 1) - 0.5,
        np.arange(rows + 1) - 0.5,
        values,
        cmap=MAP,
        norm=norm,
        edgecolor="white",
        linewidth=style.sizes.line,
    )
    mesh.set_gid("cells")
    hardly = np.zeros((rows, columns), bool) if thrown is None else thrown < HALF
    fits = letters(0.55 * style.sizes.width / columns, style.sizes.text)
    factor = 100.0 if share else 1.0
    form = f".{places(factor * np.asarray(values, dtype=float))}f"
    for row in range(rows):
        for column in range(columns):
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
    if mixes:
        assert offence_mix is not None
        assert defence_mix is not None
        _mixes(
            ax,
            _mix_ends(offence_mix, offence_range),
            _mix_ends(defence_mix, defence_range),
            style,
        )
    ax.set_xlim(-0.5, columns - 0.5 + (1.05 if mixes else 0.0))
    ax.set_ylim(rows - 0.5 + (0.75 if mixes else 0.0), -0.5)
    for row, column in np.argwhere(hardly):
        ax.add_patch(Rectangle((column - 0.5, row - 0.5), 1.0, 1.0, **HATCHED, gid="hatched cell"))
    if thrown is not None and kept is not None:
        offence = [
            "\n".join([name, *_ranges(thrown[row], kept[row])]) for row, name in enumerate(offence)
        ]
    _names(ax, offence, defence, style, mixes=mixes)
    words = f"{measure}, per cent, with its interval" if share else f"{measure}, with its interval"
    if game_value is not None:
        shown = percent(game_value, 1) if share else minus(f"{game_value:{form}}")
        words += f"\n{shown} when both sides play their mix"
    if hardly.any():
        words += f"\nhatched: the plan's own look {HARDLY}"
    dress(ax, style, title=title, x=words)
    ax.tick_params(length=0)
    for spine in ax.spines.values():
        spine.set_visible(False)
    return ax


def _names(
    ax: Axes, offence: Sequence[str], defence: Sequence[str], style: Style, *, mixes: bool
) -> None:
    """Offence plans at the left, defence plans on top, in the words and colours of their side."""
    below = ["defence's mix"] if mixes else []
    beside = ["offence's\nmix"] if mixes else []
    ax.set_yticks([*range(len(offence)), *([len(offence) - 0.1] if mixes else [])])
    ax.set_yticklabels([*offence, *below])
    ax.set_xticks([*range(len(defence)), *([len(defence)] if mixes else [])])
    ax.set_xticklabels([_two_lines(name) for name in defence] + beside)
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


def _mix_ends(mix: np.ndarray, ends: np.ndarray | None) -> list[tuple[float, float]]:
    """Least and most of each plan; its part in the mix for both where no other is as good."""
    if ends is None:
        return [(float(part), float(part)) for part in mix]
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
            ax.text(x, place - 0.12 if ours else rows + 0.02, words, va="center", **look)
