"""Eight numbers that compiled code handles as one: a vector of lanes, with the arithmetic that the kernels use.

A loop over eight lanes costs more in bookkeeping than in arithmetic; these types become one or two instructions each.
Only compiled code knows them: `load` and `store` move them between flat arrays [number, lane] and registers.
Comparisons give a `Mask`, lane by lane, that `choose` and `any_of` read.
"""

import operator
from collections.abc import Callable
from typing import Any

from llvmlite import ir
from numba.core import cgutils, types
from numba.core.typing.templates import AbstractTemplate, infer_global, signature
from numba.extending import intrinsic, lower_builtin, models, register_model

from outboard.network.tables import WIDTH

CONTRACT = ("contract",)
"""A product and a sum may be rounded once instead of twice, as everywhere in the kernels."""

DOUBLES = ir.VectorType(ir.DoubleType(), WIDTH)
BITS = ir.VectorType(ir.IntType(1), WIDTH)


class VectorType(types.Type):
    """Numba's type of eight floats, one a lane."""

    def __init__(self) -> None:
        super().__init__(name="Vector")


class MaskType(types.Type):
    """Numba's type of eight truth values, one a lane."""

    def __init__(self) -> None:
        super().__init__(name="Mask")


VECTOR, MASK = VectorType(), MaskType()


@register_model(VectorType)
class VectorModel(models.PrimitiveModel):
    """Held in a register of floats."""

    def __init__(self, manager: Any, kind: Any) -> None:
        super().__init__(manager, kind, DOUBLES)


@register_model(MaskType)
class MaskModel(models.PrimitiveModel):
    """Held in a register of bits."""

    def __init__(self, manager: Any, kind: Any) -> None:
        super().__init__(manager, kind, BITS)


def _spread_out(builder: Any, number: Any) -> Any:
    """The same number in every lane."""
    one = builder.insert_element(ir.Constant(DOUBLES, ir.Undefined), number, ir.Constant(ir.IntType(32), 0))
    nowhere = ir.Constant(ir.VectorType(ir.IntType(32), WIDTH), [0] * WIDTH)
    return builder.shuffle_vector(one, ir.Constant(DOUBLES, ir.Undefined), nowhere)


def _as_vector(context: Any, builder: Any, value: Any, kind: Any) -> Any:
    return value if isinstance(kind, VectorType) else _spread_out(
        builder, context.cast(builder, value, kind, types.float64)
    )  # fmt: skip


def _operation(symbol: Callable[..., Any], result: Any, code: Callable[[Any, Any, Any], Any]) -> None:
    """One operator for vector and vector, vector and number, number and vector."""

    @infer_global(symbol)
    class Typing(AbstractTemplate):
        """Which operands the operator takes."""

        def generic(self, arguments: Any, keywords: Any) -> Any:
            if len(arguments) == 2 and any(isinstance(kind, VectorType) for kind in arguments) and all(
                isinstance(kind, (VectorType, types.Number)) for kind in arguments
            ):
                kinds = [kind if isinstance(kind, VectorType) else types.float64 for kind in arguments]
                return signature(result, *kinds)
            return None

    for kinds in ((VectorType, VectorType), (VectorType, types.Float), (types.Float, VectorType)):

        @lower_builtin(symbol, *kinds)
        def lowered(context: Any, builder: Any, found: Any, operands: Any) -> Any:
            return code(builder, *(_as_vector(context, builder, value, kind)
                                   for value, kind in zip(operands, found.args, strict=True)))  # fmt: skip


_operation(operator.add, VECTOR, lambda builder, a, b: builder.fadd(a, b, flags=CONTRACT))
_operation(operator.sub, VECTOR, lambda builder, a, b: builder.fsub(a, b, flags=CONTRACT))
_operation(operator.mul, VECTOR, lambda builder, a, b: builder.fmul(a, b, flags=CONTRACT))
_operation(operator.truediv, VECTOR, lambda builder, a, b: builder.fdiv(a, b, flags=CONTRACT))
_operation(operator.lt, MASK, lambda builder, a, b: builder.fcmp_ordered("<", a, b))
_operation(operator.gt, MASK, lambda builder, a, b: builder.fcmp_ordered(">", a, b))
_operation(operator.le, MASK, lambda builder, a, b: builder.fcmp_ordered("<=", a, b))
_operation(operator.ge, MASK, lambda builder, a, b: builder.fcmp_ordered(">=", a, b))
_operation(operator.ne, MASK, lambda builder, a, b: builder.fcmp_unordered("!=", a, b))
_operation(operator.eq, MASK, lambda builder, a, b: builder.fcmp_ordered("==", a, b))


def _mask_operation(symbol: Callable[..., Any], code: Callable[[Any, Any, Any], Any]) -> None:
    @infer_global(symbol)
    class Typing(AbstractTemplate):
        """Masks with masks."""

        def generic(self, arguments: Any, keywords: Any) -> Any:
            if len(arguments) == 2 and all(isinstance(kind, MaskType) for kind in arguments):
                return signature(MASK, MASK, MASK)
            return None

    @lower_builtin(symbol, MaskType, MaskType)
    def lowered(context: Any, builder: Any, found: Any, operands: Any) -> Any:
        return code(builder, *operands)


_mask_operation(operator.and_, lambda builder, a, b: builder.and_(a, b))
_mask_operation(operator.or_, lambda builder, a, b: builder.or_(a, b))


@infer_global(operator.neg)
class NegativeTyping(AbstractTemplate):
    """The other sign."""

    def generic(self, arguments: Any, keywords: Any) -> Any:
        return signature(VECTOR, VECTOR) if isinstance(arguments[0], VectorType) else None


@lower_builtin(operator.neg, VectorType)
def negative(context: Any, builder: Any, found: Any, operands: Any) -> Any:
    """The other sign."""
    return builder.fneg(operands[0], flags=CONTRACT)


@infer_global(operator.invert)
class InvertTyping(AbstractTemplate):
    """Not, lane by lane."""

    def generic(self, arguments: Any, keywords: Any) -> Any:
        return signature(MASK, MASK) if isinstance(arguments[0], MaskType) else None


@lower_builtin(operator.invert, MaskType)
def inverted(context: Any, builder: Any, found: Any, operands: Any) -> Any:
    """Not, lane by lane."""
    return builder.not_(operands[0])


def _place(context: Any, builder: Any, array_type: Any, array: Any, start: Any) -> Any:
    """Pointer to the vector that begins at this number of a flat array."""
    data = context.make_array(array_type)(context, builder, array).data
    return builder.bitcast(builder.gep(data, [start]), DOUBLES.as_pointer())


def _on_bits(builder: Any, value: Any, *steps: tuple[str, int]) -> Any:
    """The bits of a vector after some integer operations, as floats again."""
    integers = ir.VectorType(ir.IntType(64), WIDTH)
    bits = builder.bitcast(value, integers)
    for step, number in steps:
        bits = getattr(builder, step)(bits, ir.Constant(integers, [number] * WIDTH))
    return builder.bitcast(bits, DOUBLES)


@intrinsic
def load(typing_context: Any, array: Any, start: Any) -> Any:
    """Eight numbers of a flat array, from number `start` on."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        return builder.load(_place(context, builder, found.args[0], *arguments), align=8)

    return VECTOR(array, types.uint64), code


@intrinsic
def store(typing_context: Any, array: Any, start: Any, value: Any) -> Any:
    """Puts eight numbers into a flat array, from number `start` on."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        array_value, place, vector = arguments
        builder.store(vector, _place(context, builder, found.args[0], array_value, place), align=8)
        return context.get_dummy_value()

    return types.none(array, types.uint64, VECTOR), code


@intrinsic
def spread(typing_context: Any, number: Any) -> Any:
    """The same number in every lane."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        return _spread_out(builder, arguments[0])

    return VECTOR(types.float64), code


@intrinsic
def choose(typing_context: Any, mask: Any, yes: Any, no: Any) -> Any:
    """Lane by lane the one where the mask is true, else the other."""
    kinds = [kind if isinstance(kind, VectorType) else types.float64 for kind in (yes, no)]

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        values = [_as_vector(context, builder, value, kind)
                  for value, kind in zip(arguments[1:], found.args[1:], strict=True)]  # fmt: skip
        return builder.select(arguments[0], *values)

    return VECTOR(MASK, *kinds), code


@intrinsic
def size_of(typing_context: Any, value: Any) -> Any:
    """Lane by lane without its sign."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        return _on_bits(builder, arguments[0], ("and_", 0x7FFFFFFFFFFFFFFF))

    return VECTOR(VECTOR), code


@intrinsic
def larger(typing_context: Any, one: Any, other: Any) -> Any:
    """Lane by lane the larger; the second where the first is no number."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        a, b = arguments
        return builder.select(builder.fcmp_ordered(">", a, b), a, b)

    return VECTOR(VECTOR, VECTOR), code


@intrinsic
def smaller(typing_context: Any, one: Any, other: Any) -> Any:
    """Lane by lane the smaller; the second where either is no number."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        a, b = arguments
        return builder.select(builder.fcmp_ordered("<", a, b), a, b)

    return VECTOR(VECTOR, VECTOR), code


@intrinsic
def any_of(typing_context: Any, mask: Any) -> Any:
    """Whether the mask is true in any lane."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        bits = builder.bitcast(arguments[0], ir.IntType(WIDTH))
        return builder.icmp_unsigned("!=", bits, ir.Constant(ir.IntType(WIDTH), 0))

    return types.boolean(MASK), code


@intrinsic
def root_of(typing_context: Any, value: Any) -> Any:
    """Lane by lane the square root."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        kind = ir.FunctionType(DOUBLES, [DOUBLES])
        root = cgutils.get_or_insert_function(builder.module, kind, f"llvm.sqrt.v{WIDTH}f64")
        return builder.call(root, arguments)

    return VECTOR(VECTOR), code


@intrinsic
def power_of_two(typing_context: Any, shifted: Any) -> Any:
    """2^k, where k stands in the low bits of k + 1.5·2^52."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        return _on_bits(builder, arguments[0], ("add", 1023), ("shl", 52))

    return VECTOR(VECTOR), code


@intrinsic
def mantissa_of(typing_context: Any, value: Any) -> Any:
    """A positive number without its power of two, from 1 up to 2."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        return _on_bits(builder, arguments[0], ("and_", 0x000FFFFFFFFFFFFF), ("or_", 0x3FF0000000000000))

    return VECTOR(VECTOR), code


@intrinsic
def exponent_of(typing_context: Any, value: Any) -> Any:
    """The power of two in a positive number, plus 2^52 + 1023."""

    def code(context: Any, builder: Any, found: Any, arguments: Any) -> Any:
        return _on_bits(builder, arguments[0], ("lshr", 52), ("or_", 0x4330000000000000))

    return VECTOR(VECTOR), code
