"""Situations, studies of them, charts and handouts, and the command line."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from experiments.loading import load, shipped
    from experiments.situation import Situation
    from experiments.study import Study, rehearse

__all__ = ["Situation", "Study", "load", "rehearse", "shipped"]

# Imported when first asked for: the game takes two seconds, which `stallwise --help` does without.
_WHERE = {
    "Situation": "situation",
    "Study": "study",
    "load": "loading",
    "rehearse": "study",
    "shipped": "loading",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_WHERE[name]}"), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
