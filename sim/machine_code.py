"""Machine code: kept on disk, loaded and called without the compiler that made it.

The compiler takes half a second to import and half a minute to compile the game, so its work is kept:
a file a function, in a folder whose name is a digest of all that decides it: every source of `sim`,
for rules those of `policies` too, the versions of numba, numpy and Python, what the environment tells
numba, and the processor. Where that folder cannot be written (a read-only home, a full disk), all is
compiled anew by each process. So are rules from anywhere else, which may call what no digest covers,
and everything if a source was changed since it was imported.
"""

from __future__ import annotations

import contextlib
import ctypes
import ctypes.util
import hashlib
import os
import sys
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

import numpy as np

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

OFF = "STALLWISE_COMPILE"  # set to 0 to play everything as plain text
FOLDER = "STALLWISE_CACHE"  # where machine code is kept, if not in the user's cache folder
SUFFIX = ".code"
# What our machine code calls that is not in it, as numba and the C library name it. Anything else would
# be a call of nothing, since the compiler need not be at hand.
TAKEN_FROM_C = {"numba_frexp": "frexp", "sqrt": "sqrt", "floor": "floor", "ceil": "ceil"}
ASKS = "numba_gil_release"  # called by code that asks Python for something, which it cannot here

_HOME = Path(__file__).resolve().parent.parent
_engines: list[Any] = []  # they own the code that was loaded
_in_this_process = threading.RLock()
_holding: list[Any] = []  # the lock against other processes, while it is held
T = TypeVar("T")


class Code(NamedTuple):
    """The machine code of one function.

    Attributes
    ----------
    symbol : its name there. code : the object code, with all that it calls of ours. outside : the names
        of what it calls besides.
    """

    symbol: str
    code: bytes
    outside: frozenset[str] = frozenset()


def wanted() -> bool:
    """Whether ensembles are played compiled; the environment can say no, to us or to numba."""
    return os.environ.get(OFF, "1") != "0" and os.environ.get("NUMBA_DISABLE_JIT", "0") in ("", "0")


def _sources(rules: bool) -> Iterable[Path]:
    for package in ("sim", "policies") if rules else ("sim",):
        yield from sorted((_HOME / package).rglob("*.py"))
        yield from sorted((_HOME / package).rglob("*.npz"))


@cache
def sources_digest(rules: bool = True) -> str:
    """Digest of what machine code is made of: of `sim` with its flights, or of `policies` too."""
    digest = hashlib.sha256()
    for path in _sources(rules):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def _dates() -> list[tuple[str, int]]:
    return [(str(path), path.stat().st_mtime_ns) for path in _sources(True)]


_as_imported = _dates()


@cache
def _is_as_imported() -> bool:
    """Whether the files are still those that this process runs: no upgrade under an open notebook.

    Machine code of another text would be kept for, or played with, records of another layout.
    """
    return _dates() == _as_imported


@cache
def _our_files() -> frozenset[Path]:
    return frozenset(path.resolve() for path in _sources(True))


def is_ours(written: Callable[..., Any] | type) -> bool:
    """Whether the text of a function or class is covered by `sources_digest`: its code may be kept."""
    if isinstance(written, type):
        file = getattr(sys.modules.get(written.__module__), "__file__", None)
    else:
        file = written.__code__.co_filename
    return file is not None and Path(file).resolve() in _our_files()


def folder(rules: bool = True) -> Path | None:
    """The folder of the machine code, made if need be; None where none can be written."""
    home = os.environ.get(FOLDER) or os.environ.get("XDG_CACHE_HOME") or "~/.cache"
    path = os.path.expanduser(home)
    base = None if path.startswith("~") else Path(path).absolute() / "stallwise"  # ~: has no home
    return _folder(sources_digest(rules), base) if _is_as_imported() else None


@cache
def _folder(sources: str, base: Path | None) -> Path | None:
    import llvmlite.binding as llvm

    about = (
        sources,
        version("numba"),
        version("llvmlite"),
        np.__version__,
        sys.version,
        *sorted(f"{name}={told}" for name, told in os.environ.items() if name.startswith("NUMBA_")),
        llvm.get_process_triple(),
        llvm.get_host_cpu_name(),
        str(llvm.get_host_cpu_features().flatten()),
    )
    key = hashlib.sha256("\n".join(about).encode()).hexdigest()[:20]
    for place in (lambda: base, _temporary):
        with contextlib.suppress(OSError):
            found = place()
            if found is not None:
                (found / key).mkdir(parents=True, exist_ok=True)
                with tempfile.TemporaryFile(dir=found / key):
                    return found / key
    return None


def _temporary() -> Path | None:
    """A folder of this user alone among the temporary ones, where anybody could lay machine code."""
    user = str(os.getuid()) if hasattr(os, "getuid") else os.environ.get("USERNAME", "user")
    base = Path(tempfile.gettempdir()) / f"stallwise-{user}"
    base.mkdir(mode=0o700, exist_ok=True)
    about = base.lstat()
    mine = not hasattr(os, "getuid") or (about.st_uid == os.getuid() and not about.st_mode & 0o022)
    return base if mine else None


def is_first() -> bool:
    """Whether the game is about to be compiled here for the first time; what is kept decides."""
    where = folder(rules=False)
    return wanted() and (where is None or next(where.glob("*" + SUFFIX), None) is None)


@contextlib.contextmanager
def one_at_a_time() -> Iterator[None]:
    """Wait until no other process compiles: what it has compiled is then found in the folder.

    Otherwise each worker of the first study would compile the whole game for itself, at the same time.
    """
    with _in_this_process, contextlib.ExitStack() as held:
        where = folder(rules=False)
        if fcntl is not None and where is not None and not _holding:
            # Without locks there, or without the folder by now: each for itself.
            with contextlib.suppress(OSError):
                lock = held.enter_context(open(where / "compiling.lock", "ab"))
                fcntl.flock(lock, fcntl.LOCK_EX)
                # Said, since a process forked meanwhile has the same file open.
                held.callback(fcntl.flock, lock, fcntl.LOCK_UN)
                _holding.append(lock)
                held.callback(_holding.clear)
        yield


def kept_or_made(
    path: Path | None,
    read: Callable[[Path], T],
    make: Callable[[], T],
    content: Callable[[T], bytes],
) -> T:
    """What a file holds, made by whichever process comes first.

    Parameters
    ----------
    path : None where nothing can be kept. read : raises OSError or ValueError if the file is missing or
        damaged; then it is made anew. make : what is given back where the file cannot be written.
    """
    if path is None:
        with _in_this_process:
            return make()
    with contextlib.suppress(OSError, ValueError):
        return read(path)
    with one_at_a_time():
        with contextlib.suppress(OSError, ValueError):
            return read(path)
        made = make()
        with contextlib.suppress(OSError, ValueError):
            _write(path, content(made))
            return read(path)  # what all others have
        return made


def _write(path: Path, content: bytes) -> None:
    """Write a file that is there whole or not at all, whatever happens on the way."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        with open(part, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def address_of(name: str, build: Callable[[], Code], *, rules: bool, keep: bool) -> int:
    """Where the machine code of a function stands: taken from the folder, or built.

    Parameters
    ----------
    name : tells its code from all other. rules : whether it hangs on the text of `policies`, too.
    keep : whether that, and `sim`, is all it hangs on, so that it may be kept.

    Raises
    ------
    NotImplementedError : it calls what is not at hand, or, if it is kept, not without the compiler.
    """
    where = folder(rules) if keep else None

    def made() -> Code:
        code = build()
        lacks = {one for one in code.outside - TAKEN_FROM_C.keys() if where or not _is_at_hand(one)}
        if lacks:
            names = ", ".join(sorted("Python, as print does" if s == ASKS else s for s in lacks))
            raise NotImplementedError(f"compiled code cannot call {names}")
        return code

    return loaded(kept_or_made(where and where / (name + SUFFIX), _read, made, _content))


def _is_at_hand(name: str) -> bool:
    """Whether code may call what has this name; else it would call the address 0, or wait forever."""
    import llvmlite.binding as llvm

    return name != ASKS and llvm.address_of_symbol(name) is not None


def _content(made: Code) -> bytes:
    content = made.symbol.encode() + b"\n" + made.code
    return hashlib.sha256(content).hexdigest().encode() + b"\n" + content


def _read(path: Path) -> Code:
    digest, _, content = path.read_bytes().partition(b"\n")
    if hashlib.sha256(content).hexdigest().encode() != digest:
        raise ValueError(f"{path} is damaged")
    symbol, _, code = content.partition(b"\n")
    return Code(symbol.decode(), code)


def loaded(made: Code) -> int:
    """The address of a function, its machine code taken into this process."""
    import llvmlite.binding as llvm

    _get_ready()
    machine = llvm.Target.from_triple(llvm.get_process_triple()).create_target_machine(
        opt=3, jit=True
    )
    engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), machine)
    engine.add_object_file(llvm.ObjectFileRef.from_data(made.code))
    engine.finalize_object()
    _engines.append(engine)
    return int(engine.get_function_address(made.symbol))


@cache
def _get_ready() -> None:
    import llvmlite.binding as llvm

    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    library = ctypes.CDLL("msvcrt" if os.name == "nt" else ctypes.util.find_library("m"))
    for name, ours in TAKEN_FROM_C.items():
        if llvm.address_of_symbol(name) is None:  # The compiler has its own.
            llvm.add_symbol(name, ctypes.cast(getattr(library, ours), ctypes.c_void_p).value)


def call(address: int, *arrays: np.ndarray) -> None:
    """Call machine code of C-contiguous arrays that returns nothing, by the convention of numba.

    A status is given back; the result and the error go where the first two arguments point to. An
    array is handed over as two owners (none here), its number of items, their size, the data, its
    shape and its strides.

    Raises
    ------
    whatever the code raises : only rules from elsewhere check anything.
    """
    words: list[int] = []
    for array in arrays:
        if not array.flags.c_contiguous:
            raise ValueError("machine code takes C-contiguous arrays alone")
        words += (0, 0, array.size, array.itemsize, array.ctypes.data, *array.shape, *array.strides)
    result, error = ctypes.c_void_p(), ctypes.POINTER(_Error)()
    if _function(address, len(words))(ctypes.byref(result), ctypes.byref(error), *words) != 0:
        raise _raised(error.contents)


@cache
def _function(address: int, words: int) -> Any:
    given = (ctypes.c_void_p, ctypes.c_void_p, *(ctypes.c_ssize_t,) * words)
    return ctypes.CFUNCTYPE(ctypes.c_int32, *given)(address)


class _Error(ctypes.Structure):
    """What numba's code leaves of an error: its pickled class, arguments and line."""

    _fields_ = (
        ("pickled", ctypes.c_void_p),
        ("size", ctypes.c_int32),
        ("hashed", ctypes.c_void_p),
        ("unused", ctypes.c_void_p),
        ("count", ctypes.c_int32),
    )


def _raised(error: _Error) -> Exception:
    from numba import cloudpickle

    kind, arguments, _ = cloudpickle.loads(ctypes.string_at(error.pickled, error.size))
    # What was known only as it happened stands there as a type of the compiler's.
    known = [each for each in arguments or () if type(each).__module__ == "builtins"]
    return kind(*known)  # type: ignore[no-any-return]
