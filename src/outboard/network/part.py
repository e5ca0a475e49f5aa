"""One component of a circuit, as the network sees it: pins and numbers, nothing else."""

from collections.abc import Mapping
from dataclasses import dataclass, field

GROUND = "ground"
"""The reference net."""

AMBIENT = "ambient"
"""The thermal node at the temperature of the surroundings."""


@dataclass(frozen=True, slots=True)
class Heat:
    """Where a part's junction hands over its heat, and through which thermal resistance [K/W]."""

    to: str
    resistance: float


@dataclass(frozen=True, slots=True)
class Part:
    """A component: its kind, the nets its pins join, its parameters in SI (temperatures in kelvin)."""

    name: str
    kind: str
    pins: Mapping[str, str]
    values: Mapping[str, float] = field(default_factory=dict)
    polarity: str | None = None
    model: str | None = None
    heat: Heat | None = None
