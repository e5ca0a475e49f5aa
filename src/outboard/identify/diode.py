"""A diode's data sheet as parameters of the junction diode: rectifiers, Schottky, Zener diodes and suppressors.

Only the limit of the forward voltage is printed.  Usually a diode has 0.85 of it (default), at least three quarters; of
that the series resistance takes a part, which is larger in a Schottky diode.  Where the limit is printed hot only, the
saturation current goes back to 25 °C by the device's own law.
"""

import math
from dataclasses import dataclass
from types import MappingProxyType

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.devices.junction import temperature_exponent
from outboard.devices.mathematics import FLOATS
from outboard.identify.breakdown import breakdown
from outboard.identify.records import Identified, Spread, default, derived
from outboard.parts.records import Figure, PartType


@dataclass(frozen=True, slots=True)
class Junction:
    """Constants of one kind of junction, all defaults.

    shares   parts of the forward-voltage limit that junction and series resistance take at the test current
    """

    words: str
    emission: float
    bandgap: float
    exponent: float
    shares: dict[str, tuple[float, float]]


MOST_JUNCTION_VOLTAGE = 1.1
"""No junction takes more forward voltage [V] (default): what is printed beyond, at surge currents, is resistance."""

SILICON = Junction(
    "silicon rectifier", 1.8, 1.11, 3.0, {"least": (0.72, 0.03), "usual": (0.80, 0.05), "most": (0.90, 0.10)}
)
SCHOTTKY = Junction(
    "Schottky diode", 1.05, 0.69, 2.0, {"least": (0.55, 0.17), "usual": (0.60, 0.25), "most": (0.65, 0.35)}
)


def forward_limit(part_type: PartType) -> Figure | None:
    """The V_F row that the forward curve runs through: the loosest at 25 °C, else the loosest of all."""
    rows = [row for row in part_type.rows("VF") if row.most is not None and row.conditions.forward_current is not None]
    cold = [row for row in rows if row.conditions.temperature == REFERENCE_TEMPERATURE]
    return max(cold or rows, key=lambda row: row.most or 0.0, default=None)


def diode(part_type: PartType) -> Identified:
    """Parameters of a diode type; ValueError when no forward-voltage limit is printed."""
    row = forward_limit(part_type)
    if row is None or row.most is None or row.conditions.forward_current is None:
        raise ValueError(f"{part_type.name}: no limit of the forward voltage is printed")
    limit, current, temperature = row.most, row.conditions.forward_current, row.conditions.temperature
    kind = SCHOTTKY if part_type.junction == "Schottky" else SILICON
    growth = temperature_exponent(temperature, REFERENCE_TEMPERATURE, kind.exponent, kind.bandgap, FLOATS)

    def fields(end: str) -> tuple[float, float]:
        share, series = kind.shares[end]
        junction = min(share * limit, MOST_JUNCTION_VOLTAGE)
        drive = junction / (kind.emission * thermal_voltage(temperature)) + growth / kind.emission
        return current / math.exp(drive), ((share + series) * limit - junction) / current

    names = ("saturation_current", "series_resistance")
    usual = fields("usual")
    values = {
        **dict(zip(names, usual, strict=True)), "emission_coefficient": kind.emission, "bandgap_eV": kind.bandgap,
        "temperature_exponent": kind.exponent, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    origins = dict.fromkeys(values, default(kind.words))
    origins |= dict.fromkeys(names, default(f"0.85 of the limit of V_F of {part_type.name}"))
    words = f"V_F of {part_type.name} at {current:g} A"
    spreads = [Spread("forward voltage", names, fields("least"), fields("most"),
                      (default(f"three quarters of the limit of {words}"), derived(row, "most", words)))]  # fmt: skip
    undecided = {"reverse leakage": "the junction law's reverse current is far below the printed limits of I_R"}
    found = breakdown(part_type)
    if found is not None:
        values |= found.values
        origins |= found.origins
        spreads.append(found.spread)
        undecided["breakdown drift"] = f"no drift of the breakdown voltage of {part_type.name} is printed"
    elif part_type.junction == "Zener":
        undecided["breakdown voltage"] = f"no breakdown voltage of {part_type.name} is printed; is it a whole family?"
    return Identified(MappingProxyType(values), MappingProxyType(origins), tuple(spreads), (),
                      MappingProxyType(undecided))  # fmt: skip
