"""The handout: a page a situation, safe with any text, asking for nothing, said in plain words."""

from __future__ import annotations

import errno
import os
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from experiments import Situation, Study, vary
from experiments.charts.style import Style
from experiments.errors import StudyFolderError
from experiments.handouts.animation import animate
from experiments.handouts.answers import (
    CAUTIONS,
    NOT_STUDIED,
    answer_of,
    failures,
    headline,
    sentences,
)
from experiments.handouts.handout import (
    Handout,
    Sheet,
    content_of,
    studies_of,
    tie,
    write_handout,
)
from experiments.handouts.pages import page
from experiments.handouts.paper import SIZE, Paper, PaperSheet, clean
from experiments.statistics.look_shares import look_shares
from experiments.studies.compare import Compared
from tests.experiments.chromium import requests_of, run, screenshot
from tests.experiments.fakes import invented_tape
from tests.experiments.handouts.conftest import QUIET

FINDINGS = ("Deeper than 12 m the completion falls by 4 points (2 to 6).",)
NASTY = "</p><script>alert(1)</script> $x^2$ & <b>bold</b> \x07\x00 100 % \"quoted\" 'é ü ł'"
PATH = re.compile(r"\b(?:plans|defences|roster|attackers|defenders)\.")


def text_of(pdf: Path, number: int = 0) -> str:
    """The words of a page, with spaces for line breaks."""
    text = PdfReader(pdf).pages[number].extract_text()
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


def words_of(html: Path) -> str:
    """The words of a web page."""
    text = re.sub(r"<[^>]*>", " ", html.read_text(encoding="utf-8"))
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").replace("&#39;", "'").split())


@pytest.fixture(scope="module")
def whole(study: Study, compared: Compared) -> Sheet:
    """All that may be said of one situation."""
    plan = study.situation.plan
    curve = vary(
        study.situation,
        {f"plans.{plan}.looks.0.release_offset": [-0.3, 0.0, 0.9]},
        n=200,
        engine=QUIET,
    )
    return Sheet(study, FINDINGS, (compared, curve, STURDY))


STURDY = {
    "better": "strike",
    "other": "dump",
    "measure": "score",
    "advice": {"estimate": 0.05, "low": 0.01, "high": 0.09, "n": 100},
    "sets_of_assumptions": {"tried": 60, "stays_better": 40, "unclear": 15, "other_better": 5},
    "assumptions": [
        {
            "path": "roster.defence.top_speed",
            "in_use": 8.8,
            "verdict": "overturns",
            "turned_at": [9.2, 9.6],
            "unclear_at": [],
            "crosses_near": [9.0],
        },
        {
            "path": "defences.man.handlers.cushion",
            "in_use": 1.2,
            "verdict": "holds",
            "turned_at": [],
            "unclear_at": [],
            "crosses_near": [],
        },
        {"path": "wind.speed", "in_use": 0.0, "verdict": None},
    ],
}


@pytest.fixture(scope="module")
def content(whole: Sheet) -> PaperSheet:
    return content_of(whole)


@pytest.fixture(scope="module")
def handout(whole: Sheet, study: Study, tmp_path_factory: pytest.TempPathFactory) -> Handout:
    return write_handout([whole, Sheet(study)], tmp_path_factory.mktemp("handout"))


def test_a_full_disk_leaves_the_files_before_as_they_were(
    study: Study, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheets = [Sheet(study, FINDINGS)]
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
    for one in pages:
        size = np.array([one.mediabox.width, one.mediabox.height], dtype=float) / 72 * 25.4
        np.testing.assert_allclose(size, [210.0, 297.0], atol=0.1)


def test_nothing_is_set_smaller_than_ten_points(handout: Handout) -> None:
    """As it comes out of the printer: the size of the font times the scale it is drawn at."""
    sizes: list[float] = []

    def note(words: str, cm: list[float], tm: list[float], _: object, size: float) -> None:
        if words.strip():
            sizes.append(size * abs(cm[3] * tm[3]))

    for one in PdfReader(handout.pdf).pages:
        one.extract_text(visitor_text=note)
    assert len(sizes) > 40
    assert min(sizes) >= SIZE - 1e-6 >= 10.0 - 1e-6


def test_the_page_has_question_answer_limits_drill_and_cautions(
    handout: Handout, situation: Situation, whole: Sheet
) -> None:
    shown = answer_of(whole.studies)
    for text in (text_of(handout.pdf), words_of(handout.html)):
        assert situation.question in text
        assert headline(shown) in text
        assert FINDINGS[0] in text
        assert "Drill: the cones" in text
        assert "10 turns" in text
        assert "a pace is 0.75 m" in text
        for caution in CAUTIONS:
            assert caution in text
        assert "typical" in text
        assert not PATH.search(text), "a setting's path means nothing to a player"


def test_the_comparison_stands_there_with_what_each_plan_threw(
    handout: Handout, compared: Compared
) -> None:
    for text in (text_of(handout.pdf), words_of(handout.html)):
        for study in studies_of(compared):
            most = look_shares(study.table)[0]
            assert f"{most.look} {100 * most.thrown.estimate:.0f} %" in text
        assert "all stars judged together" in text


def test_a_plan_is_shown_in_place_of_the_one_in_use_only_if_it_is_clearly_better(
    compared: Compared,
) -> None:
    studies = {study.situation.plan: study for study in studies_of(compared)}
    table = studies["strike"].table
    worse = table.assign(completed=table["completed"] & (table.index % 2 == 0))
    pair = {"strike": replace(studies["strike"], rows=worse), "dump": studies["dump"]}
    assert answer_of(pair).chosen == "dump"
    level = {"strike": studies["strike"], "dump": replace(studies["dump"], rows=table)}
    assert answer_of(level).chosen == "strike"
    other_luck = {"strike": pair["strike"], "dump": replace(studies["dump"], seed=8)}
    found = answer_of(other_luck)
    assert found.chosen == "strike"
    assert found.comparison is None


def test_goals_lead_where_goals_are_asked(study: Study) -> None:
    asks = study.situation.model_copy(update={"asks": "goal"})
    scored = study.table.assign(goal=study.table.index % 4 == 0)
    found = answer_of({"strike": replace(study, situation=asks, rows=scored)})
    assert "about 25 end in a goal" in headline(found)


def test_what_would_overturn_it_is_said_with_human_labels(handout: Handout) -> None:
    text = text_of(handout.pdf)
    assert "In 60 sets of other assumptions it stays clearly better in 40, dump is in 5" in text
    assert (
        "Top speed (defence) alone turns it: at 9.2 and 9.6 m/s dump is better (in use 8.8)" in text
    )
    assert "none of these turns it at the values tried: cushion" in text


def test_what_was_not_studied_is_said_not_to_be(handout: Handout) -> None:
    assert NOT_STUDIED not in text_of(handout.pdf, 0)
    assert NOT_STUDIED in text_of(handout.pdf, 1)


def test_cautions_name_warm_up_collisions_coach_rules_and_doctor() -> None:
    text = " ".join(CAUTIONS).lower()
    for word in ("warm up", "on course to meet", "coach", "rules", "medical", "injury"):
        assert word in text


def test_the_same_study_gives_the_same_file(
    handout: Handout, whole: Sheet, study: Study, tmp_path: Path
) -> None:
    again = write_handout([whole, Sheet(study)], tmp_path)
    assert again.pdf.read_bytes() == handout.pdf.read_bytes()
    assert again.html.read_bytes() == handout.html.read_bytes()


def test_fonts_are_inside_the_file(handout: Handout) -> None:
    """A reader's machine need not have them."""
    fonts = PdfReader(handout.pdf).pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    ours = [font.get_object() for font in fonts.values() if "DejaVu" in str(font.get_object())]
    assert len(ours) >= 2
    for font in ours:
        assert "/FontFile2" in font["/FontDescriptor"].get_object()


def test_any_text_is_shown_as_it_was_written(content: PaperSheet, tmp_path: Path) -> None:
    nasty = replace(
        content,
        title=NASTY,
        question=NASTY,
        findings=(NASTY,),
        cones=(("A", "runner (<i>left</i> & $r$)", ""),),
    )
    html = page("handout.html", title=NASTY, sheets=[nasty])
    assert "<script>" not in html
    assert "<b>bold</b>" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    Paper(tmp_path / "nasty.pdf", NASTY).write([nasty])
    text = text_of(tmp_path / "nasty.pdf")
    shown = "</p><script>alert(1)</script> $x^2$ & <b>bold</b>"
    assert text.count(shown) >= 3
    assert "é ü ł" in text
    assert "runner (<i>left</i> & $r$)" in text


def test_control_characters_are_dropped() -> None:
    assert clean("a\x00b\x1bc\u202ed\ne") == "a b c d e"


def test_much_to_say_stays_on_its_page(content: PaperSheet, tmp_path: Path) -> None:
    """Whatever the length of title, story and findings; nothing runs over or leaves the paper."""
    findings = tuple(f"Finding {k}: completion falls by {k} points (1 to 9)." for k in range(24))
    long = replace(content, title="Reset " * 30, story="On the line. " * 60, findings=findings)
    Paper(tmp_path / "long.pdf", "long").write([long])
    pages = PdfReader(tmp_path / "long.pdf").pages
    assert len(pages) == 1
    text = text_of(tmp_path / "long.pdf")
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


def test_yards_and_ones_own_pace(study: Study, tmp_path: Path) -> None:
    written = write_handout([Sheet(study)], tmp_path, style=Style(units="yd"), pace=0.9144)
    text = text_of(written.pdf)
    assert "a pace is 1.00 yd" in text
    assert "10.9 yd (11 paces) to the left" in text  # 10 m


def test_a_handout_of_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one study"):
        write_handout([], tmp_path)


def test_going_backward_is_said_in_words(study: Study) -> None:
    back = study.table.assign(gain_m=np.linspace(-2.9, -2.7, study.n))
    text = " ".join(sentences(answer_of({"strike": replace(study, rows=back)})))
    assert "A completed pass gives up 2.8 m" in text


def test_failures_add_up_to_what_was_not_completed(study: Study) -> None:
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
    assert green[:900].sum() > 300
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
    narrow = tmp_path / "narrow.html"
    narrow.write_text(allowed.replace("</body>", probe), encoding="utf-8")
    dom = run(narrow, tmp_path, "--dump-dom", "--window-size=500,900")
    title = re.search(r"<title>(\d+)</title>", dom)
    assert title
    assert int(title.group(1)) <= 500
