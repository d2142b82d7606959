"""What a study was asked, what it found and how sure that is, in plain words."""

from __future__ import annotations

from typing import Any

from experiments.statistics.estimates import Estimate
from experiments.words.wording import (
    amount_with_range,
    count,
    join,
    kept_word,
    length_with_range,
    percent,
    share_with_range,
)

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


def asked(study: Any) -> list[str]:
    """The question, the story and the setting, a paragraph each."""
    situation = study.situation
    story = " ".join(str(situation.story).split())
    if len(story) > 600:
        story = story[:600].rsplit(" ", 1)[0] + " …"
    return [text for text in (str(situation.question).strip(), story, setting(study)) if text]


def setting(study: Any) -> str:
    """Force, count, plan, defence and level, as far as the situation says."""
    situation = study.situation
    parts = [
        f"force {situation.force}",
        f"count at {float(situation.stall):g} when the play starts",
    ]
    for word, name in (("plan", "plan"), ("defence", "defence")):
        if getattr(situation, name, ""):
            parts.append(f"{word} {getattr(situation, name)}")
    roster = getattr(situation, "roster", None)
    if roster is not None:
        parts.append(f"{roster.offence.level} offence against {roster.defence.level} defence")
    wind = getattr(situation, "wind", None)
    if wind is not None:
        parts.append(f"wind {wind.speed:g} m/s" if wind.speed else "no wind")
    text = join(parts)
    return f"{text[:1].upper()}{text[1:]}."


def answer(study: Any, units: str = "m") -> list[str]:
    """What was found, with its uncertainty, in sentences."""
    done, kept = study.completion, kept_word(study.situation)
    one = "A completion" if kept == "completed" else "A play that keeps the disc"
    level = round(100 * float(done.level))
    sentences = [
        f"Of 100 such plays about {100 * done.estimate:.0f} are {kept}. From {count(study.n)} "
        f"rehearsals the model's own figure is known to lie between {percent(done.low)} and "
        f"{percent(done.high)} ({level} % interval)."
    ]
    if done.estimate > 0:
        off = length_with_range(study.off_centre, units)
        sentences.append(
            f"{one} {_gain(study.gain_m, units)} and is caught {off} from the middle of the "
            f"field; {percent(study.trapped.estimate)} of these leave the disc trapped at a "
            "sideline."
        )
    failed = failures(study)
    if failed:
        sentences.append(f"When it fails: {join(failed)}.")
    sentences.append(
        "The interval says how well the model's figure is known, not how well the model knows "
        "your players."
    )
    return sentences


def _gain(gain: Any, units: str) -> str:
    """'gains 9.3 m (...)', or 'gives up 2.8 m (...)' when the disc goes backward for certain."""
    if gain.high < 0:
        back = Estimate(-gain.estimate, -gain.high, -gain.low, gain.n, gain.level)
        return f"gives up {length_with_range(back, units)}"
    return f"gains {length_with_range(gain, units)}"


def failures(study: Any) -> list[str]:
    """The causes of failure with their shares of all rehearsals, the most frequent first."""
    outcomes = {
        name: number
        for name, number in study.outcomes.items()
        if number and name not in ("completed", "goal")
    }
    ordered = sorted(outcomes.items(), key=lambda item: (-item[1], item[0]))
    return [f"{name} {percent(number / study.n)}" for name, number in ordered]


def found_table(study: Any, units: str = "m") -> list[tuple[str, str]]:
    """The small table: what was measured, and its value with the interval."""
    return [
        (kept_word(study.situation).capitalize(), share_with_range(study.completion)),
        ("Ground gained", length_with_range(study.gain_m, units, signed=True)),
        ("From the middle", length_with_range(study.off_centre, units)),
        ("Trapped", share_with_range(study.trapped)),
        ("Stall at the throw", amount_with_range(study.stall_at_release)),
        ("Rehearsals", count(study.n)),
    ]
