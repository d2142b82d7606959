"""Man defence: everybody covers one attacker, and the one whose attacker has the disc marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from policies.covers import STANCES, Cover, keep_at, place
from policies.covers import lean as stance_of
from policies.help import Help, helped_place, helps
from policies.marks import Mark, start_of_mark
from policies.switching import after_switch
from sim.intent import Intent
from sim.rulebook import Team, ask
from sim.settings import row_of, setting, settings_type

MARK, HANDLERS, CUTTERS = 0, 1, 2


@dataclass(frozen=True)
class Man:
    """Man: one cover for handlers, one for cutters, a mark, and help if wanted."""

    mark: Mark = field(default_factory=Mark)
    handlers: Cover = field(default_factory=Cover)
    cutters: Cover = field(default_factory=lambda: Cover(cushion=1.0))
    help: Help = field(default_factory=Help)
    switches: bool = setting(False, doc="swap attackers who cross instead of chasing through")

    def parts(self, names: Sequence[str]) -> list[Any]:
        """The mark and the two covers."""
        return [self.mark, self.handlers, self.cutters]

    def sheet(self, names: Sequence[str]) -> list[list[float]]:
        """The settings of the help, in the first row."""
        return [row_of(self.help)]

    def starts(
        self,
        attackers: Sequence[tuple[float, float]],
        handlers: Sequence[bool],
        guards: Sequence[int],
        holder: int,
        open_side: int,
    ) -> list[tuple[float, float]]:
        """Where the defenders stand when play starts, m.

        Parameters
        ----------
        attackers : places. handlers : who of them is a handler.
        guards : slot each defender covers, -1 for nobody (they start by the disc).
        holder, open_side : the slot with the disc, and the side the force leaves open.
        """
        places = []
        disc_x, disc_y = attackers[holder]
        for guarded in guards:
            man = guarded if guarded >= 0 else holder
            x, y = attackers[man]
            if man == holder:
                off = start_of_mark(self.mark.force, self.mark.angle, self.mark.distance, open_side)
                places.append((disc_x + off[0], disc_y + off[1]))
                continue
            it = self.handlers if handlers[man] else self.cutters
            way = stance_of(STANCES.index(it.stance), x, y, disc_x, disc_y, open_side, 0.0)
            places.append((x + it.cushion * way[0], y + it.cushion * way[1]))
        return places

    @staticmethod
    def decide(me: Any, s: Any, team: Team) -> Intent:
        """Mark the holder, or cover, or help."""
        if me.marking:
            return ask(team, MARK, me)
        man = me.man if me.man >= 0 else me.holder
        if s.switches == 1.0 and not me.flying:
            man = after_switch(me, man)
        part = HANDLERS if me.body[man].handler == 1 else CUTTERS
        if man == me.holder and not me.flying:
            return ask(team, MARK, me)
        h = as_help(team.sheet[0])
        me.man = man
        if not helps(me, h, man):
            return ask(team, part, me)
        c = as_cover(team.rows[part])
        x, y, _, _ = place(me, c, man)
        x, y = helped_place(me, h, x, y)
        return keep_at(me, c, man, x, y, 0.0, 0.0)


def as_cover(row: Any) -> Any:
    """The settings of a cover in a row of numbers."""
    return CoverRow(row[0], row[1], row[2], row[3], row[4], row[5])


def as_help(row: Any) -> Any:
    """The settings of the help in a row of numbers."""
    return HelpRow(row[0], row[1], row[2], row[3], row[4])


CoverRow, HelpRow = settings_type(Cover), settings_type(Help)
