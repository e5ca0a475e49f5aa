"""A result in the form that says most: main term first, composite gains with a name."""

from collections.abc import Mapping
from dataclasses import dataclass

from outboard.explain.expression import (
    UNITY,
    Expression,
    Number,
    Product,
    Ratio,
    Sign,
    Sum,
    added,
    divided,
    is_negative,
    multiplied,
    names,
    negative,
    value,
)
from outboard.explain.tidying import Poly, Tidy, weight

NEAR = 0.1
"""A driving letter counts as passing straight into the result when its factor is within this share of 1 or −1."""

TOGETHER = "gain of them together"

LONGER = 1.4
"""A form told from its main terms may be this much longer than the plain one."""


@dataclass(frozen=True, slots=True)
class Named:
    """An auxiliary quantity: its letter and what it stands for; one more than it, where that is a product."""

    name: str
    expression: Expression
    meaning: str
    one_more: tuple[Expression, ...] = ()


def told_from(all_over: Poly, all_under: Poly, tidy: Tidy, numbers: Mapping[str, float]) -> Expression:
    """main terms + (rest)/(under), where a voltage or current passes nearly whole into the result; else the plain form.
    """
    plain = tidy.ratio(all_over, all_under)
    under = _worth(all_under, tidy, numbers)
    result = value(plain, numbers)
    rest, mains = all_over, []
    for place in tidy.driving:
        coefficient = tidy.coefficient(all_over, place)
        factor = _worth(coefficient, tidy, numbers) / under if coefficient else 0.0
        for sign in (1, -1):
            passes = abs(factor - sign) < NEAR and (factor != sign or len(all_under) > 1)
            if coefficient and passes and abs(numbers[tidy.letters[place]]) < 3.0 * abs(result):
                mains.append(multiplied(Number(float(sign)), Sign(tidy.letters[place])))
                rest = rest - sign * all_under * tidy.ring.gens[place]
    if not mains or not rest:
        return plain
    if abs(float(value(added(*mains), numbers)) - result) > NEAR * abs(result):
        return plain
    told = added(*mains, tidy.ratio(rest, all_under))
    return told if weight(told)[0] <= LONGER * weight(plain)[0] else plain


def _worth(poly: Poly, tidy: Tidy, numbers: Mapping[str, float]) -> float:
    return float(value(tidy.written(poly), numbers))


def composite_gain(expression: Expression) -> Named | None:
    """The product of gains that stands beside a number in a denominator: 1 + h_FE1·(1 + h_FE2).

    Or what is one less than a denominator (1 + h_FE1)·(1 + h_FE2), emitter into base.
    """
    for under in _denominators(expression):
        for term in under.terms if isinstance(under, Sum) else ():
            inside = list(names(term))
            positive = isinstance(term, Product) and not is_negative(term)
            if positive and len(inside) > 1 and all(n.startswith("h_") for n in inside):
                return Named("h_FE", term, TOGETHER)
    for under in _denominators(expression):
        pair = [f for f in under.factors if _one_and_gain(f)] if isinstance(under, Product) else []
        if len(pair) == 2 and pair[0] != pair[1]:
            first, second = (next(names(factor)) for factor in pair)
            both = added(Sign(first), multiplied(Sign(second), pair[0]))
            return Named("h_FE", both, TOGETHER, tuple(pair))
    return None


def _one_and_gain(expression: Expression) -> bool:
    """1 + h_FE1 of one design."""
    match expression:
        case Sum((Number(1.0), Sign(name))):
            return name.startswith("h_") and not name.endswith("′")
    return False


def _denominators(expression: Expression) -> list[Expression]:
    match expression:
        case Ratio(over, under):
            return [under, *_denominators(over), *_denominators(under)]
        case Sum(parts) | Product(parts):
            return [found for part in parts for found in _denominators(part)]
    return []


def with_name(expression: Expression, named: Named) -> Expression:
    """The expression with an auxiliary quantity put in wherever its factors stand."""
    wanted = list(named.expression.factors) if isinstance(named.expression, Product) else [named.expression]
    probe = {name: 2.0 + 0.7 * i for i, name in enumerate(dict.fromkeys(names(named.expression)))}
    worth = value(named.expression, probe)

    def is_it(node: Sum) -> bool:
        return set(names(node)) == set(probe) and abs(value(node, probe) - worth) < 1e-12 * abs(worth)

    def replaced(node: Expression) -> Expression:
        match node:
            case Product(factors):
                left = list(factors)
                if named.one_more and all(factor in left for factor in named.one_more):
                    for factor in named.one_more:
                        left.remove(factor)
                    return multiplied(*(replaced(factor) for factor in left), added(UNITY, Sign(named.name)))
                if all(factor in left for factor in wanted):
                    for factor in wanted:
                        left.remove(factor)
                    return multiplied(*(replaced(factor) for factor in left), Sign(named.name))
                return multiplied(*(replaced(factor) for factor in factors))
            case Sum(terms):
                return Sign(named.name) if named.one_more and is_it(node) else added(*(replaced(t) for t in terms))
            case Ratio(over, under):
                return divided(replaced(over), replaced(under))
        return node

    return replaced(expression)


def lowest_terms(tidy: Tidy, expression: Expression) -> Expression:
    """The expression in lowest terms, grouped again: what a neglect leaves is written as short as it can be."""
    from sympy import ZZ
    from sympy.polys.fields import field

    _, *generators = field([str(symbol) for symbol in tidy.ring.symbols], ZZ)
    found = value(expression, dict(zip(tidy.letters, generators, strict=True)))
    over = tidy.ring.from_dict(dict(found.numer))
    under = tidy.ring.from_dict(dict(found.denom))
    short = tidy.ratio(over, under)
    return short if weight(short) < weight(expression) else expression


def cleaned(expression: Expression) -> Expression:
    """A ratio whose factors above and below cancel, written without them."""
    match expression:
        case Sum(terms):
            return added(*(cleaned(term) for term in terms))
        case Product(factors):
            return multiplied(*(cleaned(factor) for factor in factors))
        case Ratio(over, under):
            over, under = cleaned(over), cleaned(under)
            minus = is_negative(over)
            above = _factors(negative(over) if minus else over)
            below = _factors(under)
            for factor in list(above):
                if factor in below and not isinstance(factor, Number):
                    above.remove(factor)
                    below.remove(factor)
            short = divided(multiplied(*above), multiplied(*below))
            return negative(short) if minus else short
    return expression


def _factors(expression: Expression) -> list[Expression]:
    return list(expression.factors) if isinstance(expression, Product) else [expression]
