"""The `stallwise` command: its list of commands, and the one place where errors end up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from experiments.cli import listing
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
app.command("situations")(listing.situations)
app.command("policies")(listing.policies)


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
    arguments = None if arguments is None else list(arguments)
    try:
        code = app(args=arguments, prog_name="stallwise", standalone_mode=False)
    except StallwiseError as error:
        complain(str(error))
        return BAD_INPUT
    except KeyboardInterrupt:
        code = INTERRUPTED
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(f"{where}{(error.strerror or str(error)).lower()}")
        return BAD_INPUT
    except (typer.Exit, typer.Abort) as error:
        code = getattr(error, "exit_code", INTERRUPTED)
    except Exception as error:
        if not hasattr(error, "format_message"):
            raise
        # A usage error. Its class has moved between typer's versions, its methods have not.
        context = getattr(error, "ctx", None)
        complain(error.format_message())
        if context is not None:
            complain(f"see '{context.command_path} --help'")
        return BAD_INPUT
    if code == INTERRUPTED:
        complain("stopped")
    return code if isinstance(code, int) else 0
