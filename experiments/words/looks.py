"""Which looks were thrown, a line a look, and what would be misread in the figures."""

from __future__ import annotations

import math
from collections.abc import Sequence

from experiments.situations.situation import Situation
from experiments.statistics.look_shares import NOT_THROWN, LookShare, look_shares
from experiments.statistics.tables import Table
from experiments.words.measured import headline
from experiments.words.wording import join, percent, share_with_range

HALF = 0.5
BROKEN_OFF = 0.05  # share of plays at the time cap from which it is told
HARDLY = "thrown first in under half"
HEADS = ("thrown first", "how often", "kept of those")


def look_lines(shares: Sequence[LookShare]) -> list[tuple[str, str, str]]:
    """A line for each look: its name, how often it was thrown, the share of those kept."""
    return [
        (
            found.look,
            percent(found.thrown.estimate),
            "" if found.look == NOT_THROWN else share_with_range(found.completed),
        )
        for found in shares
    ]


def looks_in_short(shares: Sequence[LookShare], most: int = 3, *, kept: bool = False) -> str:
    """The looks in one line, such as 'strike left 71 %, open player 20 %'; `kept` adds how often kept."""
    shown = [
        f"{found.look} {percent(found.thrown.estimate, 0)}"
        + f" (kept {percent(found.completed.estimate, 0)})" * (kept and found.look != NOT_THROWN)
        for found in shares[:most]
        if found is shares[0] or found.thrown.estimate >= 0.005
    ]
    return ", ".join(shown)


def meant(situation: Situation, plan: str) -> list[str]:
    """The cuts that a plan is named after, such as strike and dump for "strike-dump", or its only one."""
    cuts = {look.cut for look in situation.plans[plan].looks}
    return sorted(cut for cut in cuts if cut in plan) or (sorted(cuts) if len(cuts) == 1 else [])


def own_look(situation: Situation, plan: str, shares: Sequence[LookShare]) -> tuple[float, float]:
    """How often the look that a plan is named after was thrown first, and how often it was kept then.

    Not a number where the plan has several looks and is named after none, or threw none of them.
    """
    names = meant(situation, plan)
    own = [found for found in shares if found.look.split(" ")[0] in names]
    often = sum(found.thrown.estimate for found in own) if names else math.nan
    kept = sum(found.thrown.estimate * found.completed.estimate for found in own)
    return often, kept / often if often else math.nan


def hardly_in_short(situation: Situation, plan: str, shares: Sequence[LookShare]) -> str:
    """The same warning for a chart, such as 'strike thrown first in under half'; "" where all is well."""
    hardly = own_look(situation, plan, shares)[0] < HALF
    return f"{join(meant(situation, plan))} {HARDLY}" if hardly else ""


def warned_title(situation: Situation, shares: Sequence[LookShare]) -> str:
    """The title of a chart of the plan in use, with the warning where there is one."""
    hardly = hardly_in_short(situation, situation.plan, shares)
    return f"{headline(situation)}{hardly and f' (careful: {hardly})'}"


def hardly_thrown(situation: Situation, plan: str, shares: Sequence[LookShare]) -> str:
    """A warning where the look that a plan is named after was thrown in under half of the plays.

    "" where it was thrown more often, or the plan has several and is named after none.
    """
    names, (often, _) = meant(situation, plan), own_look(situation, plan, shares)
    if not often < HALF:
        return ""
    others = [found for found in shares if found.look.split(" ")[0] not in names][:2]
    instead = join([f"{found.look} ({percent(found.thrown.estimate, 0)})" for found in others])
    return (
        f"Careful: the {join(names)} of plan {plan} was thrown first in only "
        f"{percent(often, 0)} of the plays; the figures are mostly those of {instead}."
    )


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
