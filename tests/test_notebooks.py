"""The notebooks run from top to bottom, and are kept without stored output."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_the_two_notebooks_are_there():
    assert {path.name for path in NOTEBOOKS} >= {"what_if.ipynb", "clinic.ipynb"}


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_kept_without_output(path):
    for cell in nbformat.read(path, as_version=4).cells:
        assert not cell.get("outputs")
        assert cell.get("execution_count") is None


@pytest.mark.slow
@pytest.mark.filterwarnings("default")  # the kernel's own libraries warn as they please
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs_from_top_to_bottom(path, tmp_path):
    notebook = nbformat.read(path, as_version=4)
    for cell in notebook.cells:
        # Every cell runs as it stands, but with fewer rehearsals: the figures are tested elsewhere.
        cell.source = re.sub(r"\bn=(\d+)\b", lambda found: f"n={int(found[1]) // 5}", cell.source)
    client = NotebookClient(
        notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": tmp_path}}
    )
    client.execute()
    texts = [
        output.get("text", "")
        for cell in notebook.cells
        for output in cell.get("outputs", [])
        if output.output_type == "stream"
    ]
    # For example "99.1 % (98.3 to 99.6)".
    estimate = re.compile(r"\d %? ?\(\d[\d.]* to \d[\d.]*\)")
    assert any(estimate.search(text) for text in texts), "no estimate was printed"
    assert not any("wrong:" in text for text in texts), "check_policy found something wrong"
    for cell in notebook.cells:
        if cell.cell_type == "code" and cell.source.rstrip().endswith("figure"):
            shown = [output.get("data", {}) for output in cell.outputs]
            assert any("image/png" in data for data in shown), f"no picture from: {cell.source}"


def test_the_pictures_of_the_readme_are_there():
    shown = re.findall(r"!\[[^\]]{20,}\]\(([^)]+)\)", (ROOT / "README.md").read_text("utf-8"))
    assert len(shown) >= 2
    for path in shown:
        assert (ROOT / path).read_bytes().startswith(b"\x89PNG"), path


@pytest.mark.slow
def test_the_pictures_of_the_readme_can_be_made_anew(tmp_path):
    make = runpy.run_path(str(FOLDER / "make_pictures.py"))["make"]
    written = make(tmp_path, n=100)
    assert {path.name for path in written} == {
        path.name for path in (FOLDER / "pictures").iterdir()
    }
    week = (tmp_path / "week.md").read_text("utf-8")
    assert re.findall(r"^## (\w+)", week, re.MULTILINE) == ["Tuesday", "Thursday", "Saturday"]
    assert len(re.findall(r"^\*\*.+: of 100 such plays", week, re.MULTILINE)) == 3
