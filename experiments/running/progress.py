"""Show how far a run has come and how long it will still take."""

from __future__ import annotations

import sys
from collections.abc import Callable

from rich import progress
from rich.console import Console
from rich.text import Text

Watch = Callable[[int, int], None]


class _Speed(progress.ProgressColumn):
    """Rehearsals a second, so that the next run can be sized."""

    def render(self, task: progress.Task) -> Text:
        return Text(f"{task.speed:,.0f}/s" if task.speed else "")


class Meter:
    """Shows progress on a terminal, reports it to a function, or stays silent.

    Parameters
    ----------
    show : True or False; None shows it only if the error stream is a terminal; a function is
        called with the rehearsals done and the rehearsals wanted.
    """

    def __init__(self, show: bool | Watch | None) -> None:
        self._watch = show if callable(show) else None
        wanted = sys.stderr.isatty() if show is None else show is True
        self._bar = progress.Progress(
            progress.TextColumn("{task.description}"),
            progress.BarColumn(),
            progress.MofNCompleteColumn(),
            _Speed(),
            progress.TextColumn("time left"),
            progress.TimeRemainingColumn(),
            console=Console(stderr=True),
            disable=not wanted,
        )
        self._task = self._bar.add_task("rehearsing", total=None)
        self.done = 0
        self.total = 0

    def __enter__(self) -> Meter:
        self._bar.start()
        return self

    def __exit__(self, *raised: object) -> None:
        if not self._bar.disable:  # older releases of rich print an empty line even so
            self._bar.stop()

    def expect(self, more: int) -> None:
        """Add to the number of rehearsals that will be run."""
        self.total += more
        self._tell()

    def advance(self, by: int) -> None:
        """Add to the number of rehearsals that have been run."""
        self.done += by
        self._tell()

    def _tell(self) -> None:
        self._bar.update(self._task, completed=self.done, total=self.total)
        if self._watch is not None:
            self._watch(self.done, self.total)
