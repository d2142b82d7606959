"""`whatif` and `settings`: one line asks, the answer is a sentence; every setting is listed."""

from __future__ import annotations

import json

import pytest

from experiments.cli import main
from experiments.situations.files import load, shipped
from experiments.situations.setting_paths import every_setting


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command prints that succeeds."""
    assert main(arguments) == 0
    return capsys.readouterr().out


def test_a_question_in_one_line_is_answered_in_a_sentence(
    capsys: pytest.CaptureFixture[str],
) -> None:
    asked = ("whatif", "middle-reset", "plan=dump", "attackers.left.at=-8, 29", "-n", "80")
    said = printed(capsys, *asked, "--jobs", "1").splitlines()
    assert "attackers.left.at.0 -10.0 -> -8.0" in said[1]
    assert "plan strike -> dump" in said[1]
    assert "before" in said[2] and "after" in said[2] and "points" in said[2]
    assert any(line.startswith("thrown after:") and "dump left" in line for line in said)


def test_the_same_as_one_json_object(capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(
        printed(capsys, "whatif", "middle-reset", "stall=6", "-n", "40", "--jobs", "1", "--json")
    )
    assert found["changes"] == {"stall": {"before": 4.0, "after": 6.0}}
    assert {"completed", "goal", "gain_m", "score"} <= set(found["differences"])
    assert "looks" in found["after"]


@pytest.mark.parametrize("name", shipped())
def test_every_setting_of_a_situation_is_listed_with_what_it_takes(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    listed = json.loads(printed(capsys, "settings", name, "--json"))
    assert set(listed) == set(every_setting(load(name)))
    for path, entry in listed.items():
        if isinstance(entry["value"], (int, float)) and not isinstance(entry["value"], bool):
            assert entry["low"] is not None or entry["high"] is not None, path


def test_settings_are_found_by_a_word_and_a_wrong_word_is_answered(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said = printed(capsys, "settings", "middle-reset", "wind")
    assert "wind.toward" in said and "0 downfield, 90 to the right" in said
    assert main(("settings", "middle-reset", "wnd")) == 2
    assert "wind" in capsys.readouterr().err


def test_what_the_answer_is_about_can_be_set(capsys: pytest.CaptureFixture[str]) -> None:
    few = ("-n", "20", "--jobs", "1", "--json")
    said = printed(capsys, "vary", "middle-reset", "stall=2,4", "--set", "asks=gain", *few)
    assert json.loads(said)["measure"] == "gain_m"
    said = printed(capsys, "settings", "middle-reset", "asks")
    assert "keep, gain, goal" in said
    assert main(("try", "middle-reset", "--set", "asks=goals", *few)) == 2
    assert "asks: found 'goals'; allowed: keep, gain, goal" in capsys.readouterr().err
