"""What can stop a run, in words the person at the keyboard can act on."""

from __future__ import annotations

from experiments.errors import StallwiseError


class RunError(StallwiseError):
    """Rehearsing could not go on; the message says why and what to do."""


class StudyFolderError(RunError):
    """The folder of a study cannot be used as asked; nothing in it was overwritten."""


class RunInterrupted(KeyboardInterrupt):
    """Ctrl-C, after the workers have been stopped and every finished chunk kept."""
