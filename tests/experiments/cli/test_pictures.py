"""The pictures that commands write: for a page or for the room, upright or on their side."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from experiments.charts.style import SIZES
from experiments.cli import main
from experiments.cli.draw import CHARTS
from tests.experiments.cli.test_studies_command import COMMANDS

DOTS = 150  # an inch
FEW = ("-n", "8", "--jobs", "1")
STUDIES = {"try": (), **{name: asked for name, (asked, _) in COMMANDS.items()}}
FIELDS = ("play", "where", "first", "start")


def size_of(picture: Path) -> tuple[int, int]:
    """Width and height, dots."""
    with Image.open(picture) as opened:
        return opened.size


def sizes_of(folder: Path) -> dict[str, tuple[int, int]]:
    """Of every picture in a folder."""
    return {p.name: size_of(p) for p in folder.rglob("*") if p.suffix in (".png", ".gif")}


def room() -> tuple[int, int]:
    return round(DOTS * SIZES["clinic"].width), round(DOTS * SIZES["clinic"].height)


@pytest.mark.slow
@pytest.mark.parametrize("name", STUDIES)
def test_a_study_keeps_pictures_of_the_size_asked_for(name: str, tmp_path: Path) -> None:
    told = [name, "middle-reset", *STUDIES[name], *FEW]
    assert main([*told, "--out", str(tmp_path / "page")]) == 0
    assert main([*told, "--size", "clinic", "--out", str(tmp_path / "room")]) == 0
    page, shown = sizes_of(tmp_path / "page"), sizes_of(tmp_path / "room")
    assert page and page.keys() == shown.keys()
    for picture, size in shown.items():
        assert size == pytest.approx(room(), abs=1), picture
        assert page[picture][0] == pytest.approx(DOTS * SIZES["page"].width, abs=1), picture


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
