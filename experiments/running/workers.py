"""Local worker processes that end with the run that started them."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from multiprocessing.connection import Connection
from typing import Any


class LocalWorkers:
    """A pool of new processes that end when this one does.

    Only this process holds the writing end of a pipe. Workers exit when it closes: by `stop`, or
    because this process was killed, after which an ordinary pool would wait for work forever.
    """

    def __init__(self, jobs: int) -> None:
        context = multiprocessing.get_context("spawn")
        reader, self._leash = context.Pipe(duplex=False)
        self._pool = ProcessPoolExecutor(
            jobs, mp_context=context, initializer=_serve, initargs=(reader,)
        )

    def submit(self, *call: Any) -> Future[Any]:
        """As `Executor.submit`."""
        # Submitting may start a worker, which must ignore Ctrl-C from its first moment.
        with _ctrl_c_held():
            return self._pool.submit(*call)

    def finish(self) -> None:
        """Let the workers end once their work is done."""
        self._pool.shutdown(wait=True)
        self._leash.close()

    def stop(self) -> None:
        """End the workers at once, whatever they are doing."""
        # Waiting work is not cancelled: a pool whose workers die raises on cancelled work, with a
        # traceback (Python 3.11), while waiting work just fails with it.
        self._leash.close()
        self._pool.shutdown(wait=True)


def _serve(leash: Connection) -> None:
    """Set up a worker process."""
    # Ctrl-C reaches the whole group of processes; the parent decides what it means.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_when_let_go, args=(leash,), daemon=True).start()


def _leave_when_let_go(leash: Connection) -> None:
    with contextlib.suppress(EOFError, OSError):
        leash.recv_bytes()
    os._exit(1)


@contextlib.contextmanager
def _ctrl_c_held() -> Iterator[None]:
    """Delay Ctrl-C; a new process inherits that it is blocked."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
