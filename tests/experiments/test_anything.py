"""Whatever files, options and folders hold: an answer or a refusal in words, never anything else."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.experiments import mangling
from tests.experiments.mangling import REFUSED, TAKEN, outcome

# Bounded by numbers of examples; longer campaigns: `python -m tests.campaign`.
bounded: Any = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
luck = st.integers(0, 2**63).map(Random)


def expect_words(use: Any) -> None:
    found, error = outcome(use)
    if error is not None:
        raise error
    assert found in (REFUSED, TAKEN)


@bounded
@given(luck)
def test_a_file_is_taken_or_refused_in_words(tmp_path: Path, random: Random) -> None:
    text = mangling.mangled_text(random)
    expect_words(lambda: mangling.use_text(text, tmp_path))


@bounded
@given(st.text(max_size=200))
def test_any_text_at_all_is_taken_or_refused_in_words(tmp_path: Path, text: str) -> None:
    expect_words(lambda: mangling.use_text(text, tmp_path))


@pytest.mark.slow
@bounded
@given(luck)
def test_options_are_taken_or_refused_in_words(tmp_path: Path, random: Random) -> None:
    line = mangling.mangled_line(random, tmp_path)
    expect_words(lambda: mangling.use_line(line))


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return mangling.whole_study(tmp_path_factory.mktemp("studies") / "whole")


@pytest.mark.slow
@bounded
@given(luck)
def test_a_folder_is_gone_on_with_to_the_bit_or_refused_in_words(
    tmp_path: Path, whole: Path, random: Random
) -> None:
    folder = mangling.mangled_folder(random, whole, tmp_path / "spoilt")
    expect_words(lambda: mangling.use_folder(folder))


def test_a_crash_is_seen_as_one() -> None:
    """So the tests above can fail."""

    def crash() -> str:
        raise KeyError("of the program's own")

    assert outcome(crash)[0] == mangling.CRASHED
