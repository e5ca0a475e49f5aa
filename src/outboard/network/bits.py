"""The bits of a floating-point number, for elementary functions in compiled code."""

from typing import Any

from llvmlite import ir
from numba.core import types
from numba.extending import intrinsic


@intrinsic
def bits_of(typing_context: Any, x: Any) -> Any:
    """The 64 bits of a float as an integer."""

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.bitcast(arguments[0], ir.IntType(64))

    return types.int64(types.float64), code


@intrinsic
def float_of(typing_context: Any, bits: Any) -> Any:
    """The float that has these 64 bits."""

    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.bitcast(arguments[0], ir.DoubleType())

    return types.float64(types.int64), code
