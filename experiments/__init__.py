"""What a coach's script needs: situations, studies of them, charts and handouts."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from experiments.charts.drawing import draw
    from experiments.handouts.handout import Sheet
    from experiments.handouts.handout import write_handout as handout
    from experiments.handouts.replay import write_replay as replay
    from experiments.notebook.panel import Panel as panel
    from experiments.running.engine import engine
    from experiments.running.joined import joined
    from experiments.situations.files import load, shipped
    from experiments.situations.situation import Situation
    from experiments.studies.compare import compare
    from experiments.studies.completion import passes
    from experiments.studies.map import map_field as map
    from experiments.studies.matchup import match_up as matchup
    from experiments.studies.rehearse import Study, rehearse
    from experiments.studies.sturdiness.analysis import sturdiness
    from experiments.studies.tuning.search import tune
    from experiments.studies.vary import vary
    from experiments.studies.whatif import what_if

# Imported when first asked for: the game takes two seconds, which `stallwise --help` does without.
_WHERE = {
    "Sheet": "handouts.handout:Sheet",
    "Situation": "situations.situation:Situation",
    "Study": "studies.rehearse:Study",
    "compare": "studies.compare:compare",
    "draw": "charts.drawing:draw",
    "engine": "running.engine:engine",
    "handout": "handouts.handout:write_handout",
    "joined": "running.joined:joined",
    "load": "situations.files:load",
    "map": "studies.map:map_field",
    "matchup": "studies.matchup:match_up",
    "panel": "notebook.panel:Panel",
    "passes": "studies.completion:passes",
    "rehearse": "studies.rehearse:rehearse",
    "replay": "handouts.replay:write_replay",
    "shipped": "situations.files:shipped",
    "sturdiness": "studies.sturdiness.analysis:sturdiness",
    "tune": "studies.tuning.search:tune",
    "vary": "studies.vary:vary",
    "what_if": "studies.whatif:what_if",
}

__all__ = [*_WHERE]


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module, _, inside = _WHERE[name].partition(":")
    return getattr(importlib.import_module(f"{__name__}.{module}"), inside)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
