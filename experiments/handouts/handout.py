"""The handout: a page a situation, as PDF and as a web page that needs nothing else."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from experiments.charts.play import play, play_window
from experiments.charts.style import Style
from experiments.handouts.answers import CAUTIONS, NOT_STUDIED, answer, asked, found_table
from experiments.handouts.drill import PACE_M, drill_card
from experiments.handouts.drill_chart import drill
from experiments.handouts.pages import page, picture_of
from experiments.handouts.paper import Paper, PaperSheet
from experiments.running import disk
from experiments.tapes.picking import pick_rehearsal
from experiments.words.wording import title_of

DOTS_AN_INCH = 220


@dataclass(frozen=True)
class Sheet:
    """One situation of a handout.

    Attributes
    ----------
    study : `experiments.Study`.
    findings : when the answer stops being true, a sentence each; empty says it was not studied.
    """

    study: Any
    findings: tuple[str, ...] = field(default=())


@dataclass(frozen=True)
class Handout:
    """The two files that were written."""

    pdf: Path
    html: Path


def write_handout(
    sheets: Sequence[Sheet],
    out: Path,
    *,
    style: Style | None = None,
    pace: float = PACE_M,
) -> Handout:
    """Write ``handout.pdf`` and ``handout.html``, a page for each sheet.

    Parameters
    ----------
    sheets : the situations, in order.
    out : folder; made if it is not there.
    style : units and direction of the diagrams; the text size is that of a page.
    pace : metres of one pace of whoever sets out the cones.

    Raises
    ------
    ValueError : no sheet, or a pace that no person has.
    OSError : the folder cannot be made. StudyFolderError : the disk does not take a file; then
        nothing of it is left.
    """
    if not sheets:
        raise ValueError("a handout needs at least one study")
    style = replace(style or Style(), size="page")
    out = Path(out)
    pages = [_content(sheet, style, pace) for sheet in sheets]
    out.mkdir(parents=True, exist_ok=True)
    html = out / "handout.html"
    pdf = out / "handout.pdf"
    disk.put(html, _html(pages).encode())
    Paper(pdf, title=", ".join(one.title for one in pages)).write(pages)
    return Handout(pdf, html)


def _content(sheet: Sheet, style: Style, pace: float) -> PaperSheet:
    """Everything that stands on one page, still without form."""
    study = sheet.study
    pick = pick_rehearsal(study.table, "typical")
    tape = study.tape(pick.rehearsal)
    card = drill_card(study, tape, units=style.units, pace=pace)
    # A long stretch of field lies on its side: upright, it would leave no room for the words.
    window = play_window(study, tape, style)
    upright = style.upright and window.high - window.low < 0.8 * (window.right - window.left)
    diagram = play(study, tape=tape, style=replace(style, upright=upright), found=False)
    cones = drill(card, style=style)
    why = f"{pick.why[:1].upper()}{pick.why[1:]}"
    return PaperSheet(
        title=title_of(study.situation),
        asked=_tied(asked(study)),
        answer=_tied(answer(study, style.units)),
        table=tuple((name, tie(value)) for name, value in found_table(study, style.units)),
        findings=_tied(sheet.findings or (NOT_STUDIED,)),
        cones=tuple(
            (cone.letter, cone.purpose, tie(cone.words(style.units, pace))) for cone in card.cones
        ),
        cues=_tied(card.cues),
        counts=_tied(card.counts),
        pace=tie(f"A pace is taken as {pace * style.per_metre:.2f} {style.units}."),
        cautions=CAUTIONS,
        foot=f"{why}; the runs drawn are of it. Seed {study.seed}.",
        diagram=picture_of(diagram, DOTS_AN_INCH),
        drill=picture_of(cones, DOTS_AN_INCH),
    )


def tie(text: str) -> str:
    """Keep a number and its unit on one line."""
    return re.sub(r"(?<=\d) (?=(?:%|m|yd|s|paces?|points?)(?!\w))", "\N{NO-BREAK SPACE}", text)


def _tied(texts: Sequence[str]) -> tuple[str, ...]:
    return tuple(tie(text) for text in texts)


def _html(sheets: Sequence[PaperSheet]) -> str:
    return page("handout.html", title=", ".join(one.title for one in sheets), sheets=sheets)
