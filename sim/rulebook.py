"""Rules and the policies they come from: settings as rows of numbers, rules as functions.

A policy is a small frozen dataclass with settings and a function ``decide(me, s)``: `me` a view
(`sim.view`), `s` its settings as numbers (`s.angle`: degrees as rad, a word as its place among
the choices). A plan or a defence is made of further policies, its parts (cuts, covers, a mark):
its ``parts(names)`` lists them, its ``sheet(names)`` gives a table of numbers, one row a part, and
its ``decide(me, s, team)`` finds them in `team` and asks one by `ask(team, part, me)`.
"""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from sim import compiling, machine_code
from sim.intent import Intent
from sim.settings import row_of, settings_type
from sim.state import PARTS, PLAN, ROW, records


class Team(NamedTuple):
    """What a plan or a defence is made of.

    Attributes
    ----------
    parts : the rules of its parts. Compiled, they are addresses, which `call_part` calls. size : how
        many parts.
    rows : (PARTS, ROW) their settings. sheet : (PARTS, SHEET) what the plan says of each.
    table : the flights, for a thrower who knows how discs fly.
    other : a second view, to imagine somebody else's in (`sim.view.imagine`).
    """

    parts: Any
    size: int
    rows: Any
    sheet: Any
    table: Any
    other: Any


def ask(team: Team, part: int, me: Any) -> Intent:
    """What a part of the plan, by its number, wants this player to do."""
    return call_part(team.parts[part], me, team.rows[part])


def call_part(rule: Any, me: Any, row: Any) -> Intent:
    """What the rule of a part answers."""
    return rule(me, row)  # type: ignore[no-any-return]


def call_player(rule: Any, me: Any, plan: Any, table: Any, other: Any) -> Intent:
    """What the compiled rule of a player answers: of records alone, which are handed on as addresses."""
    return rule(me, plan, table, other)  # type: ignore[no-any-return]


def settings_row(policy: Any, names: Sequence[str] = ()) -> np.ndarray:
    """The settings of a policy in a line-up of these names, (ROW,) float64."""
    row, numbers = np.zeros(ROW), row_of(policy, names)
    if len(numbers) > ROW:
        raise ValueError(f"{type(policy).__name__} has {len(numbers)} settings; at most {ROW}")
    row[: len(numbers)] = numbers
    return row


def parts_of(policy: Any, names: Sequence[str]) -> list[Any]:
    """The policies that a policy is made of, in order."""
    made = getattr(policy, "parts", None)
    return list(made(names)) if made is not None else []


def plan_of(policy: Any, parts: Sequence[Any], names: Sequence[str]) -> Any:
    """What a policy says of itself and its parts, one record `sim.state.PLAN`, its rules left open.

    Raises
    ------
    ValueError : it has more parts than a play has room for.
    """
    plan = records(PLAN, 1)[0]
    made = getattr(policy, "sheet", None)
    sheet = list(made(names)) if made is not None else []
    if max(len(parts), len(sheet)) > PARTS:
        raise ValueError(f"{type(policy).__name__} has {len(parts)} parts; at most {PARTS - 1}")
    plan.count, plan.row[:] = len(parts), settings_row(policy, names)
    for number, part in enumerate(parts):
        plan.rows[number] = settings_row(part, names)
    for number, values in enumerate(sheet):
        plan.sheet[number, : len(values)] = values
    return plan


def takes_team(kind: type) -> bool:
    """Whether a policy's rule asks for its team: ``decide(me, s, team)``."""
    return len(inspect.signature(rule_text(kind)).parameters) == 3


def rule_text(kind: type) -> Callable[..., Any]:
    """The deciding function of a policy, as written.

    Raises
    ------
    TypeError : the class has none, or not one of (me, s) or (me, s, team).
    """
    found = inspect.getattr_static(kind, "decide", None)
    text = found.__func__ if isinstance(found, staticmethod) else found
    if not inspect.isfunction(text):
        raise TypeError(f"{kind.__name__} has no function decide(me, s)")
    given = list(inspect.signature(text).parameters)
    if not isinstance(found, staticmethod) or len(given) not in (2, 3):
        raise TypeError(
            f"decide of {kind.__name__} takes ({', '.join(given)}); write @staticmethod above "
            "def decide(me, s), or (me, s, team) for a plan with parts"
        )
    return text


# The templates below become one function a rule; their capitals are filled in.
DECIDE: Any = None
SETTINGS: Any = None
FIXED: Any = None
SIZE = 0


def _part(me: Any, row: Any) -> Any:
    return DECIDE(me, SETTINGS(*FIXED(row, SIZE)))


def _player(me: Any, plan: Any, table: Any, other: Any) -> Any:
    return DECIDE(me, SETTINGS(*FIXED(plan.row[:], SIZE)))


def _player_with_team(me: Any, plan: Any, table: Any, other: Any) -> Any:
    team = Team(plan.parts[:], plan.count, plan.rows[:], plan.sheet[:], table, other)
    return DECIDE(me, SETTINGS(*FIXED(plan.row[:], SIZE)), team)


def plain_rule(kind: type, as_part: bool) -> Callable[..., Any]:
    """A policy's rule as ordinary Python, called as ``rule(me, row)`` or ``rule(me, row, team)``."""
    decide, settings = rule_text(kind), settings_type(kind)
    size = len(settings._fields)
    if as_part:
        return lambda me, row: decide(me, settings(*row[:size]))
    if takes_team(kind):
        return lambda me, row, team: decide(me, settings(*row[:size]), team)
    return lambda me, row, team: decide(me, settings(*row[:size]))


_rules: dict[Any, int] = {}
_failures: dict[Any, str] = {}


def compiled_rule(kind: type, as_part: bool) -> int:
    """Where the same stands compiled, for `call_part` and `call_player`; made once a class.

    Raises
    ------
    numba.core.errors.NumbaError : the text cannot be compiled.
    """
    key = (kind, as_part)
    if key not in _rules:
        name = f"{kind.__module__}.{kind.__qualname__}.{'part' if as_part else 'rule'}"
        # A class from elsewhere may have settings of its own, though its rule is one of ours.
        keep = machine_code.is_ours(kind) and machine_code.is_ours(rule_text(kind))
        _rules[key] = machine_code.address_of(
            name, lambda: _build(kind, as_part), rules=True, keep=keep
        )
    return _rules[key]


def _build(kind: type, as_part: bool) -> machine_code.Code:
    from numba.np.unsafe.ndarray import to_fixed_tuple

    from sim.ensemble import part_signature, rule_signature

    settings, text = settings_type(kind), rule_text(kind)
    compiling.write_out(text)
    fill = {
        "DECIDE": compiling.inner(text),
        "SETTINGS": settings,
        "FIXED": to_fixed_tuple,
        "SIZE": len(settings._fields),
    }
    template = _part if as_part else (_player_with_team if takes_team(kind) else _player)
    return compiling.build(template, (part_signature if as_part else rule_signature)(), fill)


def cannot_compile(kind: type, as_part: bool) -> str:
    """Why a policy's rule cannot be compiled, with the line; empty if it can."""
    key = (kind, as_part)
    if key not in _failures:
        why = ""
        try:
            compiled_rule(kind, as_part)
        except Exception as error:  # numba raises of many kinds, not all of one family
            why = f"the rule of {kind.__name__} cannot be compiled: {_said(error)}"
        _failures[key] = why  # Once it is known: another thread may be asking.
    return _failures[key]


def _said(error: Exception) -> str:
    """The line that a compiler's message names, and what is wrong with it, in one line."""
    if isinstance(error, KeyError):
        return f"a view or a setting has no {error}"
    text = str(error)
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    where = [line for line in lines if line.startswith("File ")]
    told = [line for line in lines if not line.startswith(("File ", "Failed in", "During", "^"))]
    return f"{where[-1].rstrip(':') if where else 'somewhere'}: {told[0] if told else text}"[:300]


@dataclasses.dataclass(frozen=True)
class Side:
    """A policy laid out for play: its parts, and what it says of itself and them."""

    policy: Any
    parts: list[Any]
    plan: Any

    @classmethod
    def of(cls, policy: Any, names: Sequence[str]) -> Side:
        """Lay a policy out for a line-up with these names, attackers first."""
        parts = parts_of(policy, names)
        return cls(policy, parts, plan_of(policy, parts, names))

    def plain_team(self, table: Any, other: Any) -> Team:
        """The team with its rules as ordinary Python."""
        parts = [plain_rule(type(part), as_part=True) for part in self.parts]
        plan = self.plan
        return Team(parts, int(plan.count), plan.rows, plan.sheet, table, other)

    def compiled_plan(self) -> Any:
        """The plan with the addresses of its compiled rules, one record `sim.state.PLAN`."""
        plan = self.plan.copy()
        plan.rule = compiled_rule(type(self.policy), as_part=False)
        for number, part in enumerate(self.parts):
            plan.parts[number] = compiled_rule(type(part), as_part=True)
        return plan
