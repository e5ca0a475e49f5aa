"""Several lanes as one number: a value type of compiled code that is as many floats side by side as a step has lanes.

Kernels over it read like scalar ones, and every operation is one vector instruction (or two, where a processor's
vectors are shorter): no loop over lanes is left that a compiler would have to see through.  Arrays of lanes are flat,
[number, lane]; `lane` and `put` read and write the place of one number.  Lanes never look at each other, but for
`any_of`.
"""

import operator
from collections.abc import Callable
from itertools import product
from typing import Any

from llvmlite import ir
from numba.core import cgutils, types
from numba.core.typing.templates import ConcreteTemplate, infer_global, signature
from numba.extending import intrinsic, lower_builtin, models, register_model

WIDTH = 8
"""Lanes that are solved together: one vector of the widest processors."""

DOUBLES = ir.VectorType(ir.DoubleType(), WIDTH)
INTEGERS = ir.VectorType(ir.IntType(64), WIDTH)
BITS = ir.VectorType(ir.IntType(1), WIDTH)
BESIDE = 8
"""Alignment that may be counted on [byte]; arrays that begin at a multiple of 64 are quicker."""


class Numbers(types.Type):
    """A number in every lane."""


class Flags(types.Type):
    """Yes or no in every lane."""


NUMBERS, FLAGS = Numbers("Numbers"), Flags("Flags")
EITHER = (NUMBERS, types.float64)


def _modelled(kind: type, vector: Any) -> None:
    class Model(models.PrimitiveModel):
        def __init__(self, manager: Any, lanes: Any) -> None:
            super().__init__(manager, lanes, vector)

    register_model(kind)(Model)


_modelled(Numbers, DOUBLES)
_modelled(Flags, BITS)


def _every(builder: Any, value: Any, vector: Any = DOUBLES) -> Any:
    """The same scalar in every lane; a vector is left as it is."""
    if isinstance(value.type, ir.VectorType):
        return value
    first = builder.insert_element(ir.Constant(vector, ir.Undefined), value, ir.Constant(ir.IntType(32), 0))
    order = ir.Constant(ir.VectorType(ir.IntType(32), WIDTH), [0] * WIDTH)
    return builder.shuffle_vector(first, ir.Constant(vector, ir.Undefined), order)


def _operation(symbol: Any, result: Any, kinds: tuple[Any, ...], write: Callable[..., Any]) -> None:
    """Makes an operator work on lanes, mixed with floats where numbers are."""
    cases = [pair for pair in product(kinds, repeat=2) if pair != (types.float64, types.float64)]
    infer_global(symbol)(type("Lanes", (ConcreteTemplate,), {"cases": [signature(result, *pair) for pair in cases]}))

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        return write(builder, *(_every(builder, value) for value in arguments))

    for pair in cases:
        lower_builtin(symbol, *pair)(code)


def _opposite_of(symbol: Any, kind: Any, write: Callable[..., Any]) -> None:
    """Makes an operator of one operand work on lanes."""
    infer_global(symbol)(type("Lanes", (ConcreteTemplate,), {"cases": [signature(kind, kind)]}))
    lower_builtin(symbol, kind)(lambda context, builder, called, arguments: write(builder, arguments[0]))


ARITHMETIC = ((operator.add, "fadd"), (operator.sub, "fsub"), (operator.mul, "fmul"), (operator.truediv, "fdiv"))
COMPARISONS = ((operator.gt, ">"), (operator.lt, "<"), (operator.ge, ">="), (operator.le, "<="), (operator.eq, "=="))
for _symbol, _name in ARITHMETIC:
    _operation(_symbol, NUMBERS, EITHER, lambda builder, a, b, name=_name: getattr(builder, name)(a, b))
for _symbol, _text in COMPARISONS:
    _operation(_symbol, FLAGS, EITHER, lambda builder, a, b, text=_text: builder.fcmp_ordered(text, a, b))
_operation(operator.and_, FLAGS, (FLAGS,), lambda builder, a, b: builder.and_(a, b))
_operation(operator.or_, FLAGS, (FLAGS,), lambda builder, a, b: builder.or_(a, b))
_opposite_of(operator.neg, NUMBERS, lambda builder, a: builder.fneg(a))
_opposite_of(operator.invert, FLAGS, lambda builder, a: builder.not_(a))


def _pointer(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
    array = context.make_array(called.args[0])(context, builder, arguments[0])
    place = context.cast(builder, arguments[1], called.args[1], types.intp)
    return builder.gep(builder.bitcast(array.data, DOUBLES.as_pointer()), [place])


@intrinsic
def lane(typing_context: Any, array: Any, place: Any) -> Any:
    """The number at a place of an array of lanes."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        return builder.load(_pointer(context, builder, called, arguments), align=BESIDE)

    return NUMBERS(array, place), code


@intrinsic
def put(typing_context: Any, array: Any, place: Any, value: Any) -> Any:
    """Writes a number, or one float for all lanes, at a place of an array of lanes."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        builder.store(_every(builder, arguments[2]), _pointer(context, builder, called, arguments), align=BESIDE)
        return context.get_dummy_value()

    return types.none(array, place, NUMBERS if value == NUMBERS else types.float64), code


@intrinsic
def every(typing_context: Any, value: Any) -> Any:
    """One float in all lanes."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        return _every(builder, arguments[0])

    return NUMBERS(types.float64), code


@intrinsic
def choose(typing_context: Any, condition: Any, yes: Any, no: Any) -> Any:
    """In every lane one of two numbers."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        return builder.select(arguments[0], *(_every(builder, value) for value in arguments[1:]))

    kinds = (NUMBERS if value == NUMBERS else types.float64 for value in (yes, no))
    return NUMBERS(FLAGS, *kinds), code


@intrinsic
def any_of(typing_context: Any, flags: Any) -> Any:
    """True where it is so in some lane."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        together = builder.bitcast(arguments[0], ir.IntType(WIDTH))
        return builder.icmp_unsigned("!=", together, ir.Constant(ir.IntType(WIDTH), 0))

    return types.boolean(FLAGS), code


def _function(name: str) -> Any:
    """One of the processor's own functions of a number."""

    @intrinsic
    def function(typing_context: Any, x: Any) -> Any:
        def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
            kind = ir.FunctionType(DOUBLES, [DOUBLES])
            found = cgutils.get_or_insert_function(builder.module, kind, f"llvm.{name}.v{WIDTH}f64")
            return builder.call(found, arguments)

        return NUMBERS(NUMBERS), code

    return function


lane_sqrt = _function("sqrt")
size_of = _function("fabs")


@intrinsic
def power_of_two(typing_context: Any, shifted: Any) -> Any:
    """2^k, where k stands in the low bits of `shifted` = k + 1.5·2^52."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        bits = builder.add(builder.bitcast(arguments[0], INTEGERS), ir.Constant(INTEGERS, [1023] * WIDTH))
        return builder.bitcast(builder.shl(bits, ir.Constant(INTEGERS, [52] * WIDTH)), DOUBLES)

    return NUMBERS(NUMBERS), code


@intrinsic
def mantissa_of(typing_context: Any, x: Any) -> Any:
    """m of x = m·2^e, 1 ≤ m < 2, for positive normal numbers."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        kept = builder.and_(builder.bitcast(arguments[0], INTEGERS), ir.Constant(INTEGERS, [2**52 - 1] * WIDTH))
        return builder.bitcast(builder.or_(kept, ir.Constant(INTEGERS, [1023 << 52] * WIDTH)), DOUBLES)

    return NUMBERS(NUMBERS), code


@intrinsic
def exponent_of(typing_context: Any, x: Any) -> Any:
    """e of x = m·2^e, as a float."""

    def code(context: Any, builder: Any, called: Any, arguments: Any) -> Any:
        high = builder.lshr(builder.bitcast(arguments[0], INTEGERS), ir.Constant(INTEGERS, [52] * WIDTH))
        large = builder.bitcast(builder.or_(high, ir.Constant(INTEGERS, [1075 << 52] * WIDTH)), DOUBLES)
        return builder.fsub(large, ir.Constant(DOUBLES, [2.0**52 + 1023.0] * WIDTH))

    return NUMBERS(NUMBERS), code
