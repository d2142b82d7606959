"""Run the rehearsals of one or more situations, here or on any executor.

Rehearsals are run in chunks. The result does not depend on which chunks, in which order or by how
many workers, since the random draws of each rehearsal are its own.
"""

from __future__ import annotations

import math
import pickle
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from pathlib import Path
from typing import Any

import numpy as np

from experiments.errors import RunError, RunInterrupted, StallwiseError
from experiments.running import frames
from experiments.running.engine import ENGINE, Engine
from experiments.running.frames import Packed, Rehearsals
from experiments.running.progress import Meter
from experiments.running.store import StudyFolder, read_chunks
from experiments.running.tasks import Rows, Run, Task
from experiments.running.workers import LocalWorkers

# Chunks for a worker are not made smaller than this.
SMALLEST = 500
# How many chunks may wait at an executor of unknown size.
WAITING = 256

_Chunk = tuple[int, int, int]  # task, first rehearsal, end


def run(tasks: Sequence[Task], engine: Engine = ENGINE) -> Run:
    """Rehearse each task `n` times; parameters as for `Runner`, errors as `Runner.extend`."""
    with Runner(tasks, engine) as runner:
        return runner.extend([task.n for task in tasks])


class Runner:
    """Workers, folder and progress of one run, which may be extended several times.

    The folder's study is finished once the runner is left without an error.

    Parameters
    ----------
    tasks : what to rehearse; their keys must differ. `n` is used by `run` only.

    Raises
    ------
    ValueError : if two tasks have one key.
    StudyFolderError : if the folder cannot be used.
    """

    def __init__(self, tasks: Sequence[Task], engine: Engine = ENGINE) -> None:
        keys = [task.key for task in tasks]
        if not keys or len(set(keys)) < len(keys):
            raise ValueError("a run needs at least one task, and a name of its own for each")
        self._tasks, self._engine = tuple(tasks), engine
        self._workers: LocalWorkers | None = None
        self._parts: list[dict[int, Packed]] = [{} for _ in tasks]
        self._meter = Meter(engine.progress)
        self._began = time.perf_counter()
        self._found = 0
        self._folder = None
        if engine.folder is not None:
            self._folder = StudyFolder(Path(engine.folder), tasks, engine.rows, engine.settings)

    def __enter__(self) -> Runner:
        self._meter.__enter__()
        return self

    def __exit__(self, *raised: object) -> None:
        try:
            if self._workers is not None:
                (self._workers.finish if raised[0] is None else self._workers.stop)()
            if self._folder is not None and raised[0] is None:
                self._folder.finish()
        finally:
            if self._folder is not None:
                self._folder.close()
            self._meter.__exit__(*raised)

    def extend(self, sizes: Sequence[int]) -> Run:
        """Rehearse until every task has its rehearsals 0 to size - 1, which are returned.

        Raises
        ------
        RunError : if a rehearsal fails or a worker dies.
        StudyFolderError : if the folder does not take or give the rehearsals.
        RunInterrupted : on Ctrl-C. Finished chunks are kept in every case.
        """
        if self._folder is not None:
            self._folder.aim(sizes)
        chunks = self._missing(sizes)
        self._meter.expect(sum(end - first for _, first, end in chunks))
        try:
            alone = self._engine.processes == 1 or len(chunks) < 2
            if self._engine.executor is None and alone:
                for chunk in chunks:
                    self._keep(chunk, self._result_of(chunk, _rehearse, *self._call(chunk)))
            else:
                self._run_elsewhere(chunks)
        except KeyboardInterrupt:
            raise RunInterrupted(self._stopped()) from None
        tables = {
            task.key: Rehearsals([parts[first] for first in sorted(parts)], size)
            for task, parts, size in zip(self._tasks, self._parts, sizes, strict=True)
        }
        seconds = time.perf_counter() - self._began
        out = None if self._folder is None else self._folder.folder
        return Run(tables, self._meter.done, self._found, seconds, out)

    def _missing(self, sizes: Sequence[int]) -> list[_Chunk]:
        """Chunks that fill the gaps of each task, after reading what the folder has."""
        gaps: list[_Chunk] = []
        for index, size in enumerate(sizes):
            parts = self._parts[index]
            if self._folder is not None:
                self._take_found(index, size)
            reached = 0
            for first in sorted(parts):
                gaps.append((index, reached, min(first, size)))
                reached = first + parts[first].rows
            gaps.append((index, reached, size))
        gaps = [(index, first, end) for index, first, end in gaps if first < end]
        step = self._step(sum(end - first for _, first, end in gaps))
        return [
            (index, start, min(start + step, end))
            for index, first, end in gaps
            for start in range(first, end, step)
        ]

    def _step(self, total: int) -> int:
        """Size of chunks that lets all workers end at about the same time."""
        chunk, processes = self._engine.chunk, self._engine.processes
        if self._engine.executor is not None or total == 0:
            return chunk
        rounds = math.ceil(total / (chunk * processes))
        even = math.ceil(total / (rounds * processes))
        return min(chunk, max(even, SMALLEST))

    def _take_found(self, index: int, size: int) -> None:
        assert self._folder is not None
        parts = self._parts[index]
        held = sum(part.rows for part in parts.values())
        if held >= size:
            return
        for first, part in read_chunks(self._folder.folder, index, size):
            known = parts.get(first)
            if known is None or known.rows < part.rows:
                self._found += part.rows - (0 if known is None else known.rows)
                parts[first] = part

    def _call(self, chunk: _Chunk) -> tuple[Any, ...]:
        index, first, end = chunk
        task = self._tasks[index]
        return self._engine.rows, task.situation, first, end, task.seed

    def _run_elsewhere(self, chunks: list[_Chunk]) -> None:
        pool: Executor | LocalWorkers
        if self._engine.executor is not None:
            pool, window = self._engine.executor, WAITING
        else:
            pool, window = self._local(), 2 * self._engine.processes
        left = iter(chunks)
        pending: dict[Future[Packed], _Chunk] = {}
        try:
            while True:
                while len(pending) < window and (chunk := next(left, None)) is not None:
                    future = self._result_of(chunk, pool.submit, _rehearse, *self._call(chunk))
                    pending[future] = chunk
                if not pending:
                    return
                for future in wait(pending, return_when=FIRST_COMPLETED).done:
                    self._keep(pending[future], self._result_of(pending[future], future.result))
                    del pending[future]
        except BaseException:
            if self._workers is None:
                for future in pending:
                    future.cancel()
            self._rescue(pending)
            raise

    def _local(self) -> LocalWorkers:
        if self._workers is None:
            rows = self._engine.rows
            try:
                pickle.dumps(rows)
            except (pickle.PicklingError, AttributeError, TypeError) as error:
                raise RunError(
                    f"worker processes cannot be given {rows!r}: it must be a function of a module. "
                    "Use one process"
                ) from error
            self._workers = LocalWorkers(self._engine.processes)
        return self._workers

    def _rescue(self, pending: dict[Future[Packed], _Chunk]) -> None:
        """Keep the chunks that were finished when another failed."""
        for future, chunk in pending.items():
            if future.done() and not future.cancelled() and future.exception() is None:
                try:
                    self._keep(chunk, future.result())
                except RunError:
                    return  # The folder cannot be written: that is the error being raised already.

    def _result_of(self, chunk: _Chunk, call: Any, *arguments: Any) -> Any:
        """Call it; an error names the rehearsals it came from."""
        index, first, end = chunk
        where = f"{self._tasks[index].key}, rehearsals {first} to {end - 1}"
        try:
            return call(*arguments)
        except StallwiseError as error:
            raise RunError(f"{where}: {error}") from error
        except BrokenExecutor as error:
            raise RunError(
                "a worker process died, often because memory ran out: use fewer processes. In a script, "
                "start the run under if __name__ == '__main__'"
            ) from error
        except Exception as error:
            raise RunError(f"{where}: {type(error).__name__}: {error}") from error

    def _keep(self, chunk: _Chunk, part: Packed) -> None:
        index, first, end = chunk
        if self._folder is not None:
            self._folder.write(index, first, part)
        self._parts[index][first] = part
        self._meter.advance(end - first)

    def _stopped(self) -> str:
        done, wanted = self._meter.done, self._meter.total
        told = f"stopped after {done:,} of {wanted:,} rehearsals"
        if self._folder is None:
            return f"{told}; with a folder to keep them in, a run can go on later"
        return (
            f"{told}; they are kept in {self._folder.folder}, the same command goes on from there"
        )


def _rehearse(rows: Rows, situation: Mapping[str, Any], first: int, end: int, seed: int) -> Packed:
    """One chunk, in whatever process."""
    ids = np.arange(first, end, dtype=np.int64)
    return frames.pack(frames.encode(rows(situation, ids, seed), ids))
