"""The handout: a page a situation, safe with any text, asking for nothing, said in plain words."""

from __future__ import annotations

import errno
import os
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from experiments.charts.style import Style
from experiments.errors import StudyFolderError
from experiments.handouts.animation import animate
from experiments.handouts.answers import CAUTIONS, NOT_STUDIED, answer, failures
from experiments.handouts.handout import Handout, Sheet, tie, write_handout
from experiments.handouts.paper import Paper, clean
from tests.experiments.chromium import requests_of, run, screenshot
from tests.experiments.fakes import FakeEstimate, FakeSituation, FakeStudy, invented_tape

FINDINGS = ("Deeper than 12 m the completion falls by 4 points (2 to 6).",)
NASTY = "</p><script>alert(1)</script> $x^2$ & <b>bold</b> \x07\x00 100 % \"quoted\" 'é ü ł'"


def text_of(pdf: Path, number: int = 0) -> str:
    """The words of a page, with spaces for line breaks."""
    text = PdfReader(pdf).pages[number].extract_text()
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.fixture(scope="module")
def handout(tmp_path_factory: pytest.TempPathFactory) -> Handout:
    sheets = [Sheet(FakeStudy(), FINDINGS), Sheet(FakeStudy())]
    return write_handout(sheets, tmp_path_factory.mktemp("handout"))


def test_a_full_disk_leaves_the_files_before_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheets = [Sheet(FakeStudy(), FINDINGS)]
    written = write_handout(sheets, tmp_path)
    gif = animate(invented_tape(), tmp_path / "replay.gif")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert set(before) == {written.html.name, written.pdf.name, gif.name}

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StudyFolderError, match="the disk is full"):
        write_handout([*sheets, *sheets], tmp_path)
    with pytest.raises(StudyFolderError, match="the disk is full"):
        Paper(written.pdf, title="other").write([])
    with pytest.raises(StudyFolderError, match="the disk is full"):
        animate(invented_tape(), gif, title="other")
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_page_of_a4_for_each_situation(handout: Handout) -> None:
    """A4 is 210 x 297 mm (ISO 216)."""
    pages = PdfReader(handout.pdf).pages
    assert len(pages) == 2
    for page in pages:
        size = np.array([page.mediabox.width, page.mediabox.height], dtype=float) / 72 * 25.4
        np.testing.assert_allclose(size, [210.0, 297.0], atol=0.1)


def test_the_page_has_question_answer_limits_drill_and_cautions(handout: Handout) -> None:
    html = re.sub(r"<[^>]*>", " ", handout.html.read_text(encoding="utf-8"))
    html = " ".join(html.replace("\N{NO-BREAK SPACE}", " ").replace("&#39;", "'").split())
    study = FakeStudy()
    for text in (text_of(handout.pdf), html):
        assert "Is the strike from the break side on at stall 4?" in text
        assert (
            f"Of 100 such plays about {100 * study.completion.estimate:.0f} are completed" in text
        )
        assert FINDINGS[0] in text
        assert "Drill card" in text
        assert "10 turns" in text
        assert "A pace is taken as 0.75 m." in text
        for caution in CAUTIONS:
            assert caution in text
        assert "typical" in text


def test_what_was_not_studied_is_said_not_to_be(handout: Handout) -> None:
    assert NOT_STUDIED not in text_of(handout.pdf, 0)
    assert NOT_STUDIED in text_of(handout.pdf, 1)


def test_cautions_name_warm_up_collisions_coach_rules_and_doctor() -> None:
    text = " ".join(CAUTIONS).lower()
    for word in ("warm up", "on course to meet", "coach", "rules", "medical", "injury"):
        assert word in text


def test_the_same_study_gives_the_same_file(handout: Handout, tmp_path: Path) -> None:
    again = write_handout([Sheet(FakeStudy(), FINDINGS), Sheet(FakeStudy())], tmp_path)
    assert again.pdf.read_bytes() == handout.pdf.read_bytes()
    assert again.html.read_bytes() == handout.html.read_bytes()


def test_fonts_are_inside_the_file(handout: Handout) -> None:
    """A reader's machine need not have them."""
    fonts = PdfReader(handout.pdf).pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    ours = [font.get_object() for font in fonts.values() if "DejaVu" in str(font.get_object())]
    assert len(ours) >= 2
    for font in ours:
        assert "/FontFile2" in font["/FontDescriptor"].get_object()


def test_any_text_is_shown_as_it_was_written(tmp_path: Path) -> None:
    situation = FakeSituation(title=NASTY, question=NASTY, story=NASTY)
    study = FakeStudy(situation=situation, play=invented_tape(name="<i>left</i> & $r$"))
    written = write_handout([Sheet(study, (NASTY,))], tmp_path)
    html = written.html.read_text(encoding="utf-8")
    assert "<script>" not in html
    assert "<b>bold</b>" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    text = text_of(written.pdf)
    shown = "</p><script>alert(1)</script> $x^2$ & <b>bold</b>"
    assert text.count(shown) >= 4
    assert "é ü ł" in text
    assert "runner (<i>left</i> & $r$)" in text


def test_control_characters_are_dropped() -> None:
    assert clean("a\x00b\x1bc\u202ed\ne") == "a b c d e"


def test_a_long_story_stays_on_its_page(tmp_path: Path) -> None:
    """Many findings and a long story are set smaller; nothing runs over or leaves the paper."""
    situation = FakeSituation(title="Reset " * 30, story="The disc is on the line. " * 60)
    findings = tuple(f"Finding {k}: completion falls by {k} points (1 to 9)." for k in range(14))
    written = write_handout([Sheet(FakeStudy(situation=situation), findings)], tmp_path)
    pages = PdfReader(written.pdf).pages
    assert len(pages) == 1
    text = text_of(written.pdf)
    assert all(finding in text for finding in findings)
    assert CAUTIONS[-1] in text
    spots: list[tuple[float, float]] = []

    def note(words: str, cm: list[float], tm: list[float], *_: object) -> None:
        if words.strip():
            x, y = tm[4], tm[5]
            spots.append((x * cm[0] + y * cm[2] + cm[4], x * cm[1] + y * cm[3] + cm[5]))

    pages[0].extract_text(visitor_text=note)
    margin = 25.0
    width, height = float(pages[0].mediabox.width), float(pages[0].mediabox.height)
    assert len(spots) > 40
    assert all(margin < x < width - margin and margin < y < height - margin for x, y in spots)


def test_yards_and_ones_own_pace(tmp_path: Path) -> None:
    written = write_handout([Sheet(FakeStudy())], tmp_path, style=Style(units="yd"), pace=0.9144)
    text = text_of(written.pdf)
    assert "A pace is taken as 1.00 yd." in text
    assert "9.8 yd (10 paces) to the left" in text


def test_a_handout_of_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one study"):
        write_handout([], tmp_path)


def test_going_backward_is_said_in_words() -> None:
    class Back(FakeStudy):
        gain_m = FakeEstimate(-2.8, -2.9, -2.7, 900)  # type: ignore[assignment]

    assert "A completion gives up 2.8 m (2.7 to 2.9)" in " ".join(answer(Back()))


def test_failures_add_up_to_what_was_not_completed() -> None:
    study = FakeStudy()
    shares = [float(text.split(" ")[-2]) for text in failures(study)]
    assert sum(shares) == pytest.approx(100 * (1 - study.completion.estimate), abs=0.5)
    assert shares == sorted(shares, reverse=True)


def test_numbers_stay_with_their_units() -> None:
    space = "\N{NO-BREAK SPACE}"
    assert tie("9.0 m (12 paces), 95 % of 10 mice") == (
        f"9.0{space}m (12{space}paces), 95{space}% of 10 mice"
    )


def test_the_page_is_complete_in_itself(handout: Handout) -> None:
    html = handout.html.read_text(encoding="utf-8")
    addresses = re.findall(r"""(?:src|href|action)\s*=\s*["']([^"']*)""", html)
    assert addresses
    assert all(address.startswith("data:") for address in addresses)
    assert "url(" not in html
    assert "@import" not in html
    assert "<script" not in html
    assert "default-src 'none'" in html


def test_opening_the_page_asks_for_nothing(handout: Handout, tmp_path: Path) -> None:
    assert requests_of(handout.html, tmp_path) == []


def test_the_browser_shows_words_and_diagram(handout: Handout, tmp_path: Path) -> None:
    """The diagram is where it should be: offence green in the upper half, and no empty page."""
    picture = screenshot(handout.html, tmp_path, 1000, 1600)
    with Image.open(picture) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    green = np.abs(pixels - [0x00, 0x9E, 0x73]).sum(axis=-1) < 20
    assert green[:900].sum() > 800
    dark = pixels.sum(axis=-1) < 200
    assert (dark.any(axis=1)).mean() > 0.35


def test_printed_by_the_browser_it_is_a_page_a_situation(handout: Handout, tmp_path: Path) -> None:
    pdf = tmp_path / "printed.pdf"
    run(handout.html, tmp_path, f"--print-to-pdf={pdf}", "--no-pdf-header-footer")
    assert len(PdfReader(pdf).pages) == 2


def test_a_narrow_window_has_no_sideways_scrolling(handout: Handout, tmp_path: Path) -> None:
    """On a telephone, 500 wide, nothing is cut at the right."""
    html = handout.html.read_text(encoding="utf-8")
    probe = "<script>document.title = document.documentElement.scrollWidth</script></body>"
    allowed = html.replace("default-src 'none';", "default-src 'none'; script-src 'unsafe-inline';")
    page = tmp_path / "narrow.html"
    page.write_text(allowed.replace("</body>", probe), encoding="utf-8")
    dom = run(page, tmp_path, "--dump-dom", "--window-size=500,900")
    title = re.search(r"<title>(\d+)</title>", dom)
    assert title
    assert int(title.group(1)) <= 500
