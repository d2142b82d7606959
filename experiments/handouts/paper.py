"""The PDF of a handout: A4, one page a situation, in type of 10 points, set with reportlab.

Whatever a user wrote is escaped before it comes near the paragraph markup.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import repeat
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import matplotlib
from reportlab.lib.colors import HexColor
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
)

from experiments.charts.style import INK, LINES, SHADE
from experiments.handouts.pages import Picture
from experiments.running import disk

PLAIN, BOLD = "StallwiseSans", "StallwiseSans-Bold"
SIZE, LEAD = 10.0, 12.2
MARGIN = 1.0 * cm
GAP = 4.0
ALL = (0, 0), (-1, -1)  # cells of a table


@dataclass(frozen=True)
class PaperSheet:
    """What stands on one page: words as plain text, and a picture.

    Attributes
    ----------
    heads, rows, note : the table of the plans. cones : letter, purpose and place of each.
    diagram, small : the play with everybody, and without those who have no part in it.
    """

    title: str
    question: str
    setting: str
    story: str
    headline: str
    answer: tuple[str, ...]
    careful: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str
    windows: tuple[str, ...]
    findings: tuple[str, ...]
    cones: tuple[tuple[str, str, str], ...]
    pace: str
    cues: tuple[str, ...]
    counts: tuple[str, ...]
    cautions: tuple[str, ...]
    foot: str
    diagram: Picture
    small: Picture


class Paper:
    """Writes sheets to a PDF file.

    Parameters
    ----------
    path : the file. title : as the file says it of itself.
    """

    def __init__(self, path: Path, title: str) -> None:
        _fonts()
        self.path, self.title = path, clean(title)
        self.text = ParagraphStyle(
            "text", fontName=PLAIN, fontSize=SIZE, leading=LEAD, textColor=INK
        )
        self.bold = ParagraphStyle("bold", parent=self.text, fontName=BOLD)
        self.head = ParagraphStyle(
            "head", parent=self.bold, fontSize=11.0, leading=13.5, spaceBefore=4, spaceAfter=1
        )
        self.name = ParagraphStyle("name", parent=self.bold, fontSize=15.0, leading=18.0)
        self.point = ParagraphStyle(
            "point", parent=self.text, leftIndent=10, bulletIndent=1, bulletFontName=PLAIN,
            bulletFontSize=SIZE,
        )  # fmt: skip
        # The frame of a page keeps 6 points free on each side.
        self.width, self.height = A4[0] - 2 * MARGIN - 12, A4[1] - 2 * MARGIN - 12

    def write(self, sheets: Sequence[PaperSheet]) -> None:
        """Write the file whole or not at all, each sheet on a page of its own."""
        pages = [part for sheet in sheets for part in (PageBreak(), self._one_page(sheet))]
        margins = dict.fromkeys(("leftMargin", "rightMargin", "topMargin", "bottomMargin"), MARGIN)
        # The same study gives the same file: no time of writing in it.
        told = {"title": self.title, "author": "Stallwise", "invariant": 1}
        whole = io.BytesIO()
        SimpleDocTemplate(whole, pagesize=A4, **margins, **told).build(pages[1:])
        disk.put(self.path, whole.getvalue())

    def _one_page(self, sheet: PaperSheet) -> Flowable:
        """The sheet on one page, with its story and the larger diagram if there is room for them.

        What is still too long without is scaled down as a whole, so that no sheet runs over its page.
        """
        bare = replace(sheet, story="")
        parts: list[Flowable] = []
        for one in (sheet, bare, replace(bare, diagram=sheet.small)):
            parts = self._page(one)
            # Each takes its height, with the room above and below it.
            high = [part.wrap(self.width, 1e6)[1] for part in parts]
            high += [part.getSpaceBefore() + part.getSpaceAfter() for part in parts]
            if sum(high) <= self.height:
                break
        return KeepInFrame(self.width, self.height, parts, mode="shrink", vAlign="TOP")

    def _page(self, sheet: PaperSheet) -> list[Flowable]:
        """The parts of a page from the top."""
        drawn = sheet.diagram
        picture = Image(io.BytesIO(drawn.png), width=drawn.width * inch, height=drawn.height * inch)
        left = picture.drawWidth + 8
        care = [self._say("Take care", self.bold), *self._points(sheet.cautions)]
        beside = [
            *(self._say(text, self.bold) for text in (sheet.headline, *sheet.careful)),
            *(self._say(text) for text in sheet.answer),
        ]
        return [
            self._say(sheet.title, self.name),
            self._say(sheet.question, self.bold),
            self._say(sheet.setting),
            *([self._say(sheet.story)] if sheet.story else []),
            Spacer(0, GAP),
            _table([[[picture], beside]], [left, self.width - left], (0, 4, 0, 0)),
            Spacer(0, GAP),
            self._plans(sheet),
            *([self._say(sheet.note)] if sheet.note else []),
            *self._section("From when to when", sheet.windows),
            *self._section("When it stops being true", sheet.findings),
            Spacer(0, GAP),
            self._drill(sheet),
            Spacer(0, GAP),
            _table([[care]], [self.width], (7, 7, 2, 4), ("BACKGROUND", *ALL, HexColor(SHADE))),
            self._say(sheet.foot),
        ]

    def _say(self, text: str, style: ParagraphStyle | None = None) -> Paragraph:
        return Paragraph(escape(clean(text)), style or self.text)

    def _points(self, texts: Sequence[str]) -> list[Paragraph]:
        return [Paragraph(escape(clean(text)), self.point, bulletText="•") for text in texts]

    def _section(self, head: str, texts: Sequence[str]) -> list[Paragraph]:
        """Points under their head; nothing where there are none."""
        return [self._say(head, self.head), *self._points(texts)] if texts else []

    def _plans(self, sheet: PaperSheet) -> Table:
        """The plans beside each other; the last column takes what room is left."""
        widths = [self._widest([*column]) for column in zip(sheet.heads, *sheet.rows, strict=True)]
        widths[0] = min(widths[0], 3.0 * cm)
        widths[-1] = max(self.width - sum(widths[:-1]), 3.0 * cm)
        widths = [width * self.width / sum(widths) for width in widths]
        rows = [[self._say(head, self.bold) for head in sheet.heads]]
        rows += [[self._say(cell) for cell in row] for row in sheet.rows]
        rule = ("LINEBELOW", *ALL, 0.4, HexColor("#BBBBBB"))
        return _table(rows, widths, (2, 4, 1, 2), rule)

    def _widest(self, texts: Sequence[str]) -> float:
        """Points that the longest of some cells needs on a line of its own, the first one bold."""
        fonts = [BOLD, *[PLAIN] * (len(texts) - 1)]
        return 8.0 + max(map(pdfmetrics.stringWidth, map(clean, texts), fonts, repeat(SIZE)))

    def _drill(self, sheet: PaperSheet) -> Table:
        """The drill card: a frame that can be cut out."""
        half = (self.width - 14) / 2
        rows = [
            [self._say(letter, self.bold), self._say(f"{purpose}: {place}" if place else purpose)]
            for letter, purpose, place in sheet.cones
        ]
        cones = _table(rows, [0.6 * cm, half - 0.6 * cm], (0, 4, 0, 1))
        left = [self._say("Drill: the cones", self.head), self._say(sheet.pace), cones]
        right = self._section("Start and throw", sheet.cues) + self._section("Count", sheet.counts)
        both = _table([[left, right]], [half, half], (0, 4, 0, 0))
        return _table([[both]], [self.width], (7, 7, 0, 4), ("BOX", *ALL, 1.0, HexColor(LINES)))


def _table(rows: list[Any], widths: list[float], padding: tuple[int, ...], *rules: Any) -> Table:
    """A table whose cells begin at the top, with so many points left, right, above and below."""
    sides = zip(("LEFT", "RIGHT", "TOP", "BOTTOM"), padding, strict=True)
    padded = [(f"{side}PADDING", *ALL, points) for side, points in sides]
    return Table(rows, colWidths=widths, style=[("VALIGN", *ALL, "TOP"), *rules, *padded])


def clean(text: str) -> str:
    """One line of printable text: control characters would break the page or the file."""
    kept = (c if c.isprintable() or c == "\N{NO-BREAK SPACE}" else " " for c in str(text))
    return "".join(kept).strip()


def _fonts() -> None:
    """The fonts that come with matplotlib, so that letters of many alphabets are there."""
    if PLAIN in pdfmetrics.getRegisteredFontNames():
        return
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont(PLAIN, str(folder / "DejaVuSans.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(folder / "DejaVuSans-Bold.ttf")))
