"""Situations, studies of them, charts and handouts, and the command line."""

from experiments.loading import load, shipped
from experiments.situation import Situation
from experiments.study import Study, rehearse

__all__ = ["Situation", "Study", "load", "rehearse", "shipped"]
