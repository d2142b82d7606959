"""How a study is run: processes or executor, folder, progress."""

from __future__ import annotations

import dataclasses
import os
from collections.abc import Mapping
from concurrent.futures import Executor
from pathlib import Path
from typing import Any

from experiments.errors import StallwiseError, known_keywords
from experiments.running.progress import Watch
from experiments.running.tasks import Rows, rehearse_dict

# Most rehearsals in a chunk: several seconds of work. A kill loses the chunks being played, and a
# smaller chunk would spend its time on being sent to a worker and back.
CHUNK = 2000
# What a study of several parts, a search or a screening, keeps in folders inside its own.
PARTS = ("round-1", "round-2", "screening", "turns")


@known_keywords
@dataclasses.dataclass(frozen=True)
class Engine:
    """How to run the rehearsals of a study; results do not depend on it.

    Attributes
    ----------
    processes : local worker processes; 1 rehearses in this process.
    executor : used instead of local processes; it is not shut down.
    folder : where to keep the rehearsals. If it holds rehearsals of the same study they are
        used, so that a run that was stopped goes on, and one that asks for more adds to it.
    progress : show it (True), do not (False), show it if a person is watching (None), or a
        function to call with the rehearsals done and wanted.
    chunk : most rehearsals to hand to a worker at once.
    settings : plain values for the manifest of the folder: the options of a command.
    rows : rehearses numbered rehearsals of a situation; see `tasks.Rows`.

    Raises
    ------
    StallwiseError : a number is not positive.
    """

    processes: int = 1
    executor: Executor | None = None
    folder: str | os.PathLike[str] | None = None
    progress: bool | Watch | None = None
    chunk: int = CHUNK
    settings: Mapping[str, Any] = dataclasses.field(default_factory=dict)
    rows: Rows = rehearse_dict

    def __post_init__(self) -> None:
        for name in ("processes", "chunk"):
            if getattr(self, name) < 1:
                raise StallwiseError(f"{name}: found {getattr(self, name)}; allowed: at least 1")

    def part(self, name: str) -> Engine:
        """The same engine with a subfolder, one of `PARTS`, for a part of a study."""
        assert name in PARTS, name
        if self.folder is None:
            return self
        return dataclasses.replace(self, folder=Path(self.folder) / name)


ENGINE = Engine()


@known_keywords
def engine(
    *,
    processes: int = 1,
    executor: Executor | None = None,
    folder: str | os.PathLike[str] | None = None,
    progress: bool | Watch | None = None,
) -> Engine:
    """How to run a study, to be passed to it as ``engine=``; see `Engine`.

    Raises
    ------
    KeywordError : there is no such keyword; the text names the nearest.
    StallwiseError : `processes` is not positive.
    """
    return Engine(processes, executor, folder, progress)
