"""A difference in a sentence: what changed, by how much, and whether it is known."""

from __future__ import annotations

from experiments.situations.asks import ASKS
from experiments.situations.situation import Situation
from experiments.statistics.comparison import Comparison
from experiments.statistics.measures import MEASURES
from experiments.words.measured import told, told_difference, words_of


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
    if gap.low > 0.0 or gap.high < 0.0:
        return f"Perhaps {way.lower()} {what}: {by}; not certain, as one measure among several."
    return f"No difference seen: {what} {by}."
