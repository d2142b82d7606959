"""Situation files: what is read is what was meant, and every mistake is named."""

from __future__ import annotations

import pickle
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from experiments.cli import options as option_texts
from experiments.errors import SituationError
from experiments.running.batch import rehearse_rows
from experiments.situations.files import load, loads, shipped, shipped_text
from experiments.situations.situation import Situation
from sim.ability import LEVELS

TEXT = """
title = "Two and a mark"
field = "wfdf"
stall = 4
force = "forehand"
plan = "strike"
defence = "man"

[wind]
speed = 3.0
toward = 90.0

[roster]
offence = { level = "club", top_speed = 8.4 }

[[attackers]]
name = "middle"
role = "handler"
at = [0, 30]
disc = true

[[attackers]]
name = "left"
role = "handler"
at = [-10.0, 30.0]
hand = "left"
ability = { reaction = 0.3 }

[[defenders]]
name = "mark"
guards = "middle"

[[defenders]]
name = "on left"
guards = "left"
at = [-9.0, 31.0]

[plans.strike]
[[plans.strike.looks]]
who = "left"
cut = "strike"
from = 4.0
to = 9.5
depth = 10

[defences.man]
cutters = { cushion = 2.0 }
"""


def only_problem(error: SituationError, file: str = "mine.toml") -> tuple[str, str, str]:
    """The key, found and allowed of an error with one problem that names its file."""
    assert error.file == file
    assert str(error).startswith(f"{file}: ")
    (problem,) = error.problems
    return problem.key, problem.found, problem.allowed


def mistake(old: str, new: str, times: int = 1) -> tuple[str, str, str]:
    """What is said of TEXT with `old` replaced by `new`."""
    assert old in TEXT
    with pytest.raises(SituationError) as caught:
        loads(TEXT.replace(old, new, times), "mine.toml")
    return only_problem(caught.value)


def test_what_is_read_is_what_was_written() -> None:
    situation = loads(TEXT, "mine.toml")
    assert situation.name == "mine"
    assert situation.holder.name == "middle"
    assert situation.holder.at == (0.0, 30.0)
    assert situation.playing_field.width == 37.0
    assert situation.plans["strike"].looks[0].given == {"depth": 10.0}
    assert situation.plans["strike"].looks[0].built.depth == 10.0
    assert situation.defences["man"].built.cutters.cushion == 2.0


def test_abilities_come_from_player_over_team_over_level() -> None:
    situation = loads(TEXT)
    middle, left = situation.attackers
    assert situation.ability_of(middle).top_speed == 8.4
    assert situation.ability_of(middle).reaction == LEVELS["club"].reaction
    assert situation.ability_of(left).top_speed == 8.4
    assert situation.ability_of(left).reaction == 0.3
    assert situation.ability_of(situation.defenders[0]) == LEVELS["elite"]
    novice = loads(TEXT.replace("ability = { reaction = 0.3 }", 'ability = "novice"'))
    assert novice.ability_of(novice.attackers[1]) == LEVELS["novice"]


@pytest.mark.parametrize("name", shipped())
def test_every_shipped_situation_survives_toml_and_two_mirrors(name: str) -> None:
    situation = load(name)
    assert Situation.from_dict(tomllib.loads(situation.to_toml())) == situation
    assert Situation.from_dict(situation.to_dict()).digest() == situation.digest()
    assert situation.mirrored() != situation
    assert situation.mirrored().mirrored() == situation


def test_the_three_places_of_the_disc_are_shipped() -> None:
    holders = {
        name: load(name).holder.at
        for name in ("middle-reset", "open-side-handler", "break-side-handler")
    }
    assert holders["middle-reset"][0] == 0.0
    assert holders["open-side-handler"][0] > 0.0 > holders["break-side-handler"][0]
    for name in holders:
        situation = load(name)
        assert situation.force == "forehand"
        assert len(situation.plans) >= 3
        assert len(situation.attackers) == len(situation.defenders) == 7
        handlers = [player for player in situation.attackers if player.role == "handler"]
        assert sorted(player.at for player in handlers) == [
            (-10.0, 30.0),
            (0.0, 30.0),
            (10.0, 30.0),
        ]


def test_a_shipped_file_can_be_copied_and_loaded_by_path(tmp_path: Path) -> None:
    copy = tmp_path / "copy.toml"
    copy.write_text(shipped_text("middle-reset"), encoding="utf-8")
    assert load(copy).digest() == load(str(copy)).digest() == load("middle-reset").digest()


def test_the_mirror_flips_places_hands_and_wind_and_nothing_else() -> None:
    situation = loads(TEXT)
    mirror = situation.mirrored()
    assert [player.at for player in mirror.attackers] == [(0.0, 30.0), (10.0, 30.0)]
    assert [player.hand for player in mirror.attackers] == ["left", "right"]
    assert mirror.defenders[0].at is None
    assert mirror.defenders[1].at == (9.0, 31.0)
    assert mirror.wind.toward == -90.0
    assert mirror.force == situation.force
    assert mirror.plans == situation.plans
    assert str(mirror.attackers[0].at[0]) == "0.0", "no -0.0, which would change the digest"


def test_force_home_is_toward_the_bench_whatever_the_hand() -> None:
    """Home at the right is the forehand of a right-hander and the backhand of a left-hander."""
    ids = np.arange(20)
    for hand, home, force in (("right", "right", "forehand"), ("left", "right", "backhand"),
                              ("right", "left", "backhand"), ("left", "left", "forehand")):  # fmt: skip
        data = load("middle-reset").to_dict()
        for player in data["attackers"]:
            player["hand"] = hand
        by_hand = Situation.from_dict({**data, "force": force})
        by_bench = Situation.from_dict({**data, "force": "home", "home": home})
        other = {"right": "left", "left": "right"}[home]
        away = Situation.from_dict({**data, "force": "away", "home": other})
        rows = rehearse_rows(by_hand, ids, 3)
        for same in (by_bench, away):
            pd.testing.assert_frame_equal(rehearse_rows(same, ids, 3), rows)
        mirrored = rehearse_rows(by_bench.mirrored(), ids, 3)
        np.testing.assert_array_equal(mirrored["end_x_m"], 0.0 - rows["end_x_m"])


def test_force_home_asks_where_the_bench_is() -> None:
    with pytest.raises(SituationError) as caught:
        loads(TEXT.replace('force = "forehand"', 'force = "home"'), "mine.toml")
    key, found, allowed = only_problem(caught.value)
    assert (key, found) == ("home", "nothing, with force = 'home'")
    assert "right or left" in allowed


def test_the_digest_follows_what_is_played_and_not_the_words() -> None:
    situation = loads(TEXT)
    assert loads(TEXT.replace("Two and a mark", "Other words")).digest() == situation.digest()
    said = TEXT.replace("depth = 10", "depth = 10\nfalse_steps = 0")
    assert loads(said).digest() == situation.digest(), "a default that is spelt out"
    assert situation.with_setting("asks", "goal").digest() == situation.digest(), (
        "no rehearsal differs"
    )
    assert loads(TEXT.replace("stall = 4", "stall = 4.5")).digest() != situation.digest()
    assert pickle.loads(pickle.dumps(situation)).digest() == situation.digest()


def test_settings_are_listed_as_played_and_can_all_be_set_to_what_they_are() -> None:
    situation = loads(TEXT)
    listed = situation.settings()
    assert listed["plans.strike.looks.0.depth"] == 10.0
    assert listed["plans.strike.looks.0.from"] == 4.0
    assert listed["roster.offence.top_speed"] == 8.4
    assert listed["attackers.left.ability.reaction"] == 0.3
    assert listed["attackers.left.at.0"] == -10.0
    assert listed["defences.man.cutters.cushion"] == 2.0
    assert listed["field.width"] == 37.0
    for path, value in listed.items():
        again = situation.with_setting(path, value)
        assert again.settings() == listed, path


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("plans.strike.looks.0.depth", 12.0),
        ("plans.strike.looks.0.false_steps", 2),
        ("roster.defence.top_speed", 8.1),
        ("attackers.left.at.0", -8.0),
        ("attackers.middle.ability.arm", 0.7),
        ("field.width", 30.0),
        ("wind.speed", 5.0),
        ("defences.man.handlers.cushion", 3.0),
        ("force", "backhand"),
        ("until", "possession"),
    ],
)
def test_one_setting_is_changed_and_the_rest_is_not(path: str, value: object) -> None:
    situation = loads(TEXT)
    changed = situation.with_setting(path, value)
    assert changed.setting(path).value == value
    before, after = situation.settings(), changed.settings()
    differing = {key for key in before if before[key] != after[key]}
    if path.startswith("roster"):
        # A level change is felt by each player of the team.
        differing = {key for key in differing if not key.startswith("defenders.")}
    assert differing <= {path}
    assert changed.digest() != situation.digest()


def test_settings_changed_at_once_are_checked_at_the_end_in_any_order() -> None:
    """Both ends of a look lie after the old ones, so one alone would be refused."""
    situation = load("middle-reset")
    look = f"plans.{situation.plan}.looks.0"
    new = situation.setting(f"{look}.to").value + 0.5
    values = {f"{look}.from": new, f"{look}.to": new + 1.0}
    with pytest.raises(SituationError, match="not before to"):
        situation.with_setting(*next(iter(values.items())))
    made = [
        situation.with_settings(dict(order))
        for order in (values.items(), reversed(list(values.items())))
    ]
    assert made[0] == made[1]
    assert {path: made[0].setting(path).value for path in values} == values
    for order in (list(values), list(values)[::-1]):
        texts = [f"{path}={values[path]}" for path in order]
        assert option_texts.with_settings(situation, texts) == made[0]
    with pytest.raises(SituationError, match="twice"):
        situation.with_settings(
            {"attackers.0.at.0": 1.0, f"attackers.{situation.attackers[0].name}.at.0": 2.0}
        )


def test_people_may_be_numbered_and_whole_floats_serve_as_counts() -> None:
    situation = loads(TEXT)
    assert situation.with_setting("attackers.1.at.0", -8.0).attackers[1].at == (-8.0, 30.0)
    steps = situation.with_setting("plans.strike.looks.0.false_steps", 2.0)
    assert type(steps.plans["strike"].looks[0].built.false_steps) is int
    assert type(situation.with_setting("resets", 2.0).resets) is int


def test_a_setting_knows_its_range_unit_and_source() -> None:
    found = loads(TEXT).setting("roster.offence.top_speed")
    assert (found.low, found.high, found.unit) == (4.0, 10.5, "m/s")
    assert found.source


def test_an_unknown_path_lists_the_near_ones() -> None:
    situation = loads(TEXT)
    with pytest.raises(SituationError) as caught:
        situation.with_setting("plans.strike.looks.0.depht", 3)
    assert "plans.strike.looks.0.depth" in str(caught.value)
    with pytest.raises(SituationError, match="top_speed"):
        situation.setting("top_speed")


def test_a_value_out_of_range_is_refused_by_path() -> None:
    with pytest.raises(SituationError) as caught:
        loads(TEXT).with_setting("plans.strike.looks.0.depth", 400)
    (problem,) = caught.value.problems
    assert (problem.key, problem.found) == ("plans.strike.looks.0.depth", "400")
    assert "1 to 40 m" in problem.allowed


@pytest.mark.parametrize(
    ("old", "new", "key", "found", "allowed"),
    [
        ("stall = 4", "stal = 4", "stal", "did you mean 'stall'", "stall"),
        ("stall = 4", "stall = '4'", "stall", "'4'", "a number"),
        ("stall = 4", "stall = true", "stall", "True", "a number"),
        ("stall = 4", "stall = nan", "stall", "nan", "a number"),
        ("stall = 4", "stall = 44", "stall", "44", "0 to 20"),
        ("stall = 4", "stall = 10", "stall", "10", "less than 10"),
        ("stall = 4", "resets = 1.5", "resets", "1.5", "a whole number from 1 to 20"),
        ("depth = 10", "pass = -1", "plans.strike.looks.0.pass", "-1", "a whole number from 0"),
        ("stall = 4", "until = 'ever'", "until", "'ever'", "throw, reset, possession"),
        ('"forehand"', '"forhand"', "force", "'forhand'", "did you mean 'forehand'"),
        ('"wfdf"', '"wfd"', "field.standard", "'wfd'", "did you mean 'wfdf'"),
        ('"wfdf"', "{ widht = 30 }", "field.widht", "did you mean 'width'", "width"),
        ('"wfdf"', "{ width = 3 }", "field.width", "3", "8 to 100 m"),
        ('"wfdf"', "{ players = 1.5 }", "field.players", "1.5", "a whole number from 1"),
        ("speed = 3.0", "sped = 3.0", "wind.sped", "did you mean 'speed'", "speed"),
        ("speed = 3.0", "speed = -1", "wind.speed", "-1", "0 to 10 m/s"),
        ('"club"', '"clb"', "roster.offence.level", "'clb'", "did you mean 'club'"),
        ("top_speed", "top_sped", "roster.offence.top_sped", "'top_speed'", "top_speed"),
        ("reaction = 0.3", "reaction = 9", "attackers.1.ability.reaction", "9", "0.15 to 0.6 s"),
        ("at = [0, 30]", "at = [0, 30, 1]", "attackers.0.at", "[0, 30, 1]", "two numbers"),
        ("at = [0, 30]", "at = ['a', 30]", "attackers.0.at", "['a', 30]", "two numbers"),
        ("at = [0, 30]", "at = [18.5, 30]", "attackers.0.at", "'middle' off the", "-18.5 and 18.5"),
        ("at = [-9.0, 31.0]", "at = [-25, 31]", "defenders.1.at", "'on left' off", "-21.5"),
        ("at = [-9.0, 31.0]", "at = [0.5, 31]\ngus = 1", "defenders.1.gus", "unknown", "guards"),
        ("disc = true", "", "attackers", "nobody with the disc", "exactly one"),
        ('role = "handler"', 'role = "hander"', "attackers.0.role", "'hander'", "handler"),
        ('name = "left"', 'name = "a.b"', "attackers.1.name", "'a.b'", "letters, digits"),
        ('"mark"', '"left"', "defenders.0.name", "attackers.1.name has too", "nobody else"),
        ('guards = "left"', 'guards = "lft"', "defenders.1.guards", "'lft'", "did you mean 'left'"),
        ('guards = "left"', 'guards = "middle"', "defenders", "2 defenders on the", "one mark"),
        ('plan = "strike"', 'plan = "strik"', "plan", "'strik'", "did you mean 'strike'"),
        ('defence = "man"', 'defence = "zone"', "defence", "'zone'", "man"),
        ('plan = "strike"', "", "plan", "nothing", "needed"),
        ('who = "left"', 'who = "lft"', "plans.strike.looks.0.who", "'lft'", "open-handler"),
        ('who = "left"', 'who = "middle"', "plans.strike.looks.0.who", "has the disc", "else"),
        ('cut = "strike"', 'cut = "strik"', "plans.strike.looks.0.cut", "'strik'", "'strike'"),
        ('cut = "strike"', "", "plans.strike.looks.0.cut", "nothing", "needed"),
        ("from = 4.0", "from = 9.5", "plans.strike.looks.0.from", "not before to", "less than"),
        ("depth = 10", "depht = 10", "plans.strike.looks.0.depht", "'depth'", "depth"),
        ("depth = 10", "false_steps = 1.5", "plans.strike.looks.0.false_steps", "1.5", "whole"),
        ("depth = 10", "shape = 'flt'", "plans.strike.looks.0.shape", "'flt'", "flat"),
        ("[plans.strike]", "[plans.strike]\npolicy = 'x'", "plans.strike.policy", "'x'", "looks"),
        ("cushion", "cushon", "defences.man.cutters.cushon", "did you mean 'cushion'", "cushion"),
        ("cutters", "cuters", "defences.man.cuters", "did you mean 'cutters'", "cutters"),
        ("{ cushion = 2.0 }", "2", "defences.man.cutters", "2", "a table"),
        ("{ cushion", "{ policy = 'x', cushion", "defences.man.cutters.policy", "'x'", "cover"),
        ("[defences.man]", "[defences.man]\nmark.force = 'backhand'", "defences.man.mark.force",
         "'backhand'", "force at the top"),
        ("[[plans.strike.looks]]", "[plans.strike.looks]", "plans.strike.looks", "a table", "list"),
        ("[plans.strike]", "[judgement.eyes]\nhear = 3\n[plans.strike]", "judgement.eyes.hear",
         "3", "0 to 1 s"),
        ("[plans.strike]", "[judgement.eyes]\nheer = 0.3\n[plans.strike]", "judgement.eyes.heer",
         "did you mean 'hear'", "hear"),
        ("[plans.strike]", "[judgement.ears]\n[plans.strike]", "judgement.ears",
         "did you mean", "eyes, legs, mark, release, hands"),
        ("[plans.strike]", "[plans.strike]\nreading.spred = 0.3", "plans.strike.reading.spred",
         "did you mean 'spread'", "spread"),
        ("[plans.strike]", "[plans.strike]\nreading.policy = 'x'", "plans.strike.reading.policy",
         "unknown", "spread"),
        ("[defences.man]", "[defences.man]\nmark.flip_for = 'lft'", "defences.man.mark.flip_for",
         "'lft'", "did you mean 'left'"),
    ],
)  # fmt: skip
def test_a_mistake_is_named(old: str, new: str, key: str, found: str, allowed: str) -> None:
    told_key, told_found, told_allowed = mistake(old, new)
    assert told_key == key
    assert found in told_found
    assert allowed in told_allowed


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("judgement.eyes.hear", 0.4),
        ("judgement.legs.backward", 0.7),
        ("judgement.mark.hand", 0.2),
        ("judgement.release.gust", 0.1),
        ("judgement.hands.touch", 0.5),
        ("plans.strike.reading.spread", 0.4),
        ("defences.man.mark.flip_for", "left"),
    ],
)
def test_judgements_and_readings_are_settings_that_a_file_keeps(path: str, value: Any) -> None:
    plain = loads(TEXT)
    changed = plain.with_setting(path, value)
    assert changed.setting(path).value == value
    assert changed.digest() != plain.digest()
    assert loads(changed.to_toml()).digest() == changed.digest()
    assert changed.with_setting(path, plain.setting(path).value).digest() == plain.digest()


def test_a_file_without_judgements_stays_without() -> None:
    assert "judgement" not in loads(TEXT).to_dict()


def test_judgements_and_readings_reach_the_play() -> None:
    """A slow pivot moves the throw, known to the thrower or not; who thinks little of a pass waits."""
    ids = np.arange(60)
    plain = load("middle-reset")
    usual = rehearse_rows(plain, ids, 7)
    slow = rehearse_rows(plain.with_setting("judgement.release.pivot_speed", 1.0), ids, 7)
    assert (slow["release_s"] != usual["release_s"]).mean() > 0.05
    doubting = plain.with_setting("plans.strike.reading.shift", -3.0)
    late = rehearse_rows(doubting, ids, 7)["release_s"].mean()
    assert late > usual["release_s"].mean()


def test_more_players_than_the_field_has_room_for() -> None:
    with pytest.raises(SituationError) as caught:
        loads(TEXT.replace('"wfdf"', "{ players = 1 }"), "mine.toml")
    assert [problem.key for problem in caught.value.problems] == ["attackers", "defenders"]
    assert all("at most 1 a side" in problem.allowed for problem in caught.value.problems)


def test_two_with_the_disc_are_both_named() -> None:
    with pytest.raises(SituationError) as caught:
        loads(TEXT.replace('hand = "left"', "disc = true"), "mine.toml")
    first = caught.value.problems[0]
    assert first.found == "middle, left with the disc"


def test_a_second_defender_near_the_thrower_who_guards_nobody_is_refused() -> None:
    """A double team is illegal within 3 m of the thrower (WFDF 2021-24, rule 18.1.1.5)."""
    free = 'at = [0.0, 32.9]\n\n[[defenders]]\nname = "far"\nat = [3.1, 30.0]'
    with pytest.raises(SituationError, match=r"2 defenders on the thrower \(mark, on left\)"):
        loads(TEXT.replace('guards = "left"\nat = [-9.0, 31.0]', free))
    loads(TEXT.replace('guards = "left"\nat = [-9.0, 31.0]', free.replace("32.9", "33.1")))


def test_all_mistakes_are_told_at_once() -> None:
    text = TEXT.replace("stall = 4", "stal = 4").replace("depth = 10", "depth = 99\nangel = 3")
    with pytest.raises(SituationError) as caught:
        loads(text, "mine.toml")
    assert {problem.key for problem in caught.value.problems} == {
        "stal",
        "plans.strike.looks.0.depth",
        "plans.strike.looks.0.angel",
    }
    assert len(str(caught.value).splitlines()) == 3


def test_broken_toml_is_told_with_its_line() -> None:
    with pytest.raises(SituationError, match=r"mine.toml: .*line 3") as caught:
        loads('title = "x"\nstall = 4\nforce = \n', "mine.toml")
    assert "TOML" in caught.value.problems[0].allowed


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(SituationError, match=r"did you mean 'middle-reset'"):
        load("midle-reset")
    with pytest.raises(SituationError, match="no such file"):
        load(tmp_path / "none.toml")
    with pytest.raises(SituationError, match="is a directory"):
        load(tmp_path)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"title = '\xff\xfe'")
    with pytest.raises(SituationError, match="UTF-8"):
        load(binary)


def test_an_error_survives_the_way_back_from_a_worker() -> None:
    with pytest.raises(SituationError) as caught:
        load("midle-reset")
    again = pickle.loads(pickle.dumps(caught.value))
    assert str(again) == str(caught.value)


def test_a_situation_cannot_be_changed_in_place() -> None:
    situation = loads(TEXT)
    with pytest.raises(ValueError, match="frozen"):
        situation.stall = 5.0  # type: ignore[misc]
