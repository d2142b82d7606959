"""The pictures that commands write: for a page or for the room, upright or on their side."""

from __future__ import annotations

from pathlib import Path

import pytest

from experiments.cli import main
from experiments.cli.draw import CHARTS
from tests.experiments.looking import room, size_of, sizes_of

FIELDS = ("play", "where", "first", "start")


@pytest.mark.parametrize("chart", CHARTS)
def test_a_drawn_chart_has_the_size_asked_for(chart: str, tmp_path: Path) -> None:
    out = tmp_path / "room.png"
    told = ["draw", "middle-reset", "--chart", chart, "-n", "4", "--size", "clinic"]
    assert main([*told, "--out", str(out)]) == 0
    assert size_of(out) == pytest.approx(room(), abs=1)


@pytest.mark.parametrize("chart", FIELDS)
def test_a_field_on_its_side_has_another_shape(chart: str, tmp_path: Path) -> None:
    told = ["draw", "middle-reset", "--chart", chart, "-n", "8", "--out"]
    assert main([*told, str(tmp_path / "up.png")]) == 0
    assert main([*told, str(tmp_path / "side.png"), "--sideways"]) == 0
    up, side = (size_of(tmp_path / f"{name}.png") for name in ("up", "side"))
    assert up[0] == side[0] and up[1] != side[1]


@pytest.mark.slow
def test_a_map_and_a_replay_turn_too(tmp_path: Path) -> None:
    """Fields of a map stand beside each other, and lie above each other."""
    place = ("--x=-6", "--y", "20,40", "-n", "8")
    for name, told in (("map", place), ("replay", ("-n", "8"))):
        shapes = []
        for turned in ((), ("--sideways",), ("--size", "clinic")):
            out = tmp_path / f"{name}{len(turned)}"
            assert main([name, "middle-reset", *told, "--out", str(out), *turned]) == 0
            shapes += sizes_of(out).values()
        assert len(set(shapes)) == 3, name
