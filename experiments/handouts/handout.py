"""The handout: a page a situation, as PDF and as a web page that needs nothing else."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from experiments.charts.style import Style
from experiments.errors import known_keywords
from experiments.handouts import answers, limits
from experiments.handouts.diagram import diagram
from experiments.handouts.drill import PACE_M, check_pace, drill_card, typical_play
from experiments.handouts.pages import Picture, page, picture_of
from experiments.handouts.paper import Paper, PaperSheet
from experiments.running import disk
from experiments.situations.setting_paths import every_setting
from experiments.situations.situation import Situation
from experiments.studies.compare import Compared
from experiments.studies.rehearse import Study
from experiments.words.looks import traps
from experiments.words.measured import label_of
from experiments.words.wording import title_of

MOST_DIFFERENCES = 2
DOTS_AN_INCH = 220
LONGEST_STORY = 420  # characters


@known_keywords
@dataclass(frozen=True)
class Sheet:
    """One situation of a handout.

    Attributes
    ----------
    study : `experiments.Study`, of the plan in use.
    findings : when the answer stops being true, a sentence each, in one's own words.
    also : what else was found of the same situation: studies of other plans, comparisons, curves,
        searches, sturdiness, matchups; or what their `as_dict` says.
    """

    study: Study
    findings: tuple[str, ...] = ()
    also: tuple[Any, ...] = ()

    @property
    def studies(self) -> dict[str, Study]:
        """The study of each plan."""
        found = {self.study.situation.plan: self.study}
        for other in self.also:
            for each in studies_of(other):
                found.setdefault(each.situation.plan, each)
        return found

    @property
    def told(self) -> list[Any]:
        """What the other results say, as JSON has it."""
        kept = [other for other in self.also if not isinstance(other, (Study, Compared))]
        return [other if isinstance(other, dict) else other.as_dict() for other in kept]


def studies_of(found: Any) -> list[Study]:
    """The study of each plan in a study or a comparison; none in other results."""
    if isinstance(found, Study):
        return [found]
    rows = found.rows.items() if isinstance(found, Compared) else ()
    return [
        Study(
            table,
            situation=found.situation.with_setting("plan", plan),
            seed=found.seed,
            level=found.level,
        )
        for plan, table in rows
    ]


@dataclass(frozen=True)
class Handout:
    """The two files that were written."""

    pdf: Path
    html: Path


@known_keywords
def write_handout(
    sheets: Sequence[Sheet], out: Path, *, style: Style | None = None, pace: float = PACE_M
) -> Handout:
    """Write ``handout.pdf`` and ``handout.html``, a page for each sheet.

    Parameters
    ----------
    sheets : the situations, in order.
    out : folder; made if it is not there.
    style : its units are those of every length; a handout is upright and has a size of its own.
    pace : metres of one pace of whoever sets out the cones.

    Raises
    ------
    ValueError : no sheet, or a pace that no person has.
    OSError : the folder cannot be made. StudyFolderError : the disk does not take a file; then
        nothing of it is left.
    """
    if not sheets:
        raise ValueError("a handout needs at least one study")
    check_pace(pace)
    units = style.units if style else "m"
    each = titles(sheets)
    pages = [content_of(*one, units, pace) for one in zip(sheets, each, strict=True)]
    title = ", ".join(each)
    out = Path(out)
    out.mkdir(parents=True, exist_ok=True)
    html, pdf = out / "handout.html", out / "handout.pdf"
    disk.put(html, page("handout.html", title=title, sheets=pages).encode())
    Paper(pdf, title=title).write(pages)
    return Handout(pdf, html)


def titles(sheets: Sequence[Sheet]) -> list[str]:
    """The title of each sheet, with what tells it from others of the same situation."""
    return [f"{title_of(sheet.study.situation)}{_apart(sheet, sheets)}" for sheet in sheets]


def _apart(sheet: Sheet, sheets: Sequence[Sheet]) -> str:
    """What tells a situation from the first other one of the same title, after a colon."""
    mine = sheet.study.situation
    for other in sheets:
        theirs = other.study.situation
        if other is sheet or title_of(theirs) != title_of(mine):
            continue
        before, now = every_setting(theirs), every_setting(mine)
        changed = [
            path for path, found in now.items()
            if path != "plan" and (path not in before or before[path].value != found.value)
        ]  # fmt: skip
        shortest = sorted(changed, key=lambda path: (path.count("."), path))[:MOST_DIFFERENCES]
        told = [f"{label_of(path)} {now[path].value}" for path in shortest]
        return f": {', '.join(told)}" if told else ""
    return ""


def content_of(sheet: Sheet, title: str = "", units: str = "m", pace: float = PACE_M) -> PaperSheet:
    """Everything that stands on one page, still without form."""
    found = answers.answer_of(sheet.studies)
    study, situation = found.study, found.study.situation
    play = typical_play(study)
    card, plans = drill_card(study, play, units=units), answers.plan_table(found, units)

    def drawn(most: float) -> Picture:
        return picture_of(diagram(play.tape, card, pace, units=units, most=most), DOTS_AN_INCH)

    story = " ".join(situation.story.split())
    if len(story) > LONGEST_STORY:
        story = story[:LONGEST_STORY].rsplit(" ", 1)[0] + " …"

    def limits_by(tell: Callable[[Any, Situation], list[str]]) -> list[str]:
        return [line for each in sheet.told for line in tell(each, situation)]

    windows = limits_by(limits.windows)
    findings = [*sheet.findings, *limits_by(limits.overturns), *limits_by(limits.calls)]
    return PaperSheet(
        title=title or title_of(situation),
        question=" ".join(situation.question.split()) or f"What comes of the {found.chosen}?",
        setting=tie(answers.setting(situation)),
        story=story,
        headline=tie(answers.headline(found, units)),
        answer=_tied(answers.sentences(found, units)),
        careful=_tied(traps(situation, study.rows)),
        heads=plans.heads,
        rows=tuple(tuple(map(tie, row)) for row in plans.rows),
        note=plans.note,
        windows=_tied(windows),
        findings=_tied(findings or ([] if windows else [answers.NOT_STUDIED])),
        cones=tuple((c.letter, c.purpose, tie(c.words(units, pace))) for c in card.cones),
        pace=tie(f"From A; a pace is {pace * Style(units=units).per_metre:.2f} {units}."),
        cues=_tied(card.cues),
        counts=_tied(card.counts),
        cautions=answers.CAUTIONS,
        foot=f"Drawn: a typical play of {study.situation.plan}, begun at the cones; a tick each second. "
        f"Hatched: what the mark covers. Seed {study.seed}.",
        diagram=drawn(44.0),
        small=drawn(24.0),
    )


def tie(text: str) -> str:
    """Keep a number and its unit on one line."""
    return re.sub(r"(?<=\d) (?=(?:%|m|yd|s|paces?|points?)(?!\w))", "\N{NO-BREAK SPACE}", text)


def _tied(texts: Sequence[str]) -> tuple[str, ...]:
    return tuple(tie(text[:1].upper() + text[1:]) for text in texts)
