"""Machine code: kept on disk, loaded and called without the compiler that made it.

The compiler takes half a second to import and half a minute to compile the game, so its work is kept:
a file a function, in a folder whose name is a digest of all that decides it: every source of `sim`,
for rules those of `policies` too, the versions of numba, numpy and Python, and the processor. Where
that folder cannot be written (a read-only home), all is compiled anew by each process. So are rules
from anywhere else, which may call what no digest covers.
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
from typing import Any, NamedTuple

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
TAKEN_FROM_C = {"numba_frexp": "frexp", "sqrt": "sqrt"}

_HOME = Path(__file__).resolve().parent.parent
_engines: list[Any] = []  # they own the code that was loaded
_in_this_process = threading.RLock()
_holding: list[Any] = []  # the lock against other processes, while it is held


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
    """Whether ensembles are played compiled; the environment can say no."""
    return os.environ.get(OFF, "1") != "0"


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


@cache
def _our_files() -> frozenset[Path]:
    return frozenset(path.resolve() for path in _sources(True))


def is_ours(function: Callable[..., Any]) -> bool:
    """Whether the text of a function is covered by `sources_digest`, so that its code may be kept."""
    return Path(function.__code__.co_filename).resolve() in _our_files()


def folder(rules: bool = True) -> Path | None:
    """The folder of the machine code, made if need be; None where none can be written."""
    home = os.environ.get(FOLDER) or os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return _folder(sources_digest(rules), Path(home))


@cache
def _folder(sources: str, home: Path) -> Path | None:
    import llvmlite.binding as llvm

    about = (
        sources,
        version("numba"),
        version("llvmlite"),
        np.__version__,
        sys.version,
        llvm.get_host_cpu_name(),
        str(llvm.get_host_cpu_features().flatten()),
    )
    key = hashlib.sha256("\n".join(about).encode()).hexdigest()[:20]
    for base in (home / "stallwise", Path(tempfile.gettempdir()) / f"stallwise-{_user()}"):
        where = base / key
        try:
            where.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=where):
                return where
        except OSError:
            continue
    return None


def _user() -> str:
    return str(os.getuid()) if hasattr(os, "getuid") else os.environ.get("USERNAME", "user")


def is_first() -> bool:
    """Whether the game is about to be compiled here for the first time; what is kept decides."""
    kept = folder(rules=False)
    return wanted() and (kept is None or next(kept.glob("*" + SUFFIX), None) is None)


@contextlib.contextmanager
def one_at_a_time() -> Iterator[None]:
    """Wait until no other process compiles: what it has compiled is then found in the folder.

    Otherwise each worker of the first study would compile the whole game for itself, at the same time.
    """
    kept = folder(rules=False)
    with _in_this_process:
        if fcntl is None or kept is None or _holding:
            yield
            return
        with open(kept / "compiling.lock", "ab") as lock:
            with contextlib.suppress(OSError):  # A file system without locks: each for itself.
                fcntl.flock(lock, fcntl.LOCK_EX)
            _holding.append(lock)
            try:
                yield
            finally:
                _holding.clear()  # The lock ends with the file, or with the process.


def kept_bytes(path: Path, make: Callable[[], bytes]) -> None:
    """Have a file with what `make` gives, made by whichever process comes first."""
    if path.exists():
        return
    with one_at_a_time():
        if not path.exists():
            part = path.with_name(f"{path.name}.{os.getpid()}")
            part.write_bytes(make())
            os.replace(part, path)


def address_of(name: str, build: Callable[[], Code], *, rules: bool) -> int:
    """Where the machine code of one of our functions stands: taken from the folder, or built.

    Parameters
    ----------
    name : tells its code from all other. rules : whether it hangs on the text of `policies`, too.

    Raises
    ------
    NotImplementedError : it calls what is at hand only where the compiler is.
    """
    kept = folder(rules)
    if kept is None:
        return loaded(build())

    def made() -> bytes:
        symbol, code, outside = build()
        if outside - TAKEN_FROM_C.keys():
            raise NotImplementedError(f"{name} calls {', '.join(sorted(outside))}")
        return symbol.encode() + b"\n" + code

    path = kept / (name + SUFFIX)
    kept_bytes(path, made)
    symbol, _, code = path.read_bytes().partition(b"\n")
    return loaded(Code(symbol.decode(), code))


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
    return kind(*(arguments or ()))  # type: ignore[no-any-return]
