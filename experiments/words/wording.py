"""Estimates in a coach's words: rounded to their precision, with their interval."""

from __future__ import annotations

import math
from typing import Any

from experiments.statistics.estimates import decimals
from policies.marks import TO_A_SIDE
from sim.field import YARD

# The units in which lengths are shown; inside, everything is in metres.
UNITS = {"m": 1.0, "yd": 1.0 / YARD}
UNIT_WORDS = {"m": "metres", "yd": "yards"}


def percent(share: float, digits: int | None = None) -> str:
    """A share as a percentage; with a decimal only near 0 and 100."""
    if not math.isfinite(share):
        return "not known"
    if digits is None:
        digits = 1 if share < 0.1 or share > 0.9 else 0
    return f"{100.0 * share:.{digits}f} %"


def percent_range(low: float, high: float) -> str:
    """From one share to another, such as '66 to 87 %'; one of them where they are the same."""
    least, most = f"{100.0 * low:.0f}", percent(high, 0)
    return most if most in (f"{least} %", "not known") else f"{least} to {most}"


def share_with_range(estimate: Any) -> str:
    """For example '93.2 % (92.4 to 93.9)'; 'not known' without data."""
    value = float(estimate.estimate)
    if not math.isfinite(value):
        return "not known"
    digits = 1 if value < 0.1 or value > 0.9 else 0
    low, high = (f"{100.0 * end:.{digits}f}" for end in (estimate.low, estimate.high))
    return f"{percent(value, digits)} ({low} to {high})"


def length_with_range(estimate: Any, units: str = "m", *, signed: bool = False) -> str:
    """For example '7.1 m (6.9 to 7.3)', or '+7.1 m' for a gain."""
    return amount_with_range(estimate, units, factor=UNITS[units], signed=signed)


def amount_with_range(
    estimate: Any,
    unit: str = "",
    *,
    factor: float = 1.0,
    signed: bool = False,
    digits: int | None = 1,
) -> str:
    """A quantity with its interval; `factor` turns metres into the shown unit.

    `digits` after the point; None gives as many as the interval is worth, three at most.
    """
    if not math.isfinite(estimate.estimate):
        return "not known"
    value, low, high = (factor * v for v in (estimate.estimate, estimate.low, estimate.high))
    half = (high - low) / 2.0
    # An interval without width still gets no more than three digits after the point.
    places = min(decimals(half), 3) if digits is None else digits
    form = f"{'+' if signed else ''}.{places}f"
    middle = f"{minus(f'{value:{form}}')} {unit}".rstrip()
    if not math.isfinite(half):
        return f"{middle} (too few for an interval)"
    if digits is not None and f"{low:.{places}f}" == f"{high:.{places}f}":
        return f"{middle} (within {10.0**-places:g})"
    return f"{middle} ({minus(f'{low:{form}} to {high:{form}}')})"


def minus(text: str) -> str:
    """Numbers with a true minus sign, as on the axes of charts."""
    return text.replace("-", "\N{MINUS SIGN}")


def count(number: int) -> str:
    """A whole number with commas between the thousands."""
    return f"{number:,}"


def join(parts: list[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def kept_word(situation: Any) -> str:
    """What `completion` counts: throws completed, or plays in which the disc was never lost."""
    return "completed" if getattr(situation, "until", "throw") == "throw" else "kept or scored"


def force_words(situation: Any) -> str:
    """The force, such as 'force middle', or 'force home (right)' with the side of the bench."""
    bench = f" ({situation.home})" if situation.force in TO_A_SIDE else ""
    return f"force {situation.force}{bench}"


def title_of(situation: Any) -> str:
    """The title of a situation; its name where it has none."""
    return str(situation.title or getattr(situation, "name", "") or "Situation")


def length(metres: float, units: str = "m", digits: int = 1) -> str:
    """A length with its unit."""
    return f"{metres * UNITS[units]:.{digits}f} {units}"


def estimate_lines(study: Any, units: str = "m") -> list[tuple[str, str]]:
    """The estimates of a study, each as what it is and its value with its range.

    A quantity that was never seen, such as the gain when nothing was completed, is "not known".
    """
    goals = ("goals", share_with_range(study.goals))
    gain = ("gain", length_with_range(study.gain_m, units, signed=True))
    asks = study.situation.asks
    return [
        *([goals] if asks == "goal" else [gain] if asks == "gain" else []),
        (kept_word(study.situation), share_with_range(study.completion)),
        *([] if asks == "goal" or not study.goals.estimate else [goals]),
        *([] if asks == "gain" else [gain]),
        ("off the middle", length_with_range(study.off_centre, units)),
        ("trapped", share_with_range(study.trapped)),
        ("stall at release", amount_with_range(study.stall_at_release)),
    ]
