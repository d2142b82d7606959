"""`begin` writes files that load, mirror and play; `draw` shows a start without rehearsing."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from experiments.charts.start import start
from experiments.charts.style import Style
from experiments.cli import main
from experiments.errors import SituationError
from experiments.situations.begin import SHAPES, begun, written
from experiments.situations.files import load, shipped
from experiments.situations.lineup import line_up
from sim.taping import start as start_tape


@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_makes_a_file_that_loads_again(shape: str, tmp_path: Path) -> None:
    made = begun(shape, "Our own", offence="club", defence="novice", count=6.0, left_handed=True)
    path = tmp_path / "own.toml"
    path.write_text(written(made, path, shape), "utf-8")
    again = load(str(path))
    assert again.title == "Our own" and again.stall == 6.0
    assert again.roster.offence.level == "club" and again.roster.defence.level == "novice"
    assert again.holder.hand == "left"
    assert {d.guards for d in again.defenders} <= {a.name for a in again.attackers} | {None, ""}


def test_the_other_force_flips_the_formation_and_the_names() -> None:
    """Who strikes comes from the break side under either force, and is called by the own side."""
    for force, side in (("forehand", -1.0), ("backhand", 1.0)):
        made = begun("three-across", "Either force", force=force)
        who = made.plans["strike"].looks[0].who
        assert next(p for p in made.attackers if p.name == who).at[0] * side > 0.0
        for player in made.attackers:
            if "left" in player.name:
                assert player.at[0] < 0.0, player.name


def test_the_bench_is_asked_for_by_the_force_that_needs_it() -> None:
    for home, side in (("right", -1.0), ("left", 1.0)):
        made = begun("three-across", "By the bench", force="home", home=home)
        who = made.plans["strike"].looks[0].who
        assert next(p for p in made.attackers if p.name == who).at[0] * side > 0.0
    with pytest.raises(SituationError, match="home: found nothing"):
        begun("three-across", "By the bench", force="home")


def test_everybody_moves_with_the_disc() -> None:
    here, there = (begun("three-across", "Moved", disc=at) for at in ((0.0, 30.0), (3.0, 41.0)))
    for one, other in zip(here.attackers, there.attackers, strict=True):
        assert np.subtract(other.at, one.at) == pytest.approx([3.0, 11.0])


def test_a_file_is_never_written_over_and_wrong_answers_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.toml"
    assert main(["begin", str(path), "--disc=-4,25"]) == 0
    before = path.read_bytes()
    capsys.readouterr()
    for asked, said in (
        (["begin", str(path)], "is there already"),
        (["begin", str(tmp_path / "a.toml"), "--shape", "row"], "three-across"),
        (["begin", str(tmp_path / "a.toml"), "--disc", "here"], "X,Y in metres"),
        (["begin", str(tmp_path / "a.toml"), "--disc", "90,0"], "x from"),
        (["begin", str(tmp_path / "a.txt")], ".toml"),
    ):
        assert main(asked) == 2
        assert said in capsys.readouterr().err
    assert path.read_bytes() == before and not (tmp_path / "a.toml").exists()


@pytest.mark.parametrize("name", shipped())
def test_a_start_is_drawn_with_everybody_on_the_places_of_the_file(name: str) -> None:
    situation = load(name)
    ready = line_up(situation)
    tape = start_tape(ready.scene, ready.offence, ready.defence)
    places = {p.name: p.at for p in situation.attackers}
    for k, who in enumerate(tape.names[: len(places)]):
        assert tape.positions[0, k] == pytest.approx(places[who])
    axes = start(situation, style=Style(size="clinic", upright=False))
    said = [text.get_text() for text in axes.texts]
    assert set(places) <= set(said)


def test_the_command_writes_the_picture(tmp_path: Path) -> None:
    out = tmp_path / "start.png"
    assert main(["draw", "middle-reset", "--out", str(out), "--set", "force=backhand"]) == 0
    assert out.read_bytes().startswith(b"\x89PNG")
