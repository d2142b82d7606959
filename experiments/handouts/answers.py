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
from sim.record import KEPT

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

    @property
    def differences(self) -> list[Difference]:
        """Plans that met the same luck less the chosen one, in what the situation asks."""
        every = self.comparison.differences if self.comparison else ()
        return [d for d in every if d.measure == self.measure.name]


def answer_of(studies: Mapping[str, Study]) -> Answer:
    """Choose the plan to show and compare the others with it; the first study has the plan in use."""
    first, study = next(iter(studies.items()))
    luck = study.seed, study.n
    tables = {plan: s.rows for plan, s in studies.items() if (s.seed, s.n) == luck}
    if len(tables) < 2:
        return Answer(studies, first, None)
    level = max(each.level for each in studies.values())
    found = Answer(studies, first, compare_tables(tables, first, level=level))
    better = [d for d in found.differences if d.clear and d.difference.estimate > 0.0]
    if not better:
        return found
    best = max(better, key=lambda d: d.difference.estimate).plan
    return Answer(studies, best, compare_tables(tables, best, level=level))


def setting(situation: Situation) -> str:
    """Count, force, defence, levels and wind, in a line."""
    ours, theirs = situation.roster.offence.level, situation.roster.defence.level
    wind, against = situation.wind, f"{ours} players against {theirs} players"
    parts = [
        f"Count at {situation.stall:g} when the play starts",
        force_words(situation),
        f"defence {situation.defence}",
        f"{ours} players on both sides" if ours == theirs else against,
        f"wind {wind.speed:g} m/s toward {wind.toward:g} degrees" if wind.speed else "no wind",
    ]
    return f"{join(parts)}."


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
        trapped, gained = study.trapped.estimate, f"{_gained(study, units)}. "
        line = f"; {percent(trapped)} of these trapped on a line" if trapped >= 0.005 else ""
        place = f"Caught {length_with_range(study.off_centre, units)} off the middle{line}."
        lines.append(place if study.situation.asks == "gain" else gained + place)
    if failed := failures(study):
        lines.append(f"When it fails: {join(failed[:4])}.")
    return [
        *lines,
        *_better(found),
        f"{count(study.n)} rehearsals a plan. A range in brackets is a {100 * study.level:.0f} % "
        "interval: how well the model's figure is known, not how well the model knows your players.",
    ]


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
    ordered = sorted(study.outcomes.items(), key=lambda item: (-item[1], item[0]))
    failed = [(name, number) for name, number in ordered if number and name not in KEPT]
    return [f"{name} {percent(number / study.n)}" for name, number in failed]


def _better(found: Answer) -> list[str]:
    """Against which of the other plans the chosen one is clearly ahead."""
    ahead = [d.plan for d in found.differences if d.clear and d.difference.estimate < 0.0]
    level = [d.plan for d in found.differences if not d.clear]
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
    others = {
        "goal": any(study.goals.estimate >= 0.01 for study in found.studies.values()),
        "completed": situation.until != "possession",
        "gain_m": True,
    }
    shown = [MEASURES[name] for name, told in others.items() if told and name != asked.name]
    shown = shown[: 1 if found.comparison else 2]
    less = {
        d.plan: told_difference(d.difference, asked, units) + " *" * d.clear
        for d in found.differences
    }
    against = [f"against {found.chosen}"] if found.comparison else []
    words = [words_of(measure, situation) for measure in shown]
    heads = ("plan", words_of(asked, situation), *against, *words, "thrown first")
    rows = []
    for plan in dict.fromkeys([found.chosen, *found.studies]):
        study = found.studies[plan]
        # Beside what was asked, a figure without its range leaves room for what was thrown.
        figures = [_told(study, measure, units).partition(" (")[0] for measure in shown]
        between = [less.get(plan, "")] if found.comparison else []
        rows.append((plan, _told(study, asked, units), *between, *figures, _looks(study)))
    note = "* a difference that is surely there, all stars judged together" if against else ""
    return PlanTable(heads, tuple(rows), note)


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
