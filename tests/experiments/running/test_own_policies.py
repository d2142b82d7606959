"""Policies of one's own: the blocks of DEVELOPERS.md run, by object and by name."""

from __future__ import annotations

import re
import sys
import time
import tomllib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from experiments import load, rehearse
from experiments.cli import main
from experiments.errors import RunError, SituationError, StallwiseError
from experiments.running.engine import Engine
from experiments.situations.files import loads, shipped_text
from experiments.situations.lineup import line_up
from policies import Look, Looks, Man, Mark, registry
from policies.cuts import Dump, Strike
from sim import machine_code, rulebook
from sim.intent import run
from sim.rulebook import cannot_compile

GUIDE = Path(__file__).parents[3] / "DEVELOPERS.md"
SECTION = "## Write your own cut, plan, defence"


def blocks(language: str) -> list[str]:
    """The code blocks of the section, in order."""
    text = GUIDE.read_text(encoding="utf-8")
    section = text.split(SECTION)[1].split("\n## ")[0]
    return re.findall(rf"```{language}\n(.*?)```", section, flags=re.DOTALL)


@pytest.fixture(scope="module")
def guide() -> dict[str, Any]:
    """What the blocks of the guide define, having been run in a module of their own; but the last."""
    module = type(sys)("blocks_of_the_guide")
    for block in blocks("python")[:-1]:
        exec(compile(block, str(GUIDE), "exec", dont_inherit=True), vars(module))
    return vars(module)


@pytest.mark.slow
def test_the_blocks_of_the_guide_run_in_order_and_pass_the_check(guide, capsys):
    assert len(blocks("python")) == 4
    exec(compile(blocks("python")[-1], str(GUIDE), "exec", dont_inherit=True), dict(guide))
    told = capsys.readouterr().out
    assert told.count("nothing wrong in") == 3
    assert "warning" not in told


def test_a_policy_fits_in_about_twenty_lines():
    for block in blocks("python")[:3]:
        body = block[re.search(r"^(@dataclass|class )", block, re.MULTILINE).start() :]
        assert len([line for line in body.splitlines() if line.strip()]) <= 28, body


def test_policies_of_ones_own_are_played_and_change_the_play(guide):
    situation = load("middle-reset")
    named = rehearse(situation, n=60, seed=3)
    plan = Looks(looks=(Look("left", guide["Bounce"](), 4.0, 9.5, name="bounce left"),))
    bounce = rehearse(situation, n=60, seed=3, offence=plan)
    assert (bounce.table["look"].isin(["bounce left", "open player", ""])).all()
    assert (bounce.table["look"] == "bounce left").any()
    assert not bounce.table["gain_m"].equals(named.table["gain_m"])
    lanes = rehearse(situation, n=60, seed=3, defence=guide["Lanes"]())
    assert not lanes.table["separation_m"].equals(named.table["separation_m"])
    freest = rehearse(situation, n=60, seed=3, offence=guide["Freest"](), defence=guide["Lanes"]())
    assert sum(freest.outcomes.values()) == 60
    assert freest.as_dict()["plan"] == "Freest"
    assert freest.as_dict()["defence"] == "Lanes"
    assert named.as_dict()["plan"] == situation.plan


def test_the_named_policies_given_as_objects_play_the_same():
    situation = load("middle-reset").with_setting("force", "backhand")
    ready = line_up(situation)
    named = rehearse(situation, n=40, seed=3)
    given = rehearse(situation, n=40, seed=3, offence=ready.offence, defence=Man())
    pd.testing.assert_frame_equal(named.table, given.table, check_exact=True)


def test_the_force_of_the_situation_holds_for_a_defence_given_as_an_object():
    situation = load("middle-reset").with_setting("force", "backhand")
    ready = line_up(situation, defence=Man(mark=Mark(force="forehand", distance=1.5)))
    assert ready.scene.open_side == -1
    assert ready.defence.mark == Mark(force="backhand", distance=1.5)


def test_a_defence_without_starts_starts_as_man_cover_does(guide):
    situation = load("middle-reset")
    mine, named = line_up(situation, defence=guide["Lanes"]()), line_up(situation)
    assert mine.scene.defenders == named.scene.defenders


def test_a_tape_is_played_with_the_same_objects(guide):
    study = rehearse(load("middle-reset"), n=8, seed=3, defence=guide["Lanes"]())
    for rehearsal in (0, 7):
        tape = study.tape(rehearsal)
        assert tape.outcome == study.table["outcome"][rehearsal]
        assert tape.row["end_x_m"] == study.table["end_x_m"][rehearsal]


def test_objects_that_can_be_imported_go_to_worker_processes_too():
    situation = load("middle-reset")
    plan = Looks(looks=(Look("left", Strike(depth=7.0), 4.0, 9.5),))
    alone = rehearse(situation, n=220, seed=3, offence=plan)
    shared = rehearse(situation, n=220, seed=3, offence=plan, engine=Engine(processes=2))
    pd.testing.assert_frame_equal(alone.table, shared.table, check_exact=True)


def test_objects_that_cannot_be_imported_are_refused_by_processes_alone(guide):
    situation = load("middle-reset")
    with pytest.raises(
        RunError, match="use processes=1, or put their classes at the top of a module"
    ):
        rehearse(situation, n=220, offence=guide["Freest"](), engine=Engine(processes=2))
    with ThreadPoolExecutor(1) as executor:
        study = rehearse(
            situation, n=20, offence=guide["Freest"](), engine=Engine(executor=executor)
        )
    assert study.n == 20


def test_objects_of_a_notebook_are_refused_by_processes(monkeypatch):
    """A worker process starts without the cells of the notebook."""
    import __main__

    class Cell(Man):
        pass

    Cell.__module__, Cell.__qualname__ = "__main__", "Cell"
    monkeypatch.setattr(__main__, "Cell", Cell, raising=False)
    monkeypatch.delattr(__main__, "__file__", raising=False)
    situation = load("middle-reset")
    with pytest.raises(RunError, match=r"written in a notebook.*processes=1"):
        rehearse(situation, n=220, defence=Cell(), engine=Engine(processes=2))
    assert rehearse(situation, n=5, defence=Cell()).n == 5


def test_a_folder_takes_no_objects_and_says_what_to_do(tmp_path):
    out = tmp_path / "study"
    with pytest.raises(RunError, match=r"Python object.*Leave out `folder`.*entry point"):
        rehearse(load("middle-reset"), n=5, defence=Man(), engine=Engine(folder=out))
    assert not out.exists()


@pytest.mark.parametrize(
    ("policies", "told"),
    [
        ({"offence": Looks}, r"offence is the class Looks; give an object: Looks\(\)"),
        ({"offence": Strike()}, r"which is a cut: give a plan .*Look\('left', Strike\(\)"),
        ({"defence": "man"}, "defence is a str, which has no function decide"),
    ],
)
def test_what_is_no_policy_is_refused(policies, told):
    with pytest.raises(StallwiseError, match=told):
        rehearse(load("middle-reset"), n=5, **policies)


class Fails:
    """Raises in the course of the play."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Give up."""
        if me.now > 0.5:
            raise ValueError("too late")
        return run(0.0, 0.0)


class Divides:
    """Asks for a velocity that is no number."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Divide by zero."""
        return run(me.x / (me.now - me.now), 0.0)


class Overreaches:
    """Looks at a player that there is not."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Run as somebody out of the line-up does."""
        return run(me.seen[me.slot + 1000].vx, 0.0)


class Collects:
    """Keeps what it sees in an array and in a list."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Go the way that all go together, in two sums."""
        speeds, ways = np.zeros(me.everybody), [me.seen[0].vx]
        for q in range(me.everybody):
            speeds[q] = me.seen[q].vy
            ways.append(me.seen[q].vx)
        return run(0.2 * sum(ways), 0.2 * speeds.sum())


class Prints:
    """Tells what it is about."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Say so once."""
        if me.now == 0.0 and me.slot == me.everybody - 1:
            print("begins at", me.now)
        return run(0.0, 0.0)


class AsMethod:
    """Written as a method, which a rule is not."""

    def decide(self, me: Any, s: Any) -> Any:
        """Stand."""
        return run(0.0, 0.0)


class Wordy:
    """Cannot be compiled: it keeps a number and a word in one list."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Go up and down."""
        ways = [1.0, "down"]
        return run(0.0, -1.0 if ways[int(me.now) % 2] == "down" else 1.0)


class Misspells:
    """Asks its view for what is not there."""

    @staticmethod
    def decide(me: Any, s: Any) -> Any:
        """Run to nobody knows where."""
        return run(me.speed_of_light, 0.0)


@pytest.mark.parametrize(
    ("policy", "told"),
    [
        (Fails(), r"rehearsals 0 to 4: decide failed with ValueError: too late.*check_policy"),
        (Divides(), "rehearsal 0 ended at a place that is not finite: .*division by zero"),
        (Overreaches(), "decide failed with IndexError: .*out of bounds"),
        (AsMethod(), "defence: decide of AsMethod takes .*write @staticmethod"),
    ],
)
def test_a_policy_that_fails_is_told_in_plain_words(policy, told):
    with pytest.raises(RunError, match=told):
        rehearse(load("middle-reset"), n=5, defence=policy)


def test_a_rule_that_cannot_be_compiled_is_played_plain_with_a_warning():
    situation = load("middle-reset").with_setting("time_cap", 3.0)
    with pytest.warns(UserWarning, match=r"rule of Wordy cannot be compiled: .*slow"):
        study = rehearse(situation, n=1, seed=3, defence=Wordy())
    assert sum(study.outcomes.values()) == 1
    tape = study.tape(0)
    assert tape.row["end_x_m"] == study.table["end_x_m"][0]


def test_a_rule_may_make_arrays_and_lists(monkeypatch: pytest.MonkeyPatch) -> None:
    situation = load("middle-reset").with_setting("time_cap", 2.0)
    assert not cannot_compile(Collects, as_part=False)
    compiled = rehearse(situation, n=2, seed=3, defence=Collects())
    monkeypatch.setenv("STALLWISE_COMPILE", "0")
    plain = rehearse(situation, n=2, seed=3, defence=Collects())
    pd.testing.assert_frame_equal(plain.table, compiled.table, check_exact=True)


def test_threads_that_ask_whether_a_rule_compiles_are_told_the_same(monkeypatch):
    def fail(kind: type, as_part: bool) -> int:
        time.sleep(0.05)
        raise NotImplementedError("no such thing")

    monkeypatch.setattr(rulebook, "compiled_rule", fail)
    monkeypatch.setattr(rulebook, "_failures", {})
    with ThreadPoolExecutor(3) as executor:
        told = list(executor.map(lambda _: cannot_compile(Collects, as_part=False), range(3)))
    assert all("no such thing" in one for one in told)


def test_a_rule_that_prints_is_played_plain(capsys):
    situation = load("middle-reset").with_setting("time_cap", 1.0)
    with pytest.warns(UserWarning, match=r"Python, as print does; it is played uncompiled"):
        rehearse(situation, n=1, seed=3, defence=Prints())
    assert capsys.readouterr().out == "begins at 0.0\n"


def test_a_class_of_ones_own_is_not_taken_for_another_of_its_name_though_its_rule_is_ours():
    """Each cell, and each notebook, may have a Mine, with other settings or of another cut."""

    def two() -> Iterator[type]:
        class Mine(Strike):
            pass

        yield Mine

        class Mine(Dump):
            pass

        yield Mine

    assert not [why for kind in two() if (why := cannot_compile(kind, as_part=True))]
    folder = machine_code.folder()
    assert folder is not None and not list(folder.glob("*Mine*"))


def test_a_word_that_a_view_does_not_have_is_told_with_its_line():
    told = r"speed_of_light.*line \d+.*check_policy"
    with (
        pytest.warns(UserWarning, match="no 'speed_of_light'"),
        pytest.raises(RunError, match=told),
    ):
        rehearse(load("middle-reset"), n=2, defence=Misspells())


PLAIN = '''
from sim.intent import run


class Statues:
    """Statues: nobody moves."""

    @staticmethod
    def decide(me, s):
        return run(0.0, 0.0)
'''


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The package of the guide as pip would leave it, and a plain class beside its cut."""
    about = tomllib.loads(blocks("toml")[0])["project"]
    cut = blocks("python")[0]
    (tmp_path / "harbour_moves.py").write_text(cut + PLAIN)
    folder = tmp_path / f"harbour_moves-{about['version']}.dist-info"
    folder.mkdir()
    (folder / "METADATA").write_text(
        f"Metadata-Version: 2.1\nName: {about['name']}\nVersion: {about['version']}\n"
    )
    groups = {
        **about["entry-points"],
        "stallwise.policies.defence": {"statues": "harbour_moves:Statues"},
        "stallwise.policies.offence": {"statues": "harbour_moves:Statues"},
    }
    lines = [
        f"[{group}]\n" + "".join(f"{name} = {what}\n" for name, what in entries.items())
        for group, entries in groups.items()
    ]
    (folder / "entry_points.txt").write_text("\n".join(lines))
    monkeypatch.syspath_prepend(str(tmp_path))
    registry._offered.cache_clear()
    yield
    registry._offered.cache_clear()
    sys.modules.pop("harbour_moves", None)


def file_of_the_guide() -> str:
    """The shipped middle reset, with the plan of the guide."""
    text = shipped_text("middle-reset").replace('plan = "strike"', 'plan = "bounce"', 1)
    return f"{text}\n{blocks('toml')[1]}"


@pytest.mark.usefixtures("installed")
def test_a_policy_of_another_package_is_played_from_a_file_by_its_name():
    situation = loads(file_of_the_guide())
    assert situation.plans["bounce"].looks[0].built.threat == 1.0
    study = rehearse(situation, n=220, seed=3)
    assert (study.table["look"] == "bounce left").any()
    # worker processes find it as well, and it is the same as the object
    shared = rehearse(situation, n=220, seed=3, engine=Engine(processes=2))
    pd.testing.assert_frame_equal(study.table, shared.table, check_exact=True)
    given = rehearse(load("middle-reset"), n=220, seed=3, offence=line_up(situation).offence)
    pd.testing.assert_frame_equal(study.table, given.table, check_exact=True)


@pytest.mark.usefixtures("installed")
def test_the_command_line_plays_it_and_keeps_it(tmp_path, capsys):
    file = tmp_path / "mine.toml"
    file.write_text(file_of_the_guide())
    assert main(["try", str(file), "-n", "30", "--out", str(tmp_path / "kept")]) == 0
    assert "bounce" in capsys.readouterr().out
    assert main(["policies"]) == 0
    assert "Bounce: threaten deep" in capsys.readouterr().out
    file.write_text(file_of_the_guide().replace("threat = 1.0", "threat = 9.0"))
    assert main(["try", str(file), "-n", "30"]) == 2
    assert "threat" in capsys.readouterr().err


@pytest.mark.usefixtures("installed")
def test_a_plain_class_without_settings_may_be_offered():
    text = shipped_text("middle-reset")
    man, statues = '[defences.man]\npolicy = "man"', '[defences.man]\npolicy = "statues"'
    assert man in text
    still = loads(text.replace(man, statues))
    assert rehearse(still, n=10).table["throws"].sum() > 0
    offence = '\n[plans.nothing]\npolicy = "statues"\n'
    nothing = loads(text.replace('plan = "strike"', 'plan = "nothing"', 1) + offence)
    assert np.all(rehearse(nothing, n=4).table["outcome"] == "stalled")
    with pytest.raises(SituationError, match="an unknown key"):
        loads(text.replace(man, f"{statues}\nspeed = 3"))
    with pytest.raises(SituationError, match=r"plans.strike.looks: .*reads none"):
        loads(text.replace('policy = "looks"', 'policy = "statues"', 1))
