"""What was measured, in words: values and differences of any measure with their ranges."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from experiments.situations.asks import ASKS
from experiments.situations.setting_paths import Setting
from experiments.situations.situation import Situation
from experiments.situations.tables import is_number
from experiments.statistics.comparison import Comparison
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import MEASURES, ByChance, Measure
from experiments.statistics.weights import Weights
from experiments.words import wording
from experiments.words.text_table import TextTable

# Tables of a situation file whose names mean nothing to a reader of a chart.
_TABLES = (
    "plans", "looks", "defences", "roster", "attackers", "defenders", "ability", "at", "judgement",
)  # fmt: skip


def words_of(measure: Measure, situation: Situation) -> str:
    """What a measure is called in a situation."""
    return wording.kept_word(situation) if measure.name == "completed" else measure.words


def headline(
    situation: Situation, *, plan: bool = True, defence: bool = True, force: bool = True
) -> str:
    """The title of a chart: plan, defence, force and wind; without what the chart itself compares."""
    what = [situation.plan] if plan else []
    what += [f"against {situation.defence}"] if defence else []
    wind = f", wind {situation.wind.speed:g} m/s" if situation.wind.speed else ""
    parts = [" ".join(what)] * bool(what) + [wording.force_words(situation)] * force
    said = ", ".join(parts)
    return f"{wording.title_of(situation)}: {said}{wind}"


def score_line(weights: Weights) -> str:
    """The weights of a score, in a line."""
    return f"score: {weights}; 0 for a pass that is not completed"


def label_of(path: str) -> str:
    """A setting in a reader's words, such as 'from (strike, look 1)' or 'top speed (offence)'."""
    *above, last = path.split(".")
    owners = []
    for before, part in zip(["", *above], above, strict=False):
        if part.isdigit() and before == "looks":
            owners.append(f"look {int(part) + 1}")
        elif part not in _TABLES:
            owners.append(part)
    if above and above[-1] == "at":
        last = ("across the field", "downfield")[int(last)]
    name = last.replace("_", " ")
    return f"{name} ({', '.join(owners)})" if owners else name


def axis_of(setting: Setting) -> str:
    """A setting in a reader's words with its unit, for an axis."""
    return with_unit(label_of(setting.path), unit_of(setting))


def in_use(setting: Setting) -> str:
    """The value of a setting in use, for a legend."""
    return f"in use: {span((setting.value, setting.value), unit_of(setting))}"


def measure_axis(measure: Measure, situation: Situation) -> str:
    """A measure with its unit, for an axis."""
    return with_unit(words_of(measure, situation), measure.unit)


def with_unit(words: str, unit: str) -> str:
    """Words with a unit in brackets, where there is one."""
    return f"{words} ({unit})" if unit else words


def changes_in_words(changes: Mapping[str, tuple[Any, Any]], situation: Situation) -> str:
    """What some settings were and are now, such as 'cushion (man, handlers) 2.5 to 0.6 m'."""
    parts = []
    for path, pair in changes.items():
        old, new = (number(v) if is_number(v) else str(v) for v in pair)
        unit = situation.setting(path).unit if is_number(pair[1]) else ""
        parts.append(f"{label_of(path)} {in_unit(f'{old} to {new}', unit)}")
    return "; ".join(parts)


def unit_of(setting: Setting) -> str:
    """The unit of a setting, without the brackets around units that only describe."""
    return setting.unit.strip("()")


def told(found: Estimate, measure: Measure, units: str = "m") -> str:
    """A value with its range, such as '93.2 % (92.4 to 93.9)' or '0.951 (0.942 to 0.960)'."""
    if measure.share:
        return wording.share_with_range(found)
    factor, unit = _unit(measure, units)
    signed = measure.name == "gain_m"
    return wording.amount_with_range(found, unit, factor=factor, signed=signed, digits=None)


def told_difference(found: Estimate, measure: Measure, units: str = "m") -> str:
    """A difference with its range; of shares in percentage points."""
    factor, unit = (100.0, "points") if measure.share else _unit(measure, units)
    return wording.amount_with_range(found, unit, factor=factor, signed=True, digits=None)


def margin_told(margin: float, measure: Measure) -> str:
    """A margin in the measure's own unit, such as '1 point', '0.5 m' or '0.01' of the score."""
    if not measure.share:
        return f"{margin:g} {measure.unit}".rstrip()
    points = 100.0 * margin
    return f"{points:g} point{'s' * (points != 1.0)}"


def in_a_sentence(found: Comparison, situation: Situation, units: str = "m") -> str:
    """What the situation asks, after less before, in words, from a comparison of two."""
    measure = MEASURES[ASKS[situation.asks]]
    change = next(d for d in found.differences if d.measure == measure.name)
    what = words_of(measure, situation)
    before, after = (
        told(found.estimates[name][measure.name], measure, units).partition(" (")[0]
        for name in (change.baseline, change.plan)
    )
    gap, less = change.difference, "Fewer" if measure.name == "goal" else "Less"
    way = "More" if gap.estimate > 0.0 else less
    by = f"{before} before, {after} after, {told_difference(gap, measure, units)}"
    if change.clear:
        return f"{way} {what}: {by}."
    if gap.sign != 0:
        return f"Perhaps {way.lower()} {what}: {by}; not certain, as one measure among several."
    return f"No difference seen: {what} {by}."


# The head of what tells `ByChance`.
BY_CHANCE = "completed, luck of the hands left out"


def chance_table(found: ByChance | None) -> list[TextTable]:
    """The completion of each plan by the chance of the catch, and less the first; or nothing."""
    if found is None:
        return []
    completed = MEASURES["completed"]
    less = {key: told_difference(one, completed) for key, one in found.less_first.items()}
    rows = [(key, told(one, completed), less.get(key, "")) for key, one in found.completed.items()]
    return [TextTable((BY_CHANCE, "", f"less {rows[0][0]}"), rows)]


def number(value: float) -> str:
    """A value of a setting, with a true minus sign."""
    return wording.minus(f"{value:.6g}")


def span(values: Sequence[float], unit: str = "") -> str:
    """From the first value to the last, with the unit."""
    ends = (values[0], values[-1])
    text = number(ends[0]) if ends[0] == ends[1] else f"{number(ends[0])} to {number(ends[1])}"
    return in_unit(text, unit)


def listed(values: Sequence[float], unit: str = "") -> str:
    """Values to three digits, such as '3, 4.5 and 7 m'."""
    return in_unit(wording.join([number(float(f"{value:.3g}")) for value in values]), unit)


def in_unit(text: str, unit: str) -> str:
    """A text with its unit; a count stands before it."""
    unit = unit.strip("()")
    return f"count {text}" if "count" in unit else f"{text} {unit}".rstrip()


def _unit(measure: Measure, units: str) -> tuple[float, str]:
    return (wording.UNITS[units], units) if measure.unit == "m" else (1.0, measure.unit)
