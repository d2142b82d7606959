"""The `stallwise` command and its exit codes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from experiments.cli.commands import BAD_INPUT, INTERRUPTED, Commands
from experiments.cli.output import complain
from experiments.cli.version import version as installed_version

app = typer.Typer(
    cls=Commands,
    help="Rehearse a handler reset in Ultimate thousands of times and see how often it works.",
    epilog="A model's advice: the coach on the field, the local rules and medical advice go first.",
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
        print(installed_version())
    elif context.invoked_subcommand is None:
        print(context.get_help())


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 is success, 2 a mistake of the user (one message on stderr, no traceback), 130 Ctrl-C.
    An error in the program keeps its traceback.
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
