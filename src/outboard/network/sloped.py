"""Arrays that carry their slopes along: whatever plain NumPy arithmetic does to them, it does to the slopes too.

A `Sloped` may be handed to device equations and to figures written for plain arrays.  An operation without a rule
raises TypeError; no slope is ever lost in silence.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Partials = Callable[[Sequence[Floats], Floats], Sequence[Floats]]
"""(operands, result) -> ∂result/∂operand, one for each operand."""

RULES: Mapping[np.ufunc, Partials] = {
    np.add: lambda x, y: (np.ones(1), np.ones(1)),
    np.subtract: lambda x, y: (np.ones(1), -np.ones(1)),
    np.multiply: lambda x, y: (x[1], x[0]),
    np.divide: lambda x, y: (1.0 / x[1], -y / x[1]),
    np.negative: lambda x, y: (-np.ones(1),),
    np.positive: lambda x, y: (np.ones(1),),
    np.absolute: lambda x, y: (np.sign(x[0]),),
    np.maximum: lambda x, y: (np.where(x[0] >= x[1], 1.0, 0.0), np.where(x[0] < x[1], 1.0, 0.0)),
    np.minimum: lambda x, y: (np.where(x[0] <= x[1], 1.0, 0.0), np.where(x[0] > x[1], 1.0, 0.0)),
    np.exp: lambda x, y: (y,),
    np.log: lambda x, y: (1.0 / x[0],),
    np.log1p: lambda x, y: (1.0 / (1.0 + x[0]),),
    np.sqrt: lambda x, y: (0.5 / y,),
    np.square: lambda x, y: (2.0 * x[0],),
    np.tanh: lambda x, y: (1.0 - y * y,),
}
"""At the bend of |x|, max and min the slope is that of one side."""

SLOPELESS = {
    np.greater, np.greater_equal, np.less, np.less_equal, np.equal, np.not_equal, np.isfinite, np.isnan, np.sign
}  # fmt: skip
"""What compares or asks answers with plain arrays."""


class Sloped(NDArrayOperatorsMixin):
    """values [...] and slopes [..., direction]; the slopes may be of a shape that broadcasts to that."""

    __slots__ = ("slopes", "values")

    def __init__(self, values: Floats, slopes: Floats) -> None:
        self.values = values
        self.slopes = slopes

    def __array__(self, *_: Any, **__: Any) -> Floats:
        raise TypeError("as a plain array it would lose its slopes")

    def __getitem__(self, places: Any) -> "Sloped":
        return Sloped(self.values[places], self.slopes[places])

    def sum(self, axis: int) -> "Sloped":
        """Sum along an axis, counted from the front."""
        if axis < 0:
            raise TypeError("an axis is counted from the front")
        return Sloped(self.values.sum(axis=axis), self.slopes.sum(axis=axis))

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **more: Any) -> Any:
        if method != "__call__" or more:
            return NotImplemented
        operands = [value_of(x) for x in inputs]
        if ufunc in SLOPELESS:
            return ufunc(*operands)
        if ufunc not in RULES:
            return NotImplemented
        result = ufunc(*operands)
        partials = RULES[ufunc](operands, result)
        terms = [
            np.asarray(partial)[..., None] * x.slopes
            for partial, x in zip(partials, inputs, strict=True)
            if isinstance(x, Sloped)
        ]
        return Sloped(result, sum(terms[1:], terms[0]))

    def __array_function__(self, function: Any, types: Any, args: Any, more: Any) -> Any:
        if function is np.where and len(args) == 3 and not more:
            return chosen(*args)
        if function is np.clip and len(args) == 3 and not more:
            return np.minimum(np.maximum(args[0], args[1]), args[2])
        return NotImplemented


def value_of(x: Any) -> Floats:
    """The values alone."""
    return x.values if isinstance(x, Sloped) else np.asarray(x)


def slope_of(x: Any) -> Floats:
    """The slopes alone; none for a plain number."""
    return x.slopes if isinstance(x, Sloped) else np.zeros(1)


def chosen(condition: Any, yes: Any, no: Any) -> Sloped:
    """One of two, value and slopes alike."""
    mask = np.asarray(condition)
    slopes = np.where(mask[..., None], slope_of(yes), slope_of(no))
    return Sloped(np.where(mask, value_of(yes), value_of(no)), slopes)


class SlopedMathematics:
    """The mathematics namespace for device equations over sloped arrays."""

    exp = staticmethod(np.exp)
    log = staticmethod(np.log)
    log1p = staticmethod(np.log1p)
    sqrt = staticmethod(np.sqrt)
    tanh = staticmethod(np.tanh)
    above = staticmethod(np.greater)
    choose = staticmethod(np.where)

    @staticmethod
    def with_slope(value: Any, x: Any, slope: Any) -> Any:
        """The value, with the slope that the device states."""
        if not isinstance(x, Sloped):
            return value_of(value)
        return Sloped(value_of(value), value_of(slope)[..., None] * x.slopes)


SLOPED = SlopedMathematics()
