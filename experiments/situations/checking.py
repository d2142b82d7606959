"""What the tables of a situation must have in common before it can be played."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from experiments.errors import Problem, one_of_text
from experiments.situations.parts import Attacker, Defender
from experiments.situations.tables import walk
from policies.marks import HOMES, TO_A_SIDE
from policies.who import ROLE_WORDS

if TYPE_CHECKING:
    from experiments.situations.situation import Situation

# A defender may stand out of bounds and still make a play; further out is a mistake in the file.
OUTSIDE = 3.0
# Two people cannot stand nearer than this, m.
ELBOW_ROOM = 0.2


def problems_of(situation: Situation) -> list[Problem]:
    """Every rule between the tables that the situation breaks."""
    return [problem for check in _CHECKS for problem in check(situation)]


def both_teams(situation: Situation) -> list[tuple[str, Sequence[Attacker | Defender]]]:
    """The key and the people of each team."""
    return [("attackers", situation.attackers), ("defenders", situation.defenders)]


def _choices(situation: Situation) -> Iterator[Problem]:
    for key, chosen, known in (
        ("plan", situation.plan, situation.plans),
        ("defence", situation.defence, situation.defences),
    ):
        if chosen not in known:
            allowed = one_of_text(chosen, known) or f"the name of a table [{key}s.NAME]"
            yield Problem(key, repr(chosen), allowed)


def _stall(situation: Situation) -> Iterator[Problem]:
    out = situation.playing_field.stall
    if situation.stall >= out:
        yield Problem("stall", f"{situation.stall:g}", f"less than {out}, when the disc is lost")


def _people(situation: Situation) -> Iterator[Problem]:
    most = situation.playing_field.players
    for key, people in both_teams(situation):
        if len(people) > most:
            yield Problem(key, f"{len(people)} players", f"at most {most} a side on this field")
    named: dict[str, str] = {}
    for key, people in both_teams(situation):
        for slot, player in enumerate(people):
            here = f"{key}.{slot}.name"
            if player.name in named:
                found = f"{player.name!r}, which {named[player.name]} has too"
                yield Problem(here, found, "a name that nobody else has")
            named.setdefault(player.name, here)


def _disc(situation: Situation) -> Iterator[Problem]:
    having = [player.name for player in situation.attackers if player.disc]
    if len(having) != 1:
        found = f"{', '.join(having)} with the disc" if having else "nobody with the disc"
        yield Problem("attackers", found, "exactly one attacker with disc = true")
    if len(situation.attackers) < 2:
        yield Problem("attackers", "nobody to throw to", "at least two attackers")


def _places(situation: Situation) -> Iterator[Problem]:
    field = situation.playing_field
    low, high = field.back_lines
    for key, people in both_teams(situation):
        over = OUTSIDE if key == "defenders" else 0.0
        taken: list[Attacker | Defender] = []
        for slot, player in enumerate(people):
            if player.at is None:
                continue
            here, (x, y) = f"{key}.{slot}.at", player.at
            side, back, front = field.half_width + over, low - over, high + over
            # The lines are out (WFDF rule 2.3).
            if not (-side < x < side and back < y < front):
                found = f"{player.name!r} off the field at [{x:g}, {y:g}]"
                allowed = f"x between {-side:g} and {side:g}, y between {back:g} and {front:g}"
                yield Problem(here, found, allowed)
            for other in taken:
                if other.at is not None and math.dist(other.at, player.at) < ELBOW_ROOM:
                    found = f"{player.name!r} on the same spot as {other.name!r}"
                    yield Problem(here, found, "a spot for each player")
            taken.append(player)


def _guards(situation: Situation) -> Iterator[Problem]:
    known = [player.name for player in situation.attackers]
    for slot, player in enumerate(situation.defenders):
        if player.guards is not None and player.guards not in known:
            allowed = f"an attacker: {one_of_text(player.guards, known)}"
            yield Problem(f"defenders.{slot}.guards", repr(player.guards), allowed)


def _marks(situation: Situation) -> Iterator[Problem]:
    """Only one defender may be near the thrower and guard nobody else (WFDF rule 18.1.1.5)."""
    holders = [player for player in situation.attackers if player.disc]
    if len(holders) != 1:
        return
    holder, radius = holders[0], situation.playing_field.stall_radius
    marks = [
        player.name
        for player in situation.defenders
        if player.guards == holder.name
        or (
            player.guards is None
            and player.at is not None
            and math.dist(player.at, holder.at) <= radius
        )
    ]
    if len(marks) > 1:
        yield Problem(
            "defenders",
            f"{len(marks)} defenders on the thrower ({', '.join(marks)})",
            f"one mark; any other within {radius:g} m of the thrower must guard somebody else",
        )


def _looks(situation: Situation) -> Iterator[Problem]:
    names = list(dict.fromkeys(player.name for player in situation.attackers))
    holders = [player.name for player in situation.attackers if player.disc]
    for plan_name, plan in situation.plans.items():
        if plan.looks and not hasattr(plan.built, "looks"):
            found = f"looks beside the policy {plan.policy!r}, which reads none"
            yield Problem(f"plans.{plan_name}.looks", found, "no looks, or another policy")
        for number, look in enumerate(plan.looks):
            key = f"plans.{plan_name}.looks.{number}"
            if look.who not in names and look.who not in ROLE_WORDS:
                allowed = one_of_text(look.who, [*names, *ROLE_WORDS])
                yield Problem(f"{key}.who", repr(look.who), f"a player or a role: {allowed}")
            if situation.until == "throw" and look.who in holders:
                allowed = "somebody else, or an until that goes on after the first throw"
                yield Problem(f"{key}.who", f"{look.who!r}, who has the disc", allowed)
            if look.from_ >= look.to:
                found = f"{look.from_:g}, not before to = {look.to:g}"
                yield Problem(f"{key}.from", found, "less than to")


def _forces(situation: Situation) -> Iterator[Problem]:
    """The force is said once, for all defences, so that a look and a mark cannot disagree."""
    if situation.force in TO_A_SIDE and not situation.home:
        allowed = f"{' or '.join(HOMES)}, the sideline of the defence's bench"
        yield Problem("home", f"nothing, with force = {situation.force!r}", allowed)
    for name, defence in situation.defences.items():
        given = defence.given.get("mark", {})
        for key in ("force", "home"):
            if key in given:
                allowed = f"the {key} at the top of the file"
                yield Problem(f"defences.{name}.mark.{key}", repr(given[key]), allowed)


def _named_players(situation: Situation) -> Iterator[Problem]:
    """Settings that name a player name an attacker, or nobody."""
    known = [player.name for player in situation.attackers]
    tables = [(f"defences.{name}", defence.built) for name, defence in situation.defences.items()]
    for name, plan in situation.plans.items():
        tables.append((f"plans.{name}", plan.built))
        tables += [(f"plans.{name}.looks.{k}", look.built) for k, look in enumerate(plan.looks)]
    for path, settings in tables:
        for key, value, about in walk(settings):
            if about.get("player") and value and value not in known:
                allowed = f"an attacker: {one_of_text(value, known)}"
                yield Problem(f"{path}.{key}", repr(value), allowed)


_CHECKS = (
    _choices, _stall, _people, _disc, _places, _guards, _marks, _looks, _forces, _named_players,
)  # fmt: skip
