"""What a formula is made of: numbers, letters, sums, products, ratios.  Order is kept as it is to be read."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number."""

    value: float


@dataclass(frozen=True, slots=True)
class Sign:
    """A letter."""

    name: str


@dataclass(frozen=True, slots=True)
class Sum:
    """Terms; a negative one is a product that begins with a negative number."""

    terms: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class Product:
    """Factors."""

    factors: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class Ratio:
    """One over the other."""

    over: "Expression"
    under: "Expression"


Expression = Number | Sign | Sum | Product | Ratio

ZERO, UNITY = Number(0.0), Number(1.0)


def added(*terms: Expression) -> Expression:
    """A sum, flat, without nothing in it; what is positive comes first."""
    flat: list[Expression] = []
    for term in terms:
        flat += term.terms if isinstance(term, Sum) else (term,)
    flat = [term for term in flat if term != ZERO]
    if not flat:
        return ZERO
    flat.sort(key=is_negative)
    return flat[0] if len(flat) == 1 else Sum(tuple(flat))


def multiplied(*factors: Expression) -> Expression:
    """A product, flat, its number in front; 1 vanishes, 0 stays alone."""
    number = 1.0
    flat: list[Expression] = []
    for factor in factors:
        for piece in factor.factors if isinstance(factor, Product) else (factor,):
            if isinstance(piece, Number):
                number *= piece.value
            elif isinstance(piece, Sum) and all(is_negative(term) for term in piece.terms):
                number, piece = -number, negative(piece)  # −(a + b) is read more easily than (−a − b)
                flat.append(piece)
            else:
                flat.append(piece)
    if number == 0.0:
        return ZERO
    if number != 1.0 or not flat:
        flat.insert(0, Number(number))
    return flat[0] if len(flat) == 1 else Product(tuple(flat))


def divided(over: Expression, under: Expression) -> Expression:
    """A ratio; over 1 it is what it was."""
    if under == UNITY or over == ZERO:
        return over
    if is_negative(over):
        return negative(divided(negative(over), under))
    return Ratio(over, under)


def negative(expression: Expression) -> Expression:
    """−expression."""
    if isinstance(expression, Sum):
        return added(*(negative(term) for term in expression.terms))
    return multiplied(Number(-1.0), expression)


def is_negative(expression: Expression) -> bool:
    """Whether it is written with a minus in front."""
    if isinstance(expression, Number):
        return expression.value < 0.0
    return (
        isinstance(expression, Product)
        and isinstance(expression.factors[0], Number)
        and expression.factors[0].value < 0.0
    )


def value(expression: Expression, numbers: Mapping[str, Any]) -> Any:
    """What it is worth; numbers may be floats, arrays or symbols."""
    match expression:
        case Number(number):
            return int(number) if number == int(number) else number
        case Sign(name):
            return numbers[name]
        case Sum(terms):
            result = value(terms[0], numbers)
            for term in terms[1:]:
                result = result + value(term, numbers)
            return result
        case Product(factors):
            result = value(factors[0], numbers)
            for factor in factors[1:]:
                result = result * value(factor, numbers)
            return result
        case Ratio(over, under):
            return value(over, numbers) / value(under, numbers)


def length(expression: Expression) -> int:
    """How long it is to read: its letters and numbers."""
    match expression:
        case Sum(parts) | Product(parts):
            return sum(length(part) for part in parts)
        case Ratio(over, under):
            return length(over) + length(under)
        case Number(number):
            return 0 if number == -1.0 else 1
    return 1


def names(expression: Expression) -> Iterator[str]:
    """Its letters, as often as they stand there."""
    match expression:
        case Sign(name):
            yield name
        case Sum(parts) | Product(parts):
            for part in parts:
                yield from names(part)
        case Ratio(over, under):
            yield from names(over)
            yield from names(under)


def put_for(expression: Expression, pieces: Mapping[str, Expression]) -> Expression:
    """Letters replaced by expressions."""
    match expression:
        case Sign(name):
            return pieces.get(name, expression)
        case Sum(terms):
            return added(*(put_for(term, pieces) for term in terms))
        case Product(factors):
            return multiplied(*(put_for(factor, pieces) for factor in factors))
        case Ratio(over, under):
            return divided(put_for(over, pieces), put_for(under, pieces))
    return expression
