"""One real lesson, rehearsed once for all tests of this folder."""

from __future__ import annotations

import pytest

from experiments import Situation, Study, compare, load, rehearse
from experiments.running.engine import Engine
from experiments.studies.compare import Compared

QUIET = Engine(progress=False)


@pytest.fixture(scope="session")
def situation() -> Situation:
    return load("middle-reset")


@pytest.fixture(scope="session")
def study(situation: Situation) -> Study:
    return rehearse(situation, n=300, engine=QUIET)


@pytest.fixture(scope="session")
def compared(situation: Situation) -> Compared:
    return compare(situation, ["strike", "dump", "swing"], n=300, engine=QUIET)
