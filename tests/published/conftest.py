"""How near a printed figure must be met: half a unit of its last digit."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest


def within_print(figures: str, scale: float = 1.0) -> Any:
    """What equals a printed figure, "446" with scale 1e-3 for 446 mA; the tolerance comes from the digits alone."""
    last_digit = 10.0 ** int(Decimal(figures).as_tuple().exponent)
    rounding_of_floats = 1 + 1e-9
    return pytest.approx(float(figures) * scale, rel=0, abs=0.5 * last_digit * scale * rounding_of_floats)


@pytest.fixture
def printed() -> Callable[..., Any]:
    return within_print


@pytest.fixture
def exactly() -> Callable[..., Any]:
    """What equals a figure that is exact by arithmetic."""
    return lambda value: pytest.approx(value, rel=1e-6)
