"""The PDF of a handout: A4, one page a situation, set with reportlab.

Whatever a user wrote is escaped before it comes near the paragraph markup.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import matplotlib
from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import cm, inch
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    Flowable,
    Image,
    KeepInFrame,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from experiments.charts.style import INK, LINES, SHADE
from experiments.handouts.pages import Picture
from experiments.running import disk

PLAIN, BOLD = "StallwiseSans", "StallwiseSans-Bold"
MARGIN = 1.1 * cm
GAP = 0.18 * cm
SLACK = 14.0
# A diagram is set at three quarters of its size at least, so that its words stay readable.
LEAST_DIAGRAM = 0.75
SCALES = (1.0, 0.95, 0.9, 0.85, 0.8, 0.75)


@dataclass(frozen=True)
class PaperSheet:
    """What stands on one page: words as plain text, and two pictures."""

    title: str
    asked: tuple[str, ...]
    answer: tuple[str, ...]
    table: tuple[tuple[str, str], ...]
    findings: tuple[str, ...]
    cones: tuple[tuple[str, str, str], ...]
    cues: tuple[str, ...]
    counts: tuple[str, ...]
    pace: str
    cautions: tuple[str, ...]
    foot: str
    diagram: Picture
    drill: Picture


class Paper:
    """Writes sheets to a PDF file.

    Parameters
    ----------
    path : the file. title : as the file says it of itself.
    """

    def __init__(self, path: Path, title: str) -> None:
        _fonts()
        self.path, self.title = path, clean(title)
        self._set_type(1.0)
        # The frame of a page keeps 6 points free on each side.
        self.width, self.height = A4[0] - 2 * MARGIN - 12, A4[1] - 2 * MARGIN - 12

    def _set_type(self, scale: float) -> None:
        """Styles of all text, at a share of their usual size."""
        size, lead = 8.6 * scale, 11.2 * scale
        self.text = ParagraphStyle(
            "text", fontName=PLAIN, fontSize=size, leading=lead, textColor=INK, alignment=TA_LEFT
        )
        self.bold = ParagraphStyle("bold", parent=self.text, fontName=BOLD)
        self.head = ParagraphStyle(
            "head",
            parent=self.bold,
            fontSize=10.0 * scale,
            leading=13.0 * scale,
            spaceBefore=5 * scale,
            spaceAfter=1.5 * scale,
        )
        self.name = ParagraphStyle(
            "name", parent=self.bold, fontSize=15.0 * scale, leading=18.5 * scale
        )
        self.small = ParagraphStyle(
            "small", parent=self.text, fontSize=7.4 * scale, leading=9.6 * scale
        )
        self.point = ParagraphStyle(
            "point",
            parent=self.text,
            leftIndent=9,
            bulletIndent=1,
            bulletFontName=PLAIN,
            bulletFontSize=size,
        )

    def write(self, sheets: Sequence[PaperSheet]) -> None:
        """Write the file whole or not at all, each sheet on a page of its own."""
        story: list[Flowable] = []
        for index, sheet in enumerate(sheets):
            if index:
                story.append(PageBreak())
            story.append(self._one_page(sheet))
        whole = io.BytesIO()
        document = SimpleDocTemplate(
            whole,
            pagesize=A4,
            leftMargin=MARGIN,
            rightMargin=MARGIN,
            topMargin=MARGIN,
            bottomMargin=MARGIN,
            title=self.title,
            author="Stallwise",
            # The same study gives the same file: no time of writing in it.
            invariant=1,
        )
        document.build(story)
        disk.put(self.path, whole.getvalue())

    def _one_page(self, sheet: PaperSheet) -> Flowable:
        """The sheet on one page, its diagram as large as the words leave room for.

        With many words the type gets smaller, by a quarter at most. What is still too long after
        that is scaled down as a whole, so that no sheet ever runs over its page.
        """
        full = sheet.diagram.height * inch * min(1.0, self.width / (sheet.diagram.width * inch))
        high = full
        for scale in SCALES:
            self._set_type(scale)
            rest = sum(_height(part, self.width) for part in self._page(sheet, 0.0))
            high = min(full, self.height - rest - SLACK)
            if high >= LEAST_DIAGRAM * full:
                break
        high = max(high, LEAST_DIAGRAM * full)
        parts = self._page(sheet, high)
        return KeepInFrame(self.width, self.height, parts, mode="shrink", vAlign="TOP")

    def _page(self, sheet: PaperSheet, diagram: float) -> list[Flowable]:
        """The parts of a page from the top, with the diagram at most so high (points)."""
        question, *rest = sheet.asked
        parts = [
            self._say(sheet.title, self.name),
            self._say("What was asked", self.head),
            self._say(question, self.bold),
            *(self._say(text) for text in rest),
            Spacer(0, GAP),
            self._picture(sheet.diagram, self.width, diagram) if diagram else Spacer(0, 0),
            self._answer(sheet),
            self._say("When it stops being true", self.head),
            *self._points(sheet.findings),
            Spacer(0, GAP),
            self._drill(sheet),
            Spacer(0, GAP),
            self._cautions(sheet),
            Spacer(0, GAP),
            self._say(sheet.foot, self.small),
        ]
        return parts

    def _say(self, text: str, style: ParagraphStyle | None = None) -> Paragraph:
        return Paragraph(escape(clean(text)), style or self.text)

    def _points(self, texts: Sequence[str], style: ParagraphStyle | None = None) -> list[Flowable]:
        return [
            Paragraph(escape(clean(text)), style or self.point, bulletText="•") for text in texts
        ]

    def _picture(self, picture: Picture, width: float, height: float) -> Image:
        """At its own size, or smaller when there is less room for it."""
        wide, high = picture.width * inch, picture.height * inch
        scale = min(1.0, width / wide, height / high)
        return Image(io.BytesIO(picture.png), width=wide * scale, height=high * scale)

    def _answer(self, sheet: PaperSheet) -> Table:
        """The answer in words at the left, the small table at the right."""
        words = [self._say("The answer", self.head), *(self._say(text) for text in sheet.answer)]
        small = Table(
            [[self._say(name), self._say(value)] for name, value in sheet.table],
            colWidths=[2.9 * cm, 4.4 * cm],
            style=TableStyle(
                [
                    ("LINEBELOW", (0, 0), (-1, -2), 0.4, HexColor("#BBBBBB")),
                    ("TOPPADDING", (0, 0), (-1, -1), 1.2),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
                    ("LEFTPADDING", (0, 0), (-1, -1), 2),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 2),
                ]
            ),
        )
        return self._columns(words, [Spacer(0, 0.35 * cm), small], 7.5 * cm)

    def _columns(self, left: list[Any], right: list[Any], width: float) -> Table:
        return Table(
            [[left, right]],
            colWidths=[self.width - width, width],
            style=TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (0, 0), 8),
                    ("RIGHTPADDING", (1, 0), (1, 0), 0),
                    ("TOPPADDING", (0, 0), (-1, -1), 0),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
                ]
            ),
        )

    def _drill(self, sheet: PaperSheet) -> Table:
        """The drill card: a frame that can be cut out."""
        inner = self.width - 16
        cones = Table(
            [
                [self._say(letter, self.bold), [self._say(purpose), self._say(place)]]
                for letter, purpose, place in sheet.cones
            ],
            colWidths=[0.6 * cm, inner - 7.4 * cm - 0.6 * cm],
            style=TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("TOPPADDING", (0, 0), (-1, -1), 0),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 4),
                ]
            ),
        )
        left = [self._say("Cones, seen from the thrower", self.bold), cones, self._say(sheet.pace)]
        right: list[Any] = [
            self._picture(sheet.drill, 7.2 * cm, 4.4 * cm),
        ]
        top = Table(
            [[left, right]],
            colWidths=[inner - 7.4 * cm, 7.4 * cm],
            style=TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("TOPPADDING", (0, 0), (-1, -1), 0),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ]
            ),
        )
        cues = [self._say("Start and throw", self.bold), *self._points(sheet.cues)]
        counts = [self._say("Count", self.bold), *self._points(sheet.counts)]
        below = Table(
            [[cues, counts]],
            colWidths=[inner / 2, inner / 2],
            style=TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("TOPPADDING", (0, 0), (-1, -1), 2),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 6),
                ]
            ),
        )
        return Table(
            [[[self._say("Drill card", self.head), top, below]]],
            colWidths=[self.width],
            style=TableStyle(
                [
                    ("BOX", (0, 0), (-1, -1), 1.0, HexColor(LINES)),
                    ("LEFTPADDING", (0, 0), (-1, -1), 8),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 8),
                    ("TOPPADDING", (0, 0), (-1, -1), 2),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
                ]
            ),
        )

    def _cautions(self, sheet: PaperSheet) -> Table:
        return Table(
            [[[self._say("Take care", self.bold), *self._points(sheet.cautions)]]],
            colWidths=[self.width],
            style=TableStyle(
                [
                    ("BACKGROUND", (0, 0), (-1, -1), HexColor(SHADE)),
                    ("LEFTPADDING", (0, 0), (-1, -1), 8),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 8),
                    ("TOPPADDING", (0, 0), (-1, -1), 3),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
                ]
            ),
        )


def _height(part: Flowable, width: float) -> float:
    """Points that a part takes on a page of this width, with the room above and below it."""
    high = float(part.wrap(width, 1e6)[1])
    return high + float(part.getSpaceBefore()) + float(part.getSpaceAfter())


def clean(text: str) -> str:
    """One line of printable text: control characters would break the page or the file."""
    return "".join(c if c.isprintable() else " " for c in str(text)).strip()


def _fonts() -> None:
    """The fonts that come with matplotlib, so that letters of many alphabets are there."""
    if PLAIN in pdfmetrics.getRegisteredFontNames():
        return
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont(PLAIN, str(folder / "DejaVuSans.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(folder / "DejaVuSans-Bold.ttf")))
