"""Handler cuts, by the names used in situation files."""

from policies.cuts.base import Cut
from policies.cuts.downfield import Deep, Under, UnderOrDeep
from policies.cuts.resets import Around, Dump, GiveAndGo, Pop, Stand, Swing, UpLine
from policies.cuts.strike import Strike
from policies.cuts.two_way import TwoWay

CUTS: dict[str, type[Cut]] = {
    "strike": Strike,
    "dump": Dump,
    "swing": Swing,
    "up-line": UpLine,
    "around": Around,
    "give-and-go": GiveAndGo,
    "two-way": TwoWay,
    "stand": Stand,
    "pop": Pop,
    "under": Under,
    "deep": Deep,
    "under-or-deep": UnderOrDeep,
}

__all__ = [
    "CUTS",
    "Around",
    "Cut",
    "Deep",
    "Dump",
    "GiveAndGo",
    "Pop",
    "Stand",
    "Strike",
    "Swing",
    "TwoWay",
    "Under",
    "UnderOrDeep",
    "UpLine",
]
