"""The `stallwise` command: its list of commands, and the one place where errors end up."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from typing import Annotated, Any

import typer

from experiments.cli import (
    again,
    asking,
    comparing,
    demo,
    listing,
    mapping,
    matching,
    rehearsing,
    showing,
    sturdiness,
    tuning,
    varying,
)
from experiments.cli.output import complain
from experiments.errors import StallwiseError
from experiments.version import version as installed_version

BAD_INPUT = 2
INTERRUPTED = 130

app = typer.Typer(
    help="Rehearse a handler reset in Ultimate thousands of times and see how often it works.",
    epilog="A model's advice: the coach on the field, the local rules and medical advice go first.",
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _guarded(name: str, command: Callable[..., None]) -> Callable[..., None]:
    """The command, with expected errors told in one message instead of a traceback."""

    @functools.wraps(command)
    def run(*values: Any, **options: Any) -> None:
        asking.remember(name, options)
        try:
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


# In the order in which the help lists them.
for _name, _command in (
    ("demo", demo.demo),
    ("try", rehearsing.rehearse_one),
    ("compare", comparing.compare_plans),
    ("vary", varying.vary_settings),
    ("map", mapping.map_places),
    ("matchup", matching.match_plans),
    ("tune", tuning.tune_settings),
    ("sturdiness", sturdiness.ask_sturdiness),
    ("again", again.run_again),
    ("replay", showing.replay),
    ("handout", showing.handout),
    ("situations", listing.situations),
    ("policies", listing.policies),
):
    app.command(_name)(_guarded(_name, _command))


@app.callback()
def _top(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    if version:
        print(installed_version())
    elif context.invoked_subcommand is None:
        print(context.get_help())


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 is success, 2 a mistake of the asker's (one message on stderr, no traceback), 130 Ctrl-C.
    A mistake of the program's own keeps its traceback.
    """
    try:
        code = app(
            args=None if arguments is None else list(arguments),
            prog_name="stallwise",
            standalone_mode=False,
        )
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
