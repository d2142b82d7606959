"""One possession: a Mesa model of one play; `sim.rehearsing` is its compiled run over an ensemble."""

from __future__ import annotations

from typing import Any

import mesa
import numpy as np

from sim import play
from sim.agents import KINDS
from sim.ensemble import Arena, finished, set_up
from sim.flight.lookup import load_table
from sim.laws import Judgements
from sim.luck import luck_of
from sim.record import Record
from sim.scene import Scene


class Possession(mesa.Model):
    """One rehearsal of a scene, played agent by agent as ordinary Python.

    `sim.rehearsing.rehearse` plays thousands of them with the same rules, compiled.

    Parameters
    ----------
    scene : the start.
    offence, defence : the policy of each side.
    rehearsal : the number of the rehearsal; it addresses the luck.
    seed : whole number. Results depend on (scene, policies, rehearsal, seed) alone.
    """

    def __init__(
        self,
        scene: Scene,
        offence: Any,
        defence: Any,
        rehearsal: int = 0,
        seed: int = 0,
        *,
        judgements: Judgements | None = None,
    ) -> None:
        super().__init__(rng=0)  # Mesa wants a generator; every draw here comes from luck
        self.scene, self.rehearsal = scene, rehearsal
        self.arena = Arena(scene, offence, defence, judgements, luck_of(seed, rehearsal))
        self.game, self.view = self.arena.games[0], self.arena.views[0]
        other = self.arena.views[1]
        set_up(self.game, self.view, other)
        self.table = load_table()
        teams = [side.plain_team(self.table, other) for side in self.arena.sides]
        for slot, player in enumerate(scene.players):
            team = teams[int(slot >= len(scene.attackers))]
            KINDS[player.role](self, slot, self.arena.side_of[slot], team)

    @property
    def over(self) -> bool:
        """Whether the rehearsal has ended."""
        return bool(self.game.play.phase == play.OVER)

    def decide(self) -> None:
        """The first part of a tick: everybody sees and decides; a disc due is released."""
        play.see(self.game)
        if play.decides_now(self.game):
            self.agents.do("step")
        play.go_on(self.game, self.table)

    def step(self) -> None:
        """One tick: see, decide, release, run, fly, judge."""
        self.decide()
        if not self.over:
            play.advance(self.game)

    def run(self) -> Record:
        """Play the rehearsal to its end."""
        while not self.over:
            self.step()
        return self.record()

    def record(self) -> Record:
        """The record of a rehearsal that is over."""
        return finished(self.scene, self.game, self.rehearsal)


def rehearse_plain(
    scene: Scene,
    offence: Any,
    defence: Any,
    rehearsals: np.ndarray,
    seed: int,
    *,
    judgements: Judgements | None = None,
) -> Record:
    """The same, each as an ordinary Mesa model: slow, to the same bits."""
    records = [
        Possession(scene, offence, defence, int(r), seed, judgements=judgements).run()
        for r in rehearsals
    ]
    return Record(
        scene,
        np.concatenate([r.results for r in records]),
        np.concatenate([r.log for r in records]),
        np.concatenate([r.log_of for r in records]),
    )
