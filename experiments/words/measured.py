"""What was measured, in words: values and differences of any measure with their ranges."""

from __future__ import annotations

import math
from collections.abc import Sequence

from experiments.situations.setting_paths import Setting
from experiments.situations.situation import Situation
from experiments.statistics.estimates import Estimate, decimals
from experiments.statistics.measures import Measure
from experiments.words.units import UNITS
from experiments.words.wording import kept_word, minus, share_with_range, title_of


def words_of(measure: Measure, situation: Situation) -> str:
    """What a measure is called in a situation."""
    return kept_word(situation) if measure.name == "completed" else measure.words


def headline(situation: Situation) -> str:
    """The title of a chart: what is played, and against what."""
    return f"{title_of(situation)}: {situation.plan} against {situation.defence}"


def unit_of(setting: Setting) -> str:
    """The unit of a setting, without the brackets that some have in files' errors."""
    return setting.unit.strip("()")


def told(found: Estimate, measure: Measure, units: str = "m") -> str:
    """A value with its range, such as '93.2 % (92.4 to 93.9)' or '0.951 (0.942 to 0.960)'."""
    if measure.share:
        return share_with_range(found)
    return _ranged(found, *_unit(measure, units), signed=measure.name == "gain_m")


def told_difference(found: Estimate, measure: Measure, units: str = "m") -> str:
    """A difference with its range; of shares in percentage points."""
    factor, unit = (100.0, "points") if measure.share else _unit(measure, units)
    return _ranged(found, factor, unit, signed=True)


def number(value: float) -> str:
    """A value of a setting, with a true minus sign."""
    return minus(f"{value:.6g}")


def span(values: Sequence[float], unit: str = "") -> str:
    """From the first value to the last, with the unit."""
    ends = (values[0], values[-1])
    text = number(ends[0]) if ends[0] == ends[1] else f"{number(ends[0])} to {number(ends[1])}"
    return f"{text} {unit}".rstrip()


def _unit(measure: Measure, units: str) -> tuple[float, str]:
    return (UNITS[units], units) if measure.unit == "m" else (1.0, measure.unit)


def _ranged(found: Estimate, factor: float, unit: str, *, signed: bool) -> str:
    if not math.isfinite(found.estimate):
        return "not known"
    middle, low, high = (factor * v for v in (found.estimate, found.low, found.high))
    # A value known to within nothing is still not worth more than three digits after the point.
    half = (high - low) / 2.0
    digits = decimals(half) if half > 0.0 else 3
    form = f"{'+' if signed else ''}.{min(digits, 3)}f"
    text = f"{minus(f'{middle:{form}}')} {unit}".rstrip()
    if not (math.isfinite(low) and math.isfinite(high)):
        return f"{text} (too few for an interval)"
    return f"{text} ({minus(f'{low:{form}} to {high:{form}}')})"
