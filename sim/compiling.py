"""Compiled copies of plain functions.

Rules and kernels are ordinary Python. `build` makes a copy of a function in which every plain
function it calls is replaced by a compiled one, and has numba make machine code of it
(`sim.machine_code` keeps it); the text itself stays as it is, so it can be read, stepped through and
tested. No fast-math: compiled code gives the bits of its text.
"""

from __future__ import annotations

import dis
import types
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from sim import machine_code
from sim.machine_code import Code, is_ours

# Instructions of Python from which a function is long: compiled code calls it, and has shorter ones
# written out, which takes a fifth less time to play and a tenth more to compile.
_LONG = 220

_inner: dict[Any, Any] = {}
_modules: dict[str, Any] = {}
_written_out: set[Any] = set()  # functions whose code is written out where they are called
_replaced: dict[Any, Callable[[], Any]] = {}  # what stands for a function in compiled code


def build(function: Callable[..., Any], signature: Any, fill: dict[str, Any] | None = None) -> Code:
    """The machine code of a function and all that it calls.

    `fill` gives further globals, for a template of which many functions are made.

    Raises
    ------
    numba.core.errors.NumbaError : the text cannot be compiled.
    """
    from numba import njit

    made = njit(signature, **_options(function))(twin(function, fill))
    (found,) = made.overloads.values()
    return Code(found.fndesc.llvm_func_name, *found.library.machine_code())


def entry(function: Callable[..., Any]) -> Callable[..., None]:
    """The compiled copy of a function of arrays that returns nothing, to be called.

    The arrays of all calls are of the same types and dimensions.
    """
    name = f"{function.__module__}.{function.__qualname__}"

    def called(*arrays: np.ndarray) -> None:
        if function not in _entries:
            _entries[function] = machine_code.address_of(
                name,
                lambda: build(function, _signature_of(arrays)),
                rules=False,
                keep=is_ours(function),
            )
        machine_code.call(_entries[function], *arrays)

    return called


_entries: dict[Any, int] = {}


def _signature_of(arrays: tuple[np.ndarray, ...]) -> Any:
    from numba import from_dtype, types

    return types.void(*(types.Array(from_dtype(a.dtype), a.ndim, "C") for a in arrays))


def inner(function: Callable[..., Any]) -> Any:
    """The compiled copy of a plain function, to be called from compiled code."""
    if function not in _inner:
        from numba import njit

        made = njit(twin(function), forceinline=_is_written_out(function), **_options(function))
        _inner[function] = _whatever_the_constants(made)
    return _inner[function]


def write_out(*functions: Callable[..., Any]) -> None:
    """Have the code of long functions written out where compiled code calls them, as that of short ones.

    For what is called in one place only: the compiler does not know that there is no other place, and
    hands dozens of numbers over one by one.
    """
    _written_out.update(functions)


def replace(function: Callable[..., Any], make: Callable[[], Any]) -> None:
    """Have compiled code take another function in the place of a plain one, made when first needed."""
    _replaced[function] = cache(make)


def _is_written_out(function: Callable[..., Any]) -> bool:
    return function in _written_out or len(list(dis.get_instructions(function.__code__))) < _LONG


def _options(function: Callable[..., Any]) -> dict[str, Any]:
    """What numba is told of our functions, and of those from elsewhere."""
    from sim.late_linking import LateLinking

    for make in _replaced.values():
        make()  # before anything is compiled: numba takes no new ones on the way
    ours = is_ours(function)
    return {
        "pipeline_class": LateLinking,
        "error_model": "numpy",
        "boundscheck": not ours,
        "_nrt": not ours,  # ours allocate nothing
        "no_cpython_wrapper": True,
        "no_cfunc_wrapper": True,
    }


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


def twin(function: Callable[..., Any], extra: dict[str, Any] | None = None) -> types.FunctionType:
    """A copy of a plain function whose globals are compiled when they are asked for."""
    if not isinstance(function, types.FunctionType):
        raise TypeError(f"{function!r} is not a plain function")
    scope = _Scope(function.__globals__, extra or {})
    copy = types.FunctionType(
        function.__code__, scope, function.__name__, function.__defaults__, function.__closure__
    )
    copy.__kwdefaults__ = function.__kwdefaults__
    copy.__qualname__, copy.__module__ = function.__qualname__, function.__module__
    return copy


class _Scope(dict[str, Any]):
    """The globals of a compiled copy."""

    def __init__(self, plain: dict[str, Any], extra: dict[str, Any]) -> None:
        super().__init__({"__name__": plain["__name__"], "__builtins__": __builtins__, **extra})
        self._plain = plain

    def __missing__(self, name: str) -> Any:
        self[name] = found = _counterpart(self._plain[name])
        return found


def _counterpart(value: Any) -> Any:
    """What a global of a plain function is in its compiled copy."""
    if isinstance(value, types.FunctionType):
        return _replaced[value]() if value in _replaced else inner(value)
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
