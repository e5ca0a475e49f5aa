"""Traces device equations into an expression graph, differentiates it and writes it out as straight-line code.

Equal subexpressions are one node, so that a value and all its derivatives share their work.  A quotient is a product
with a reciprocal: derivatives divide by the same things again and again, and a division costs as much as ten products.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Key = tuple[Any, ...]


@dataclass(slots=True)
class Graph:
    """The nodes of one device's equations; a node is (operation, operands…)."""

    nodes: list[Key] = field(default_factory=list)
    known: dict[Key, int] = field(default_factory=dict)
    slopes: dict[tuple[int, int], "Expression"] = field(default_factory=dict)

    def node(self, *key: Any) -> "Expression":
        """The expression for this operation, new or found again."""
        index = self.known.get(key)
        if index is None:
            index = len(self.nodes)
            self.nodes.append(key)
            self.known[key] = index
        return Expression(self, index)

    def constant(self, value: float) -> "Expression":
        """A number."""
        return self.node("constant", float(value))

    def variable(self, name: str) -> "Expression":
        """A named input."""
        return self.node("variable", name)


@dataclass(frozen=True, slots=True)
class Expression:
    """One node of a graph, with arithmetic."""

    graph: Graph
    index: int

    @property
    def key(self) -> Key:
        """Operation and operands."""
        return self.graph.nodes[self.index]

    def number(self) -> float | None:
        """Its value if it is a constant."""
        return self.key[1] if self.key[0] == "constant" else None

    def _lift(self, other: "Expression | float") -> "Expression":
        return other if isinstance(other, Expression) else self.graph.constant(other)

    def __add__(self, other: "Expression | float") -> "Expression":
        other = self._lift(other)
        a, b = self.number(), other.number()
        if a is not None and b is not None:
            return self.graph.constant(a + b)
        if a == 0.0:
            return other
        if b == 0.0:
            return self
        if other.key[0] == "negative":
            return self - Expression(self.graph, other.key[1])
        first, second = sorted((self.index, other.index))
        return self.graph.node("add", first, second)

    def __sub__(self, other: "Expression | float") -> "Expression":
        other = self._lift(other)
        a, b = self.number(), other.number()
        if a is not None and b is not None:
            return self.graph.constant(a - b)
        if b == 0.0:
            return self
        if a == 0.0:
            return -other
        if self.index == other.index:
            return self.graph.constant(0.0)
        if other.key[0] == "negative":
            return self + Expression(self.graph, other.key[1])
        return self.graph.node("subtract", self.index, other.index)

    def __mul__(self, other: "Expression | float") -> "Expression":
        other = self._lift(other)
        a, b = self.number(), other.number()
        if a is not None and b is not None:
            return self.graph.constant(a * b)
        if a == 0.0 or b == 0.0:
            return self.graph.constant(0.0)
        if a == 1.0:
            return other
        if b == 1.0:
            return self
        if a == -1.0:
            return -other
        if b == -1.0:
            return -self
        first, second = sorted((self.index, other.index))
        return self.graph.node("multiply", first, second)

    def __truediv__(self, other: "Expression | float") -> "Expression":
        other = self._lift(other)
        a, b = self.number(), other.number()
        if a is not None and b is not None:
            return self.graph.constant(a / b)
        if a == 0.0:
            return self
        if b is not None:
            return self * (1.0 / b)
        return self * self.graph.node("reciprocal", other.index)

    def __neg__(self) -> "Expression":
        value = self.number()
        if value is not None:
            return self.graph.constant(-value)
        if self.key[0] == "negative":
            return Expression(self.graph, self.key[1])
        return self.graph.node("negative", self.index)

    __radd__ = __add__
    __rmul__ = __mul__

    def __rsub__(self, other: float) -> "Expression":
        return self._lift(other) - self

    def __rtruediv__(self, other: float) -> "Expression":
        return self._lift(other) / self


class Tracing:
    """The mathematics namespace of expressions."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph

    def _lift(self, x: Expression | float) -> Expression:
        return x if isinstance(x, Expression) else self.graph.constant(x)

    def _function(self, name: str, x: Expression | float) -> Expression:
        lifted = self._lift(x)
        value = lifted.number()
        if value is not None:
            return self.graph.constant(getattr(math, name)(value))
        return self.graph.node(name, lifted.index)

    def exp(self, x: Expression) -> Expression:
        return self._function("exp", x)

    def log(self, x: Expression) -> Expression:
        return self._function("log", x)

    def log1p(self, x: Expression) -> Expression:
        return self._function("log1p", x)

    def sqrt(self, x: Expression) -> Expression:
        return self._function("sqrt", x)

    def tanh(self, x: Expression) -> Expression:
        return self._function("tanh", x)

    def above(self, x: Expression, limit: Expression | float) -> Expression:
        return self.graph.node("above", self._lift(x).index, self._lift(limit).index)

    def choose(self, condition: Expression, yes: Expression | float, no: Expression | float) -> Expression:
        first, second = self._lift(yes), self._lift(no)
        if first.index == second.index:
            return first
        return self.graph.node("choose", condition.index, first.index, second.index)

    def with_slope(self, value: Expression, x: Expression, slope: Expression) -> Expression:
        return self.graph.node("with_slope", value.index, x.index, slope.index)


def derivative(expression: Expression, variable: Expression) -> Expression:
    """∂expression/∂variable, exactly, in the same graph."""
    graph = expression.graph
    found = graph.slopes.get((expression.index, variable.index))
    if found is None:
        found = _slope(expression, variable)
        graph.slopes[(expression.index, variable.index)] = found
    return found


def _slope(expression: Expression, variable: Expression) -> Expression:
    graph = expression.graph
    if expression.index == variable.index:
        return graph.constant(1.0)
    operation, *rest = expression.key
    if operation in ("constant", "variable", "above"):
        return graph.constant(0.0)
    if operation == "with_slope":
        return Expression(graph, rest[2]) * derivative(Expression(graph, rest[1]), variable)
    if operation == "choose":
        yes, no = (derivative(Expression(graph, index), variable) for index in rest[1:])
        return Tracing(graph).choose(Expression(graph, rest[0]), yes, no)
    operands = [Expression(graph, index) for index in rest]
    slopes = [derivative(operand, variable) for operand in operands]
    return _chain(expression, operation, operands, slopes)


def _chain(value: Expression, operation: str, u: Sequence[Expression], du: Sequence[Expression]) -> Expression:
    """The rule of each operation: value, operands u, their slopes du."""
    if operation == "add":
        return du[0] + du[1]
    if operation == "subtract":
        return du[0] - du[1]
    if operation == "multiply":
        return du[0] * u[1] + u[0] * du[1]
    if operation == "reciprocal":
        return -value * value * du[0]
    if operation == "negative":
        return -du[0]
    if operation == "exp":
        return value * du[0]
    if operation == "log":
        return du[0] / u[0]
    if operation == "log1p":
        return du[0] / (1.0 + u[0])
    if operation == "sqrt":
        return du[0] / (2.0 * value)
    if operation == "tanh":
        return (1.0 - value * value) * du[0]
    raise ValueError(f"no rule for {operation}")


WRITTEN = {
    "add": "{0} + {1}",
    "subtract": "{0} - {1}",
    "multiply": "{0} * {1}",
    "reciprocal": "1.0 / {0}",
    "negative": "-{0}",
    "exp": "exp({0})",
    "log": "log({0})",
    "log1p": "log1p({0})",
    "sqrt": "sqrt({0})",
    "tanh": "tanh({0})",
    "above": "{0} > {1}",
    "choose": "{1} if {0} else {2}",
    "with_slope": "{0}",
}


def straight_line(wanted: Iterable[Expression], written: Mapping[str, str] = WRITTEN) -> tuple[list[str], list[str]]:
    """Assignments that compute the wanted expressions, written in these words, and the name of each."""
    wanted = list(wanted)
    if not wanted:
        return [], []
    graph = wanted[0].graph
    needed: set[int] = set()
    todo = [expression.index for expression in wanted]
    while todo:
        index = todo.pop()
        if index not in needed:
            needed.add(index)
            todo.extend(_operands(graph.nodes[index]))
    lines = []
    for index in sorted(needed):
        operation = graph.nodes[index][0]
        if operation not in ("constant", "variable"):
            names = [_name(graph, operand) for operand in _operands(graph.nodes[index])]
            lines.append(f"t{index} = {written[operation].format(*names)}")
    return lines, [_name(graph, expression.index) for expression in wanted]


def _operands(key: Key) -> tuple[int, ...]:
    if key[0] in ("constant", "variable"):
        return ()
    return key[1:2] if key[0] == "with_slope" else key[1:]


def _name(graph: Graph, index: int) -> str:
    operation, *rest = graph.nodes[index]
    if operation == "constant":
        return repr(rest[0])
    return str(rest[0]) if operation == "variable" else f"t{index}"
