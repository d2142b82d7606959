"""The command line: one module a command, put together in `experiments.cli.app`."""

from experiments.cli.app import main

__all__ = ["main"]
