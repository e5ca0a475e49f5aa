"""How much of their ratings policies leave of what connects parts: fuses, connectors, wires in a bundle.

ECSS-Q-ST-30-11C (2021) and MIL-STD-975M (NASA, 1994; cancelled in 1998, of historical value), temperatures in kelvin.
"""

from typing import Annotated

from outboard.constants import ZERO_CELSIUS
from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import T_C, d

ECSS, MILITARY = "ECSS-Q-ST-30-11C", "MIL-STD-975M-parts"

KNEE, END = ZERO_CELSIUS + 85.0, ZERO_CELSIUS + 110.0
"""Up to where a fuse keeps its whole share, and from where on nothing is left [K]."""

SINGLE_WIRE = {
    30: 1.3, 28: 1.8, 26: 2.5, 24: 3.3, 22: 4.5, 20: 6.5, 18: 9.2, 16: 13.0, 14: 19.0, 12: 25.0, 10: 33.0, 8: 44.0,
    6: 60.0, 4: 81.0, 2: 108.0, 0: 147.0, -1: 169.0,
}  # fmt: skip
"""Gauge -> current that MIL-STD-975M allows a single wire with insulation for 200 °C [A]; −1 is 2/0."""

INSULATION = {200: 1.00, 150: 0.80, 135: 0.70, 105: 0.50}
"""Temperature of the insulation [°C] -> share of that current."""

I_n = Annotated[float, Symbol("I_n", "A", "rated current")]
I_src = Annotated[float, Symbol("I_src", "A", "current that the source must be able to give")]
I_all = Annotated[float, Symbol("I_all", "A", "current that the policy allows")]
I_1 = Annotated[float, Symbol("I_1", "A", "current that the policy allows a single wire")]
V_t = Annotated[float, Symbol("V_t", "V", "voltage that the connector withstands in its test")]
V_w = Annotated[float, Symbol("V_w", "V", "rated working voltage of the connector")]
V_all = Annotated[float, Symbol("V_all", "V", "voltage that the policy allows")]
T_max = Annotated[float, Symbol("T_max", "°C", "highest rated temperature")]
T_all = Annotated[float, Symbol("T_all", "°C", "highest temperature that the policy allows")]
cooler = Annotated[float, Symbol("ΔT", "K", "how far below its rating the policy keeps it")]
n_wires = Annotated[float, Symbol("n", "1", "wires in the bundle")]


@formula("d = min(0.65; 0.65 − 0.006·(T_C − 85))", validity="cermet fuses, case up to 110 °C; none above", source=ECSS)
def cermet_fuse_share(*, case_temperature: T_C) -> d:
    """Share of a cermet fuse's rated current that the policy leaves at a case temperature [1]."""
    if case_temperature > END:
        raise NoSolution("the policy allows a fuse no current above 110 °C at its case; a cooler place would do")
    return min(0.65, 0.65 - 0.15 / (END - KNEE) * (case_temperature - KNEE))


@formula("I_src = 3·I_n", validity="so that a fuse of that rating blows soon", source=ECSS)
def fuse_source_current(*, rated_current: I_n) -> I_src:
    """Current that the source of a fuse must be able to give [A]."""
    return 3.0 * rated_current


@formula("V_all = min(0.25·V_t; 0.75·V_w)", validity="connectors, at sea level", source=ECSS)
def connector_voltage(*, test_voltage: V_t, working_voltage: V_w) -> V_all:
    """Voltage that the policy allows between contacts of a connector [V]."""
    return min(0.25 * test_voltage, 0.75 * working_voltage)


@formula("I_all = 0.5·I_n", validity="each contact of a connector", source=ECSS)
def contact_current(*, rated_current: I_n) -> I_all:
    """Current that the policy allows a contact of a connector [A]."""
    return 0.5 * rated_current


@formula("T_all = T_max − ΔT", validity="connectors", source=ECSS)
def connector_temperature(*, rated_temperature: T_max, distance: cooler = 30.0) -> T_all:
    """Highest temperature that the policy allows a connector [K inside]."""
    return rated_temperature - distance


@formula(
    "I_all = I_1·max(0.5; (29 − n) / 28)",
    validity="one wire and more; the line between one wire and sixteen is inferred from a worked case of five",
    source=MILITARY,
)
def bundled_current(*, single: I_1, wires: n_wires) -> I_all:
    """Current that the policy allows each wire of a bundle [A]."""
    return single * max(0.5, (29.0 - wires) / 28.0)


def single_wire_current(gauge: int, insulation: int = 200) -> float:
    """Current that MIL-STD-975M allows a single wire [A], by gauge and temperature of the insulation [°C].

    ValueError for what its table has no row for.
    """
    if gauge not in SINGLE_WIRE or insulation not in INSULATION:
        raise ValueError(f"the policy has no row for AWG {gauge} with insulation for {insulation} °C")
    return SINGLE_WIRE[gauge] * INSULATION[insulation]
