"""How much of a fuse's and of a capacitor's rating one policy leaves, over temperature.

Figures of MIL-STD-975M (NASA, 1994; cancelled in 1998, of historical value), temperatures in kelvin.
"""

from dataclasses import dataclass
from typing import Annotated

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.formulas.formula import Symbol, formula
from outboard.formulas.vocabulary import T, d

SOURCE = "MIL-STD-975M-parts"

d_25 = Annotated[float, Symbol("d_25", "1", "share of a fuse's rated current at 25 °C")]

FUSES = ((2.0, 15.0, 0.50), (1.0, 1.5, 0.45), (0.5, 0.75, 0.40), (0.375, 0.375, 0.35), (0.25, 0.25, 0.30),
         (0.125, 0.125, 0.25))  # fmt: skip
"""Rated currents from and to [A], and the share of them that may flow at 25 °C."""

PER_KELVIN = 0.005
"""What a fuse's share loses per kelvin above 25 °C; inferred from the worked case of the standard, not printed."""


@dataclass(frozen=True, slots=True)
class CapacitorPolicy:
    """Share of rated voltage at falling steps: pairs of temperature [K] and share, straight lines between.

    remark  what of it is not from the source
    """

    styles: str
    steps: tuple[tuple[float, float], ...]
    source: str = SOURCE
    remark: str = ""


def _steps(*steps: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """Steps with temperatures in °C."""
    return tuple((ZERO_CELSIUS + celsius, share) for celsius, share in steps)


CAPACITORS = (
    CapacitorPolicy("CCR, CKR, CKS, CDR ceramic", _steps((110, 0.60))),
    CapacitorPolicy("CYR glass", _steps((110, 0.50))),
    CapacitorPolicy("CRH, CHS film", _steps((85, 0.60))),
    CapacitorPolicy("CLR25, CLR27, CLR35, CLR37 tantalum foil", _steps((70, 0.50))),
    CapacitorPolicy("CSR solid tantalum", _steps((70, 0.50), (90, 0.40), (110, 0.30))),
    CapacitorPolicy("CLR79 wet tantalum", _steps((70, 0.60), (90, 0.50), (110, 0.40))),
    CapacitorPolicy(
        "CSS, CWR solid tantalum", _steps((70, 0.50), (90, 0.40), (110, 0.30)),
        remark="ends of the line taken from CSR; the source at hand gives 0.50 when cool and 0.40 at 90 °C",
    ),
    CapacitorPolicy(
        "CLR81 wet tantalum", _steps((70, 0.60), (90, 0.50), (110, 0.40)),
        remark="ends of the line taken from CLR79; the source at hand gives 0.60 when cool and 0.50 at 90 °C",
    ),
)  # fmt: skip


@formula("d = max(0; d_25 − 0.005·max(0; T − 25))", validity="0.125 A to 15 A; never below nothing", source=SOURCE)
def fuse_share_at(*, share: d_25, temperature: T) -> d:
    """Share of a fuse's rated current that the policy leaves at a temperature [1]."""
    return max(0.0, share - PER_KELVIN * max(0.0, temperature - REFERENCE_TEMPERATURE))


def fuse_share(rated: float) -> float:
    """Share of a fuse's rated current [A] that the policy leaves at 25 °C; ValueError for one between the rows."""
    for low, high, share in FUSES:
        if low <= rated <= high:
            return share
    raise ValueError(f"the policy has no row for a fuse of {rated:g} A")


def capacitor_share(policy: CapacitorPolicy, temperature: float) -> float:
    """Share of a capacitor's rated voltage that the policy leaves at a temperature [K]; nothing past its last step."""
    (first, share), *_ = policy.steps
    if temperature <= first:
        return share
    for (low, before), (high, after) in zip(policy.steps, policy.steps[1:], strict=False):
        if temperature <= high:
            return before + (after - before) * (temperature - low) / (high - low)
    return 0.0
