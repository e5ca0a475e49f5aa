"""Bounds of a ratio of polynomials over a box, from Bernstein coefficients.

A polynomial in the box lies between its least and its greatest Bernstein coefficient; where those of the denominator
have one sign, the ratio lies between the least and the greatest ratio of coefficients.  At the corners of the box the
coefficients are values that occur.  Boxes are halved until bound and occurring value agree.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import comb, inf, prod
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MOST_COEFFICIENTS = 400_000
"""A box of more dimensions is not bounded."""

MOST_BOXES, MOST_WORK = 160, 1_500_000
"""Boxes at most, and coefficients of all of them together: a bound of many dimensions is not made as tight."""

AGREE = 0.02
"""Halving ends when the bound is within this share of a value that occurs."""


@dataclass(frozen=True, slots=True)
class Bound:
    """Largest size of a ratio less one over a box: `most` is never exceeded, `occurs` is met.

    `most` is infinite where the denominator passes zero; `proved` is False where the box has too many dimensions
    and only its corners were looked at.
    """

    most: float
    occurs: float
    proved: bool


@dataclass(frozen=True)
class _Polynomial:
    powers: NDArray[np.int64]
    factors: Floats


def bound_of_ratio(
    over: Any, under: Any, letters: Sequence[str], values: Mapping[str, float], box: Mapping[str, tuple[float, float]]
) -> Bound:
    """Bound of |over/under − 1| for elements of a polynomial ring whose generators are `letters`."""
    wide = [name for name in letters if name in box and box[name][1] > box[name][0]]
    varied = [name for name in wide if _uses(name, letters, over, under)]
    first, second = (_folded(poly, letters, values, varied) for poly in (over, under))
    degrees = [int(max(first.powers[:, j].max(), second.powers[:, j].max())) for j in range(len(varied))]
    ends = np.array([box[name] for name in varied]).reshape(-1, 2)
    if prod(degree + 1 for degree in degrees) > MOST_COEFFICIENTS:
        return _corners(first, second, ends)
    return _halved(first, second, degrees, ends)


def _uses(name: str, letters: Sequence[str], *polys: Any) -> bool:
    place = list(letters).index(name)
    return any(monomial[place] for poly in polys for monomial in poly.monoms())


def _folded(poly: Any, letters: Sequence[str], values: Mapping[str, float], varied: Sequence[str]) -> _Polynomial:
    """Letters that do not vary put in as numbers."""
    places = [list(letters).index(name) for name in varied]
    joined: dict[tuple[int, ...], float] = {}
    for monomial, number in poly.terms():
        factor = float(number)
        for i, power in enumerate(monomial):
            if power and i not in places:
                factor *= values[letters[i]] ** power
        key = tuple(monomial[i] for i in places)
        joined[key] = joined.get(key, 0.0) + factor
    if not joined:
        joined = {(0,) * len(places): 0.0}
    powers = np.array(list(joined), dtype=np.int64).reshape(len(joined), len(places))
    return _Polynomial(powers, np.array(list(joined.values())))


def _coefficients(poly: _Polynomial, degrees: Sequence[int], ends: Floats) -> Floats:
    """Bernstein coefficients over the box, one axis per letter."""
    if not degrees:
        return np.array(poly.factors.sum())
    tensor = np.zeros([degree + 1 for degree in degrees])
    np.add.at(tensor, tuple(poly.powers.T), poly.factors)
    for axis, degree in enumerate(degrees):
        tensor = np.moveaxis(np.tensordot(_change(degree, *ends[axis]), tensor, axes=(1, axis)), 0, axis)
    return tensor


def _change(degree: int, low: float, high: float) -> Floats:
    """Powers of x to Bernstein coefficients on [low, high]."""
    width = high - low
    shift, bernstein = np.zeros((degree + 1, degree + 1)), np.zeros((degree + 1, degree + 1))
    for k in range(degree + 1):
        for i in range(k + 1):
            shift[i, k] = comb(k, i) * low ** (k - i) * width**i
            bernstein[k, i] = comb(k, i) / comb(degree, i)
    return np.asarray(bernstein @ shift)


def _of_box(first: _Polynomial, second: _Polynomial, degrees: Sequence[int], ends: Floats) -> tuple[float, float]:
    """Bound and occurring value on one box; the bound is infinite where the denominator may pass zero."""
    over, under = _coefficients(first, degrees, ends), _coefficients(second, degrees, ends)
    corner = np.ix_(*([0, degree] for degree in degrees)) if degrees else ()
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.abs(over / under - 1.0)
    at_corners = off[corner]
    occurs = float(np.nanmax(at_corners)) if np.isfinite(at_corners).any() else inf
    one_sign = bool((under > 0.0).all() or (under < 0.0).all())
    return (float(off.max()) if one_sign else inf), occurs


def _halved(first: _Polynomial, second: _Polynomial, degrees: Sequence[int], ends: Floats) -> Bound:
    boxes = [(*_of_box(first, second, degrees, ends), ends)]
    occurs = boxes[0][1]
    for _ in range(min(MOST_BOXES, MOST_WORK // prod(degree + 1 for degree in degrees))):
        boxes.sort(key=lambda entry: entry[0])
        bound, _, worst = boxes[-1]
        if bound <= occurs * (1.0 + AGREE) + 1e-12 or not degrees:
            break
        boxes.pop()
        axis = int(np.argmax((worst[:, 1] - worst[:, 0]) / np.maximum(np.abs(worst).max(axis=1), 1e-300)))
        middle = worst[axis].mean()
        for low, high in ((worst[axis, 0], middle), (middle, worst[axis, 1])):
            half = worst.copy()
            half[axis] = low, high
            found = _of_box(first, second, degrees, half)
            occurs = max(occurs, found[1])
            boxes.append((*found, half))
    return Bound(max(bound for bound, _, _ in boxes), occurs, True)


def _corners(first: _Polynomial, second: _Polynomial, ends: Floats) -> Bound:
    """Only the corners, as many as there are up to 2¹², the first letters' first."""
    count = min(len(ends), 12)
    worst = 0.0
    for number in range(2**count):
        at = np.array([ends[j, (number >> j) & 1] if j < count else ends[j, 0] for j in range(len(ends))])
        above = float(np.sum(first.factors * np.prod(at**first.powers, axis=1)))
        below = float(np.sum(second.factors * np.prod(at**second.powers, axis=1)))
        worst = max(worst, abs(above / below - 1.0) if below else inf)
    return Bound(worst, worst, False)
