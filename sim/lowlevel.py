"""What has another form in compiled code: calls by address, and tables on the stack.

Each is an ordinary function for the plain text, and has its compiled form registered beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from sim.compiling import replace


def blank(rows: int, columns: int) -> Any:
    """An empty table (rows, columns) for the reckoning of one call; compiled, on the stack.

    Both are constants. Nothing may keep the table: it is gone with the call, and compiled, each
    place in the text has one table a call, which a loop comes back to as it was left.
    """
    return np.empty((rows, columns))


def call_by_address(function: Callable[..., Any], signature: Callable[[], Any]) -> None:
    """Have compiled code take `function(f, ...)` as a call of the compiled function at address f.

    numba's own functions as values do the same at three times the cost: each is a record that is
    fetched from a list, counted, and asked in which of two ways it is to be called.

    Parameters
    ----------
    function : plain, of two or four further arguments. signature : of the function at the address.
    """
    replace(function, lambda: _caller(function.__code__.co_argcount, signature()))


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


def _blank_on_the_stack() -> Any:
    from llvmlite import ir
    from numba import types as kinds
    from numba.core import cgutils
    from numba.extending import intrinsic
    from numba.np.arrayobj import make_array, populate_array

    kind = kinds.Array(kinds.float64, 2, "C")
    size = 8

    @intrinsic(prefer_literal=True)  # type: ignore[untyped-decorator]
    def made(typing: Any, rows: Any, columns: Any) -> Any:
        high, wide = rows.literal_value, columns.literal_value

        def write(context: Any, builder: Any, _: Any, args: Any) -> Any:
            def number(value: int) -> Any:
                return context.get_constant(kinds.intp, value)

            place = cgutils.alloca_once(builder, ir.ArrayType(ir.DoubleType(), high * wide))
            array = make_array(kind)(context, builder)
            populate_array(
                array,
                data=builder.bitcast(place, ir.DoubleType().as_pointer()),
                shape=(number(high), number(wide)),
                strides=(number(size * wide), number(size)),
                itemsize=number(size),
                meminfo=None,
            )
            return array._getvalue()

        return kind(rows, columns), write

    return made


replace(blank, _blank_on_the_stack)
