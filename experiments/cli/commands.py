"""The commands of `stallwise`, each imported when it is called, and how their errors are told."""

from __future__ import annotations

import contextlib
import functools
import importlib
from collections.abc import Callable
from typing import Any

import typer
from typer.core import TyperGroup

from experiments.cli.output import complain
from experiments.errors import StallwiseError, did_you_mean

BAD_INPUT = 2
INTERRUPTED = 130

# In the order in which the help lists them: module, function, and the first line of its help.
# The game takes two seconds to import, and the list of commands has no need of it.
COMMANDS = {
    "demo": (
        "demo",
        "demo",
        "Rehearse shipped situations with several plans; the first thing to run.",
    ),
    "try": ("try_", "rehearse_one", "Rehearse a situation and print its estimates."),
    "compare": (
        "compare",
        "compare_plans",
        "Compare plans on the same luck: differences from the first, with their intervals.",
    ),
    "whatif": (
        "whatif",
        "ask_what_if",
        "Ask what if some settings were other: before, after, and the difference on the same luck.",
    ),
    "vary": (
        "vary",
        "vary_settings",
        "Vary one or two numeric settings: curves with bands, or a heat map.",
    ),
    "map": (
        "map",
        "map_places",
        "Map where a plan's look is available: over places of the disc and both forces.",
    ),
    "matchup": (
        "matchup",
        "match_plans",
        "Match plans against defences: values, and the mixes that neither side can exploit.",
    ),
    "tune": (
        "tune",
        "tune_settings",
        "Tune a plan: search for the best timing, angle, depth ... and all that are as good.",
    ),
    "sturdiness": (
        "sturdiness",
        "ask_sturdiness",
        "Ask which assumptions could overturn that one plan is better than another.",
    ),
    "again": (
        "again",
        "run_again",
        "Run a study again from what its folder says of it: command, options, situation, seed.",
    ),
    "replay": (
        "showing",
        "replay",
        "Rehearse a situation and write one rehearsal as an animation and a page to play it.",
    ),
    "handout": (
        "showing",
        "handout",
        "Write studies as a handout, a page a situation, for print and as a web page.",
    ),
    "begin": (
        "begin",
        "begin",
        "Begin a situation of your own: write its file from a few answers, defenders filled in.",
    ),
    "draw": (
        "draw",
        "draw_start",
        "Draw the start of a situation: where everybody stands, the disc, what the mark covers.",
    ),
    "settings": (
        "settings",
        "list_settings",
        "List every setting of a situation: path, value, unit, what is allowed, meaning.",
    ),
    "situations": (
        "listing",
        "situations",
        "List the shipped situations, or print the file of one.",
    ),
    "policies": ("listing", "policies", "List the policies that files may name."),
}


class Commands(TyperGroup):
    """Finds commands by name and imports no other."""

    def list_commands(self, ctx: Any) -> list[str]:
        """The names of all."""
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """One by its name; a usage error if there is none."""
        if cmd_name not in COMMANDS:
            near = did_you_mean(cmd_name, COMMANDS)
            ctx.fail(f"found no command {cmd_name!r}; allowed: {', '.join(COMMANDS)}{near}")
        return command_of(cmd_name)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the list for the help."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in COMMANDS.items()])


def command_of(name: str) -> Any:
    """A command that parses its own arguments."""
    module, function, _ = COMMANDS[name]
    found = getattr(importlib.import_module(f"experiments.cli.{module}"), function)
    alone = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
    alone.command(name)(_guarded(name, found))
    return typer.main.get_command(alone)


def _guarded(name: str, command: Callable[..., None]) -> Callable[..., None]:
    """The command, with expected errors told in one message instead of a traceback."""
    from experiments.cli import asking

    @functools.wraps(command)
    def run(*values: Any, **options: Any) -> None:
        asking.remember(name, options)
        try:
            with contextlib.ExitStack() as opened:
                asking.OPENED.set(opened)
                command(*values, **options)
        except StallwiseError as error:
            complain(str(error))
            raise typer.Exit(BAD_INPUT) from None
        except KeyboardInterrupt as error:
            complain(str(error) or "stopped")
            raise typer.Exit(INTERRUPTED) from None
        except BrokenPipeError:
            raise  # whoever reads the output has enough; typer ends quietly
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            complain(f"{where}{(error.strerror or str(error)).lower()}")
            raise typer.Exit(BAD_INPUT) from None

    return run
