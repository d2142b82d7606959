"""Warnings that are printed before figures that are easily misread."""

from __future__ import annotations

from experiments.situations.situation import Situation
from experiments.statistics.look_shares import look_shares
from experiments.statistics.tables import Table
from experiments.words.looks import hardly_thrown
from experiments.words.wording import percent

BROKEN_OFF = 0.05  # share of plays at the time cap from which it is told


def traps(situation: Situation, table: Table) -> list[str]:
    """Warnings, a line each, about a situation and the table of its rehearsals.

    That the look the plan is named after was hardly thrown; that plays were broken off by the time
    cap; that a look can never be called; that nobody defends.
    """
    found = [hardly_thrown(situation, situation.plan, look_shares(table)), *never_called(situation)]
    capped = float((table["outcome"] == "time cap").mean())
    if capped > BROKEN_OFF:
        found.append(
            f"Careful: {percent(capped, 0)} of the plays were broken off at the time cap of "
            f"{situation.time_cap:g} s and count as not kept; raise time_cap."
        )
    if not situation.defenders:
        found.append("Careful: nobody defends, so there is no count and nothing is contested.")
    return [text for text in found if text]


def never_called(situation: Situation) -> list[str]:
    """The looks of the plan in use whose window is over before the count of the situation begins."""
    if situation.until != "throw":
        return []
    return [
        f"Careful: look {number + 1} of plan {situation.plan}, {look.cut} for {look.who}, can never be "
        f"called: it ends at count {look.to:g} and the play starts at {situation.stall:g}."
        for number, look in enumerate(situation.plans[situation.plan].looks)
        if look.to <= situation.stall or look.pass_ > 1
    ]
