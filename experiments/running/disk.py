"""Files written whole or not at all, and disk errors in plain words."""

from __future__ import annotations

import contextlib
import errno
import os
import uuid
from collections.abc import Iterable, Iterator
from pathlib import Path

from experiments.errors import StudyFolderError

try:
    import fcntl
except ImportError:  # Windows: two runs in one folder at once are then not noticed.
    fcntl = None  # type: ignore[assignment]

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_FORBIDDEN = (errno.EACCES, errno.EPERM, errno.EROFS)
_UNFINISHED = ".part"


def put(path: Path, data: bytes | Iterable[bytes]) -> None:
    """Write a file, at once or in pieces; it has its name only once all of it is on the disk.

    Raises
    ------
    StudyFolderError : if the disk does not take it; then nothing of it is left.
    """
    unfinished = path.with_name(f".{uuid.uuid4().hex}{_UNFINISHED}")
    with in_words(path.parent, "write in"):
        try:
            with open(unfinished, "xb") as file:
                file.writelines([data] if isinstance(data, bytes) else data)
                file.flush()
                os.fsync(file.fileno())
            os.replace(unfinished, path)
        except BaseException:
            with contextlib.suppress(OSError):
                unfinished.unlink(missing_ok=True)
            raise
        _settle(path.parent)


def sweep(folder: Path) -> None:
    """Remove what `put` left unfinished when it was killed."""
    with in_words(folder, "write in"):
        for left in folder.glob(f".*{_UNFINISHED}"):
            left.unlink()


@contextlib.contextmanager
def in_words(folder: Path, doing: str) -> Iterator[None]:
    """Turn an error of the operating system into one that says what to do about it."""
    try:
        yield
    except OSError as error:
        if error.errno in _FULL:
            raise StudyFolderError(
                f"the disk is full: cannot {doing} {folder}. What was kept before is safe; make "
                "room and run the same command again, it goes on from there"
            ) from error
        if error.errno in _FORBIDDEN:
            raise StudyFolderError(f"not allowed to {doing} {folder}") from error
        if error.errno in (errno.ENOTDIR, errno.EEXIST):
            raise StudyFolderError(
                f"cannot {doing} {folder}: a part of that path is a file, not a folder"
            ) from error
        why = (error.strerror or str(error)).lower()
        raise StudyFolderError(f"cannot {doing} {folder}: {why}") from error


def hold(folder: Path) -> int | None:
    """Lock a folder against other runs, until the returned descriptor is closed.

    The lock ends with the process, however it ends, so none is left behind.

    Raises
    ------
    StudyFolderError : if another run holds it.
    """
    if fcntl is None:
        return None
    with in_words(folder, "read"):
        lock = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(lock)
        raise StudyFolderError(f"another run is using {folder}; wait until it ends") from None
    except OSError:
        pass  # A file system without locks: go on, as without fcntl.
    return lock


def _settle(folder: Path) -> None:
    """Make a new directory entry survive a power cut."""
    if fcntl is None:
        return
    directory = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(directory)
    finally:
        os.close(directory)
