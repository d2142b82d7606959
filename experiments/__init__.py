"""Situations, studies of them, charts and handouts, and the command line."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from experiments.situations.files import load, shipped
    from experiments.situations.situation import Situation
    from experiments.studies.rehearse import Study, rehearse

__all__ = ["Situation", "Study", "load", "rehearse", "shipped"]

# Imported when first asked for: the game takes two seconds, which `stallwise --help` does without.
_WHERE = {
    "Situation": "situations.situation",
    "Study": "studies.rehearse",
    "load": "situations.files",
    "rehearse": "studies.rehearse",
    "shipped": "situations.files",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_WHERE[name]}"), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
