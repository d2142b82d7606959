"""Compiled copies of plain functions, kept on disk.

Rules and kernels are ordinary Python. `compiled` makes a copy of a function in which every plain
function it calls is replaced by a compiled one, and hands it to numba; the text itself stays as it
is, so it can be read, stepped through and tested. No fast-math: a compiled function gives the bits
of its text.

The compiled code is kept in a folder whose name is a digest of all that decides it: every source
of `sim`, for rules those of `policies` too, the versions of numba, numpy and Python, and the
processor. Where that folder cannot be written (a read-only home), it is compiled anew each time. So
are rules from anywhere else, which may call what no digest covers; their indices are checked.
"""

from __future__ import annotations

import contextlib
import dis
import hashlib
import os
import sys
import tempfile
import types
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

OFF = "STALLWISE_COMPILE"  # set to 0 to play everything as plain text
FOLDER = "STALLWISE_CACHE"  # where compiled code is kept, if not in the user's cache folder

# Instructions of Python from which a function is long: compiled code calls it, and has shorter ones
# written out, which takes a fifth less time to play and a tenth more to compile.
_LONG = 220

_HOME = Path(__file__).resolve().parent.parent
_made: dict[Any, Any] = {}
_modules: dict[str, Any] = {}
_filled: set[str] = set()  # the names of functions made from a template
_written_out: set[Any] = set()  # functions whose code is written out where they are called
_written_for_numba: dict[Any, Callable[[], Any]] = {}  # what stands for a function in compiled code


def wanted() -> bool:
    """Whether ensembles are played compiled; the environment can say no."""
    return os.environ.get(OFF, "1") != "0"


def _sources(rules: bool) -> Iterable[Path]:
    for package in ("sim", "policies") if rules else ("sim",):
        yield from sorted((_HOME / package).rglob("*.py"))


@cache
def sources_digest(rules: bool = True) -> str:
    """Digest of the text that compiled code is made of: of `sim` alone, or of `policies` too."""
    digest = hashlib.sha256()
    for path in _sources(rules):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def folder(rules: bool = True) -> Path | None:
    """The folder of the compiled code, made if need be; None where none can be written."""
    home = os.environ.get(FOLDER) or os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return _folder(sources_digest(rules), Path(home))


@cache
def _folder(sources: str, home: Path) -> Path | None:
    import llvmlite.binding as llvm
    import numba
    import numpy

    about = (
        sources,
        numba.__version__,
        numpy.__version__,
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


def is_first() -> bool:
    """Whether the game is about to be compiled here for the first time; what is kept decides."""
    kept = folder(rules=False)
    return wanted() and (kept is None or next(kept.rglob("*.nbi"), None) is None)


def _user() -> str:
    return str(os.getuid()) if hasattr(os, "getuid") else os.environ.get("USERNAME", "user")


def compiled(function: Callable[..., Any]) -> Any:
    """The compiled copy of a plain function, to be called from Python; its callees are compiled too."""
    return _once(function, inner=False)


def inner(function: Callable[..., Any]) -> Any:
    """The same, to be called from compiled code alone, which spares what Python needs to call it."""
    return _once(function, inner=True)


def write_out(*functions: Callable[..., Any]) -> None:
    """Have the code of long functions written out where compiled code calls them, as that of short ones.

    For what is called in one place only: the compiler does not know that there is no other place, and
    hands dozens of numbers over one by one.
    """
    _written_out.update(functions)


def _is_written_out(function: Callable[..., Any]) -> bool:
    return function in _written_out or len(list(dis.get_instructions(function.__code__))) < _LONG


def _once(function: Callable[..., Any], *, inner: bool) -> Any:
    if (function, inner) not in _made:
        written_out = inner and _is_written_out(function)
        _made[function, inner] = _njit(_twin(function), inner=inner, written_out=written_out)
    return _made[function, inner]


def _njit(
    function: types.FunctionType,
    signature: Any = None,
    *,
    keep: bool = True,
    inner: bool = False,
    written_out: bool = False,
) -> Any:
    from numba import njit
    from numba.core import config

    for make in _written_for_numba.values():
        make()  # before anything is compiled: numba takes no new ones on the way
    kept = folder(rules=not function.__module__.startswith("sim.") or function.__name__ in _filled)
    keep = keep and kept is not None and is_ours(function)
    if keep and kept is not None:
        # apart, since numba does not tell code for Python from code for compiled code alone
        where = kept / "inner" if inner else kept
        config.CACHE_DIR = str(where)  # type: ignore[attr-defined]
    options: dict[str, Any] = {"cache": keep, "nogil": True, "error_model": "numpy"}
    options["boundscheck"] = not is_ours(function)
    options["no_cpython_wrapper"], options["no_cfunc_wrapper"] = inner, True
    options["forceinline"] = written_out
    if signature is None:
        made = njit(function, **options)
        return _whatever_the_constants(made) if inner else made
    with one_at_a_time() if keep else contextlib.nullcontext():
        return njit(signature, **options)(function)


def _whatever_the_constants(made: Any) -> Any:
    """The same compiled function, compiled once for all numbers of a kind.

    Left alone, numba compiles a function anew for each constant that some caller passes: the normal
    draw thirteen times, a third of all that it compiles.
    """
    from numba.core import types as kinds

    ask = made.get_call_template

    def without_constants(args: Any, kws: Any) -> Any:
        return ask(
            tuple(kinds.unliteral(kind) for kind in args),
            {name: kinds.unliteral(kind) for name, kind in kws.items()},
        )

    made.get_call_template = without_constants
    return made


@contextlib.contextmanager
def one_at_a_time() -> Iterator[None]:
    """Wait until no other process compiles: what it has compiled is then found in the folder.

    Otherwise each worker of the first study would compile the whole game for itself, at the same time.
    """
    kept = folder(rules=False)
    if fcntl is None or kept is None:
        yield
        return
    with open(kept / "compiling.lock", "ab") as lock:
        with contextlib.suppress(OSError):  # A file system without locks: each for itself.
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield  # The lock ends with the file, or with the process.


def _twin(function: Callable[..., Any], extra: dict[str, Any] | None = None) -> types.FunctionType:
    """A copy of a plain function whose globals are compiled when they are asked for."""
    if not isinstance(function, types.FunctionType):
        raise TypeError(f"{function!r} is not a plain function")
    scope = _Scope(function.__globals__, extra or {})
    twin = types.FunctionType(
        function.__code__, scope, function.__name__, function.__defaults__, function.__closure__
    )
    twin.__kwdefaults__ = function.__kwdefaults__
    twin.__qualname__, twin.__module__ = function.__qualname__, function.__module__
    return twin


class _Scope(dict[str, Any]):
    """The globals of a compiled copy. Code found in the folder asks for none of them."""

    def __init__(self, plain: dict[str, Any], extra: dict[str, Any]) -> None:
        super().__init__({"__name__": plain["__name__"], "__builtins__": __builtins__, **extra})
        self._plain = plain

    def __missing__(self, name: str) -> Any:
        self[name] = found = _counterpart(self._plain[name])
        return found


def _counterpart(value: Any) -> Any:
    """What a global of a plain function is in its compiled copy."""
    if isinstance(value, types.FunctionType):
        return _written_for_numba[value]() if value in _written_for_numba else inner(value)
    if isinstance(value, types.ModuleType) and value.__name__.startswith(("sim.", "policies.")):
        return _modules.setdefault(value.__name__, _CompiledModule(value))
    return value


class _CompiledModule(types.ModuleType):
    """A module whose functions are compiled when they are asked for."""

    def __init__(self, module: types.ModuleType) -> None:
        super().__init__(module.__name__)
        self._module = module

    def __getattr__(self, name: str) -> Any:
        return _counterpart(getattr(self.__dict__["_module"], name))


def compiled_rule(
    name: str, template: Callable[..., Any], fill: dict[str, Any], signature: Any, *, keep: bool
) -> Any:
    """A function made from a template whose globals are filled in: one for every rule.

    `name` tells its compiled code from that of the other rules in the folder; `keep` says whether
    it may be kept there at all.
    """
    twin = _twin(template, fill)
    twin.__name__ = twin.__qualname__ = name
    _filled.add(name)
    return _njit(twin, signature, keep=keep, inner=True)


def address(made: Any) -> int:
    """Where the code of a function of one signature stands, for `call_by_address`."""
    (found,) = made.overloads.values()
    return int(found.library.get_pointer_to_function(found.fndesc.llvm_func_name))


def call_by_address(function: Callable[..., Any], signature: Callable[[], Any]) -> None:
    """Have compiled code take `function(f, ...)` as a call of the compiled function at address f.

    numba's own functions as values do the same at three times the cost: each is a record that is
    fetched from a list, counted, and asked in which of two ways it is to be called.

    Parameters
    ----------
    function : plain, of two or four further arguments. signature : of the function at the address.
    """
    _written_for_numba[function] = cache(
        lambda: _caller(function.__code__.co_argcount, signature())
    )


def _caller(count: int, signature: Any) -> Any:
    from numba import types as kinds
    from numba.core import cgutils
    from numba.extending import intrinsic

    def write(context: Any, builder: Any, _: Any, args: Any) -> Any:
        kind = context.call_conv.get_function_type(signature.return_type, signature.args)
        pointer = builder.inttoptr(args[0], kind.as_pointer())
        status, given = context.call_conv.call_function(
            builder, pointer, signature.return_type, signature.args, args[1:]
        )
        with cgutils.if_unlikely(builder, status.is_error):
            context.call_conv.return_status_propagate(builder, status)
        return given

    typed = signature.return_type(kinds.int64, *signature.args)
    if count == 3:

        def with_two(typing: Any, f: Any, one: Any, two: Any) -> Any:
            return typed, write

        return intrinsic(with_two)

    def with_four(typing: Any, f: Any, one: Any, two: Any, three: Any, four: Any) -> Any:
        return typed, write

    return intrinsic(with_four)


@cache
def _ours() -> frozenset[Path]:
    return frozenset(path.resolve() for path in _sources(True))


def is_ours(function: Callable[..., Any]) -> bool:
    """Whether the text of a function is covered by `sources_digest`, so that it may be kept."""
    return Path(function.__code__.co_filename).resolve() in _ours()
