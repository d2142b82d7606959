"""The players: Mesa agents, each one slot of the line-up."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import mesa

from sim import play
from sim.rulebook import Side, Team, plain_rule

if TYPE_CHECKING:
    from sim.possession import Possession


class Player(mesa.Agent):
    """One player. `step` looks, asks the rule, and says what the player wants to do."""

    model: Possession

    def __init__(self, model: Possession, slot: int, side: Side, team: Team) -> None:
        super().__init__(model)
        self.slot, self.policy = slot, side.policy
        self._rule, self._row = plain_rule(type(side.policy), as_part=False), side.plan.row
        self._team = team

    def step(self) -> None:
        """Decide, if there is anything to decide."""
        game = self.model.game
        if not play.busy(game, self.slot):
            view = self.model.view
            play.look(game, view, self.slot)
            intent = self._rule(view, self._row, self._team)
            play.take(game, view, self.slot, intent)

    @property
    def now(self) -> Any:
        """This player's record: `now.x`, `now.vy`, `now.watch` and so on (`sim.state.PLAYER`)."""
        return self.model.game.players[self.slot]


class Attacker(Player):
    """A player of the offence."""

    def has_disc(self) -> bool:
        """Whether this player holds the disc."""
        p = self.model.game.play
        return bool(p.holder == self.slot and p.phase != play.FLYING)


class Handler(Attacker):
    """An attacker who starts near the disc and resets it."""


class Cutter(Attacker):
    """An attacker who starts downfield."""


class Defender(Player):
    """A defender."""

    def marks(self) -> bool:
        """Whether this player marks the one with the disc."""
        return bool(self.model.game.play.mark == self.slot)


KINDS: dict[str, type[Player]] = {"handler": Handler, "cutter": Cutter, "defender": Defender}
