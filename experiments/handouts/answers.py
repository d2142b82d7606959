"""What a situation was asked and what was found, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from experiments.situations.asks import ASKS
from experiments.situations.situation import Situation
from experiments.statistics.comparison import Comparison, Difference, compare_tables
from experiments.statistics.estimates import Estimate
from experiments.statistics.measures import MEASURES, Measure, measured
from experiments.studies.rehearse import Study
from experiments.words.looks import looks_in_short
from experiments.words.measured import told, told_difference, words_of
from experiments.words.wording import count, force_words, join, length_with_range, percent

CAUTIONS = (
    "This is hard running with sudden turns: only for players who are fit for it. Warm up first, "
    "stop when it hurts, and ask a doctor before training with an injury or an illness.",
    "Start at walking pace without a defender, then with a mark, then at full speed. Keep the "
    "running lanes free, agree who gives way, and stop the turn when two players are on course to "
    "meet.",
    "The figures come from a model, not from your team. The coach on the field, the local rules "
    "and medical advice go first.",
)

NOT_STUDIED = (
    "Not studied for this sheet. Until it is, take the answer for this place, this count, this "
    "force and these players only."
)
AHEAD = {"keep": "keeps the disc more often", "gain": "gains more", "goal": "scores more often"}


@dataclass(frozen=True)
class Answer:
    """The plans of a situation beside each other, and the one to show.

    Attributes
    ----------
    studies : by plan.
    chosen : the plan in use, unless another is clearly better in what the situation asks.
    comparison : of all plans that met the same luck; None if there is one plan alone.
    """

    studies: Mapping[str, Study]
    chosen: str
    comparison: Comparison | None

    @property
    def study(self) -> Study:
        """The study of the chosen plan."""
        return self.studies[self.chosen]

    @property
    def measure(self) -> Measure:
        """What the situation asks."""
        return MEASURES[ASKS[self.study.situation.asks]]

    def difference(self, plan: str) -> Difference | None:
        """A plan less the chosen one, in what the situation asks; None without common luck."""
        for d in self.comparison.differences if self.comparison else ():
            if d.plan == plan and d.measure == self.measure.name:
                return d
        return None


def answer_of(studies: Mapping[str, Study]) -> Answer:
    """Choose the plan to show and compare the others with it; the first study has the plan in use."""
    first, study = next(iter(studies.items()))
    size = study.n
    tables = {
        plan: each.rows
        for plan, each in studies.items()
        if each.seed == study.seed and each.n == size
    }
    if len(tables) < 2:
        return Answer(studies, first, None)
    level = max(each.level for each in studies.values())
    measure = MEASURES[ASKS[study.situation.asks]]
    found = compare_tables(tables, first, level=level)
    better = [
        d for d in found.differences
        if d.measure == measure.name and d.clear and d.difference.estimate > 0.0
    ]  # fmt: skip
    if better:
        first = max(better, key=lambda d: d.difference.estimate).plan
        found = compare_tables(tables, first, level=level)
    return Answer(studies, first, found)


def setting(situation: Situation) -> str:
    """Count, force, defence, levels and wind, in a line."""
    levels = situation.roster.offence.level, situation.roster.defence.level
    players = f"{levels[0]} players against {levels[1]} players"
    wind = situation.wind
    parts = [
        f"count at {situation.stall:g} when the play starts",
        force_words(situation),
        f"defence {situation.defence}",
        f"{levels[0]} players on both sides" if levels[0] == levels[1] else players,
        f"wind {wind.speed:g} m/s toward {wind.toward:g} degrees" if wind.speed else "no wind",
    ]
    text = join(parts)
    return f"{text[:1].upper()}{text[1:]}."


def headline(found: Answer, units: str = "m") -> str:
    """What comes of the plan, in what the situation asks."""
    study, situation = found.study, found.study.situation
    done = "are completed" if situation.until == "throw" else "keep the disc or score"
    of_them = f"about {100 * study.completion.estimate:.0f} {done}."
    if situation.asks == "goal":
        goals = f"about {100 * study.goals.estimate:.0f} end in a goal"
        # A possession that is kept to its end is a goal, unless it was broken off.
        of_them = f"{goals}." if situation.until == "possession" else f"{goals}; {of_them}"
    if situation.asks == "gain":
        of_them = f"{of_them} {_gained(study, units)}."
    return f"{found.chosen[:1].upper()}{found.chosen[1:]}: of 100 such plays {of_them}"


def sentences(found: Answer, units: str = "m") -> list[str]:
    """What was thrown, where it ends, when it fails, which plan is better, and how sure that is."""
    study = found.study
    lines = [f"Thrown first: {_looks(study)}."]
    if study.completion.estimate > 0.0:
        where = length_with_range(study.off_centre, units)
        trapped = study.trapped.estimate
        line = f"; {percent(trapped)} of these trapped on a line" if trapped >= 0.005 else ""
        place = f"Caught {where} off the middle{line}."
        lines.append(
            place if study.situation.asks == "gain" else f"{_gained(study, units)}. {place}"
        )
    failed = failures(study)
    if failed:
        lines.append(f"When it fails: {join(failed[:4])}.")
    lines += _better(found)
    lines.append(
        f"{count(study.n)} rehearsals a plan. A range in brackets is a {100 * study.level:.0f} % "
        "interval: how well the model's figure is known, not how well the model knows your players."
    )
    return lines


def _gained(study: Study, units: str) -> str:
    """'A completed pass gains 9.3 m (...)', or 'gives up 2.8 m (...)' when it surely loses ground."""
    one = "A completed pass" if study.situation.until == "throw" else "A play that keeps the disc"
    gain = study.gain_m
    if gain.high < 0:
        back = Estimate(-gain.estimate, -gain.high, -gain.low, gain.n, gain.level)
        return f"{one} gives up {length_with_range(back, units)}"
    return f"{one} gains {length_with_range(gain, units)}"


def failures(study: Study) -> list[str]:
    """The causes of failure with their shares of all rehearsals, the most frequent first."""
    outcomes = {
        name: number
        for name, number in study.outcomes.items()
        if number and name not in ("completed", "goal")
    }
    ordered = sorted(outcomes.items(), key=lambda item: (-item[1], item[0]))
    return [f"{name} {percent(number / study.n)}" for name, number in ordered]


def _better(found: Answer) -> list[str]:
    """Against which of the other plans the chosen one is clearly ahead."""
    differences = [d for plan in found.studies if (d := found.difference(plan)) is not None]
    ahead = [d.plan for d in differences if d.clear and d.difference.estimate < 0.0]
    level = [d.plan for d in differences if not d.clear]
    what = AHEAD[found.study.situation.asks]
    lines = [f"It {what} than {join(ahead)}, for certain."] if ahead else []
    if level:
        lines.append(f"No difference to {join(level)} could be told.")
    return lines


@dataclass(frozen=True)
class PlanTable:
    """The plans of a page: heads, a row a plan, the chosen one first, and what the stars mean."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str


def plan_table(found: Answer, units: str = "m") -> PlanTable:
    """Each plan with what was asked, its difference from the chosen one, and what it threw."""
    situation, asked = found.study.situation, found.measure
    some_goals = any(study.goals.estimate >= 0.01 for study in found.studies.values())
    others = [
        MEASURES[name]
        for name in ("goal", "completed", "gain_m")
        if name != asked.name
        and not (name == "goal" and not some_goals)
        and not (name == "completed" and situation.until == "possession")
    ][: 1 if found.comparison else 2]
    heads = ["plan", words_of(asked, situation)]
    if found.comparison:
        heads.append(f"against {found.chosen}")
    heads += [words_of(measure, situation) for measure in others]
    ordered = [found.chosen, *(plan for plan in found.studies if plan != found.chosen)]
    rows = []
    for plan in ordered:
        study = found.studies[plan]
        row = [plan, _told(study, asked, units)]
        if found.comparison:
            d = found.difference(plan)
            row.append(
                told_difference(d.difference, asked, units) + (" *" if d.clear else "") if d else ""
            )
        # Beside what was asked, a figure without its range leaves room for what was thrown.
        row += [_told(study, measure, units).partition(" (")[0] for measure in others]
        rows.append((*row, _looks(study)))
    note = (
        "* a difference that is surely there, all stars judged together" if found.comparison else ""
    )
    return PlanTable((*heads, "thrown first"), tuple(rows), note)


def _told(study: Study, measure: Measure, units: str) -> str:
    """The measure with its range."""
    found = measured(study.rows, measure, level=study.level)
    if measure.unit == "m":  # nobody walks out a centimetre
        return length_with_range(found, units, signed=measure.name == "gain_m")
    return told(found, measure, units)


def _looks(study: Study) -> str:
    """What was thrown first, without what was hardly ever."""
    often = [found for found in study.looks if found.thrown.estimate >= 0.005]
    return looks_in_short(often)
