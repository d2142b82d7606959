"""The what-if panel: what it asks, how far its sliders go, and what it says of stale figures."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from experiments import Study, load
from experiments.notebook import panel as module
from experiments.notebook.panel import HIGH, STALE, WIDE, Panel, table_of
from experiments.notebook.question import Question, knobs
from experiments.situations.files import shipped_text
from experiments.statistics.measures import MEASURES, difference
from experiments.words.measured import told_difference

pytestmark = pytest.mark.filterwarnings("ignore:.*:DeprecationWarning")


@pytest.fixture
def panel(monkeypatch: pytest.MonkeyPatch) -> Panel:
    """A panel of few rehearsals whose first answer is of fewer."""
    monkeypatch.setattr(module, "FIRST", 20)
    return Panel(n=60)


def test_an_untouched_panel_asks_the_file_as_it_is(panel: Panel) -> None:
    assert panel.question == Question("week-trapped-line", {})
    assert panel.question.situation().digest() == load("week-trapped-line").digest()


def test_every_part_of_a_question_reaches_the_situation(panel: Panel) -> None:
    panel.force.value = "forehand"
    panel.ours.value = "elite"
    panel.sliders["stall"].value = 5.5
    panel.sliders["wind.speed"].value = 3.0
    panel.sliders["wind.toward"].value = 90.0
    panel.sliders["defences.trap.handlers.cushion"].value = 2.2
    panel._at[0].value = 3.0
    asked = panel.question.situation()
    assert (asked.force, asked.stall, asked.wind.speed, asked.wind.toward) == (
        "forehand", 5.5, 3.0, 90.0,
    )  # fmt: skip
    assert asked.roster.offence.level == "elite"
    assert asked.setting("defences.trap.handlers.cushion").value == 2.2
    # With the disc go all, as its sliders say.
    assert all("all" in slider.description for slider in panel._at)
    before = {p.name: p.at for p in load("week-trapped-line").attackers}
    for player in asked.attackers:
        if "stack" in player.name:
            moved = 3.0 - load("week-trapped-line").holder.at[0]
            assert abs(player.at[0] - before[player.name][0]) == pytest.approx(abs(moved))
    assert asked.holder.at[0] == 3.0
    assert asked.holder.at[1] == load("week-trapped-line").holder.at[1]


def test_one_players_speed_is_that_players_alone(panel: Panel) -> None:
    panel.player.value = "on up-field"
    path = "defenders.on up-field.ability.top_speed"
    panel.sliders[path].value = 9.5
    asked = panel.question.situation()
    assert asked.setting(path).value == 9.5
    others = [p for p in asked.defenders if p.name != "on up-field"]
    assert all(asked.ability_of(p).top_speed < 9.0 for p in others)


@pytest.mark.parametrize("name", ["week-trapped-line", "middle-reset", "possession", "cup"])
def test_sliders_end_where_the_file_ends(name: str) -> None:
    """Both ends are taken; a look that begins after it ends is not offered."""
    situation = load(name)
    found = knobs(situation)
    assert {knob.path for knob in found} >= {"stall", "wind.speed", "wind.toward"}
    for knob in found:
        assert knob.low <= knob.value <= knob.high
        for end in (knob.low, knob.high):
            situation.with_setting(knob.path, int(end) if knob.whole else end)
    looks = [knob for knob in found if knob.path.endswith("looks.0.from")]
    assert looks
    assert all(knob.high < situation.plans[situation.plan].looks[0].to for knob in looks)


def test_the_last_answer_stands_beside_the_new_one_with_the_paired_difference(panel: Panel) -> None:
    panel.press()
    assert isinstance(panel.study, Study)
    assert panel.before is None
    first = panel.study
    panel.sliders["stall"].value = 7.5
    panel.press()
    assert panel.before is first
    assert panel.study.situation.stall == 7.5
    for name in ("completed", "gain_m"):
        by = difference(panel.study.table, first.table, MEASURES[name])
        assert told_difference(by, MEASURES[name]) in panel.found.value
    assert bytes(panel.picture.value).startswith(b"\x89PNG")
    assert panel.figure is not None


def test_a_change_marks_the_figures_as_stale_until_the_next_press(panel: Panel) -> None:
    panel.press()
    assert STALE not in panel.state.value
    panel.force.value = "middle"
    assert STALE in panel.state.value
    assert panel.picture.layout.border_top
    panel.press()
    assert STALE not in panel.state.value
    assert not panel.picture.layout.border_top


def test_it_says_that_it_is_at_work_and_answers_with_few_first(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[int, str, bool]] = []
    real = module.rehearse

    def watched(situation: Any, n: int, *rest: Any, **more: Any) -> Study:
        seen.append((n, panel.state.value, panel.button.disabled))
        return real(situation, n, *rest, **more)

    monkeypatch.setattr(module, "rehearse", watched)
    panel.press()
    assert [n for n, _, _ in seen] == [20, 60]
    assert all("Rehearsing" in said and disabled for _, said, disabled in seen)
    assert not panel.button.disabled
    assert panel.state.value == ""


def test_a_file_of_ones_own_and_one_that_is_not_there(panel: Panel, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(shipped_text("middle-reset").replace("stall = 4.0", "stall = 5.0"), "utf-8")
    panel.name.value = str(own)
    assert panel.question.situation().stall == 5.0
    panel.name.value = str(tmp_path / "none.toml")
    assert "no such file" in panel.state.value


def test_what_cannot_be_played_is_said_in_words(panel: Panel) -> None:
    panel.sliders["stall"].max = 99.0
    panel.sliders["stall"].value = 50.0
    panel.press()
    assert "allowed" in panel.state.value
    assert not panel.button.disabled


def test_it_is_laid_out_for_a_screen_of_1280_by_720(panel: Panel) -> None:
    """Every control of a long plan is in the column without scrolling, 28 points a row."""
    left, right = panel.box.children
    rows = 7 + len(panel.turned.children) + len(panel.place.children) + len(panel.speed.children)
    assert 28 * rows <= HIGH <= 720 - 120  # the bars of the browser and the notebook
    wide = [int(box.layout.width.removesuffix("px")) for box in (left, right)]
    assert sum(wide) == WIDE <= 1280 - 80


def test_words_of_a_file_are_shown_as_they_are(panel: Panel) -> None:
    panel.press()
    assert panel.study is not None
    nasty = panel.study.situation.model_copy(update={"title": "<script>alert(1)</script>"})
    study = replace(panel.study, situation=nasty)
    assert "<script>" not in table_of(study)
