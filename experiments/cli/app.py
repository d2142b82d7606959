"""The `stallwise` command: its commands, each imported when it is called, its errors and exit codes."""

from __future__ import annotations

import functools
import importlib
import keyword
from collections.abc import Callable, Sequence
from importlib import metadata
from types import ModuleType
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from experiments.cli.output import CAUTIONS, complain
from experiments.errors import StallwiseError, did_you_mean

BAD_INPUT = 2
INTERRUPTED = 130

# In the order in which the help lists them, with the first line of their own help: the game takes two
# seconds to import, and the list of commands has no need of it.
COMMANDS = {
    "demo": "Rehearse shipped situations with several plans; the first thing to run.",
    "try": "Rehearse a situation and print its estimates.",
    "compare": "Compare plans on the same luck: differences from the first, with their intervals.",
    "whatif": "Ask what if settings were different: before, after, and the difference on the same luck.",
    "vary": "Vary one or two numeric settings: curves with bands, or a heat map.",
    "map": "Map where a plan's look is available: over places of the disc and both forces.",
    "matchup": "Match plans against defences: values, and the mixes that neither side can exploit.",
    "tune": "Tune a plan: search for the best timing, angle, depth ... and all values equally good.",
    "sturdiness": "Ask which assumptions could reverse the finding that one plan is better.",
    "again": "Run a study again from its folder alone: command, options, situation, seed.",
    "table": "Join the rehearsals of studies in one table; without a study, say what its columns mean.",
    "replay": "Rehearse a situation and write one rehearsal as an animation and a page to play it.",
    "handout": "Write studies as a handout, a page a situation, for print and as a web page.",
    "begin": "Begin a situation of your own: write its file from a few answers, defenders filled in.",
    "draw": "Draw the start of a situation, or another chart of it: --chart NAME.",
    "settings": "List every setting of a situation: path, value, unit, what is allowed, meaning.",
    "situations": "List the shipped situations, or print the file of one.",
    "policies": "List the policies that files may name.",
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
            formatter.write_dl(list(COMMANDS.items()))


def module_of(name: str) -> ModuleType:
    """The module of a command, which has its name, and in it the function `command`."""
    return importlib.import_module(f"experiments.cli.{name}{'_' * keyword.iskeyword(name)}")


def command_of(name: str) -> Any:
    """A command that parses its own arguments."""
    alone = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
    alone.command(name)(_guarded(module_of(name).command))
    return typer.main.get_command(alone)


def _guarded(command: Callable[..., None]) -> Callable[..., None]:
    """The command, with expected errors shown as one message instead of a traceback."""

    @functools.wraps(command)
    def run(*values: Any, **options: Any) -> None:
        try:
            command(*values, **options)
        except StallwiseError as error:
            complain(str(error))
            raise typer.Exit(BAD_INPUT) from None
        except KeyboardInterrupt as error:
            complain(str(error) or "stopped")
            raise typer.Exit(INTERRUPTED) from None
        except BrokenPipeError:
            raise  # the reader of the output has closed it; typer ends quietly
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            complain(f"{where}{(error.strerror or str(error)).lower()}")
            raise typer.Exit(BAD_INPUT) from None

    return run


app = typer.Typer(
    cls=Commands,
    help="Rehearse a handler reset in Ultimate thousands of times and see how often it works.",
    epilog=CAUTIONS[0],
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@app.callback()
def _top(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    if version:
        try:
            print(metadata.version("stallwise"))
        except metadata.PackageNotFoundError:
            print("source tree, not installed")
    elif context.invoked_subcommand is None:
        print(context.get_help())


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 is success, 2 a mistake of the user (one message on stderr, no traceback), 130 Ctrl-C.
    An error in the program keeps its traceback.
    """
    try:
        code = app(args=arguments, prog_name="stallwise", standalone_mode=False)
    except (KeyboardInterrupt, typer.Abort):
        return INTERRUPTED
    except Exception as error:
        if not hasattr(error, "format_message"):
            raise
        # A usage error. Its class has moved between typer's versions, its methods have not.
        complain(error.format_message())
        context = getattr(error, "ctx", None)
        if context is not None:
            complain(f"see '{context.command_path} --help'")
        return BAD_INPUT
    return code if isinstance(code, int) else 0
