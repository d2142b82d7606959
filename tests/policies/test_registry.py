"""Policies by kind and name: built in, or offered by another package through an entry point."""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from experiments.cli import main
from experiments.errors import SituationError
from experiments.running import identity
from experiments.situations.files import loads, shipped_text
from policies import BUILT_IN, registry
from policies.registry import KINDS, UnknownPolicy, find, names, one_line

MODULE = '''
from dataclasses import dataclass
from policies.cuts import Cut
from policies.covers import Cover
from sim.settings import setting

@dataclass(frozen=True)
class Zigzag(Cut):
    """Zigzag: two turns before the catch."""

    turns: int = setting(2, low=1, high=4, source="a test")

class Shadow(Cover):
    """Shadow: a cover of somebody else's."""

def not_a_class():
    pass
'''
ENTRY_POINTS = """
[stallwise.policies.cut]
zigzag = stallwise_test_plugin:Zigzag
strike = stallwise_test_plugin:Zigzag
broken = stallwise_test_plugin:Missing
function = stallwise_test_plugin:not_a_class
ending = stallwise_test_ending:Zigzag

[stallwise.policies.cover]
shadow = stallwise_test_plugin:Shadow
"""


@pytest.fixture
def plugin(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """An installed package that offers policies, as pip would leave it on the path."""
    (tmp_path / "stallwise_test_plugin.py").write_text(MODULE)
    (tmp_path / "stallwise_test_ending.py").write_text("import sys\n\nsys.exit(3)\n")
    about = tmp_path / "stallwise_test_plugin-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: stallwise-test-plugin\nVersion: 1.0\n"
    )
    (about / "entry_points.txt").write_text(ENTRY_POINTS)
    monkeypatch.syspath_prepend(str(tmp_path))
    registry._offered.cache_clear()
    yield
    registry._offered.cache_clear()
    sys.modules.pop("stallwise_test_plugin", None)


@pytest.mark.usefixtures("plugin")
def test_a_study_notices_another_text_of_a_plug_in_it_names(tmp_path: Path) -> None:
    mine, none = {"looks": [{"cut": "zigzag"}]}, {"looks": [{"cut": "strike"}]}
    assert identity.plugins_digest([none]) == "", "the built-in strike is not the plug-in's"
    before = identity.plugins_digest([mine])
    assert before
    (tmp_path / "stallwise_test_plugin.py").write_text(MODULE + "TURNS = 9\n")
    assert identity.plugins_digest([mine]) != before


@pytest.mark.usefixtures("plugin")
def test_a_plug_in_that_ends_the_program_is_told_in_words(tmp_path: Path) -> None:
    (tmp_path / "stallwise_test_plugin.py").write_text("import sys\nsys.exit(3)\n")
    with pytest.raises(UnknownPolicy, match=r"cannot be imported: it ends the program \(3\)"):
        find("cut", "zigzag")


def test_every_built_in_policy_is_a_frozen_dataclass_with_a_line_about_it() -> None:
    assert set(BUILT_IN) == set(KINDS)
    for kind in KINDS:
        for name in names(kind):
            found = find(kind, name)
            assert dataclasses.is_dataclass(found), name
            assert found.__dataclass_params__.frozen, name  # type: ignore[attr-defined]
            line = one_line(kind, name)
            assert line.strip(), name
            assert not line.startswith(f"{found.__name__}("), f"{name} has no docstring of its own"
            found()  # every setting has a default


def test_an_unknown_name_is_told_with_the_nearest_and_all_known() -> None:
    with pytest.raises(UnknownPolicy, match=r"no cut policy is called 'strik'.*'strike'.*dump"):
        find("cut", "strik")
    with pytest.raises(ValueError, match="offence, defence, cut, cover, mark"):
        find("cuts", "strike")


@pytest.mark.usefixtures("plugin")
def test_an_installed_package_adds_policies_but_takes_no_name() -> None:
    assert "zigzag" in names("cut")
    assert find("cut", "zigzag").__name__ == "Zigzag"
    assert one_line("cut", "zigzag") == "Zigzag: two turns before the catch."
    assert find("cut", "strike") is BUILT_IN["cut"]["strike"]


@pytest.mark.usefixtures("plugin")
def test_situation_files_may_name_an_added_policy_with_its_settings() -> None:
    text = shipped_text("middle-reset").replace('cut = "strike"', 'cut = "zigzag"\nturns = 3')
    look = loads(text).plans["strike"].looks[0]
    assert type(look.built).__name__ == "Zigzag"
    assert look.built.turns == 3
    with pytest.raises(SituationError, match="1 to 4"):
        loads(text.replace("turns = 3", "turns = 9"))
    other = '[defences.other]\npolicy = "man"\nhandlers = { policy = "shadow" }\n'
    situation = loads(f"{text}\n{other}")
    assert type(situation.defences["other"].built.handlers).__name__ == "Shadow"
    assert situation.digest() != loads(text).digest()


@pytest.mark.usefixtures("plugin")
@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("broken", "cannot be imported"),
        ("function", "not a class"),
        ("ending", "cannot be imported"),
    ],
)
def test_a_broken_offer_is_told_and_hurts_nobody_else(
    name: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(UnknownPolicy, match=told):
        find("cut", name)
    text = shipped_text("middle-reset")
    loads(text)
    with pytest.raises(SituationError, match=told):
        loads(text.replace('cut = "strike"', f'cut = "{name}"'))
    assert main(["policies"]) == 0
    listed = capsys.readouterr().out
    assert all(word in listed for word in told.split()), "in a narrow column, so over several lines"
