"""The crowbar: a Zener diode that fires a thyristor across the output, and the fuse that has to end what follows.

Until it fires, the gate resistor keeps the Zener diode's leakage out of the gate; when it is to fire, the Zener diode
carries the gate's current and the resistor's.
"""

from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula

V_trip = Annotated[float, Symbol("V_trip", "V", "output voltage at which the crowbar fires")]
V_Z = Annotated[float, Symbol("V_Z", "V", "Zener voltage at its test current")]
Z_Z = Annotated[float, Symbol("Z_Z", "Ω", "differential resistance of the Zener diode at its test current")]
I_ZT = Annotated[float, Symbol("I_ZT", "A", "test current of the Zener diode")]
I_ZM = Annotated[float, Symbol("I_ZM", "A", "greatest steady current of the Zener diode")]
I_R = Annotated[float, Symbol("I_R", "A", "leakage of the Zener diode below its knee")]
I_G = Annotated[float, Symbol("I_G", "A", "gate current at which the thyristor fires")]
I_GT = Annotated[float, Symbol("I_GT", "A", "gate current that fires every device")]
V_G = Annotated[float, Symbol("V_G", "V", "gate voltage at which the thyristor fires")]
V_GT = Annotated[float, Symbol("V_GT", "V", "gate voltage at which every device fires")]
V_GD = Annotated[float, Symbol("V_GD", "V", "gate voltage that fires no device, hot")]
R_G = Annotated[float, Symbol("R_G", "Ω", "gate resistor, from gate to cathode")]
k_Z = Annotated[float, Symbol("k_Z", "V/K", "change of the Zener voltage with temperature")]
c_Z = Annotated[float, Symbol("c_Z", "1/K", "how much more a Zener voltage moves for each volt of it")]
V_0 = Annotated[float, Symbol("V_0", "V", "Zener voltage of which the line says that it stands still")]
V_IN = Annotated[float, Symbol("V_I,max", "V", "greatest input voltage")]
R_F = Annotated[float, Symbol("R_F", "Ω", "resistance of the feed")]
I_P = Annotated[float, Symbol("I_p", "A", "current that would flow if nothing ended it")]
I_L = Annotated[float, Symbol("I_O,max", "A", "greatest load current")]
I_N = Annotated[float, Symbol("I_N", "A", "rated current of the fuse")]
share = Annotated[float, Symbol("s", "1", "share of its rated current that a fuse carries for hours")]
J_T = Annotated[float, Symbol("J_T", "A²s", "Joule integral that the thyristor bears")]
J_C = Annotated[float, Symbol("J_C", "A²s", "Joule integral of the capacitor's discharge")]
t_F = Annotated[float, Symbol("t_F", "s", "time within which the fuse has to open")]
C = Annotated[float, Symbol("C", "F", "capacitor across the output")]
R_D = Annotated[float, Symbol("R_D", "Ω", "resistance of the discharge")]
W_C = Annotated[float, Symbol("W_C", "J", "energy in the capacitor")]
J_P = Annotated[float, Symbol("J", "A²s", "Joule integral of a pulse")]
tau = Annotated[float, Symbol("τ", "s", "time constant of the pulse")]


@formula(
    "V_trip = V_Z + Z_Z·(I_G + V_G / R_G − I_ZT) + V_G",
    validity="voltage rising slowly; a fast rise overshoots by what it gains in the microseconds of the turn-on",
    source="derived",
)
def trip_voltage(
    *, zener_voltage: V_Z, zener_resistance: Z_Z, gate_current: I_G, gate_voltage: V_G, gate_resistance: R_G,
    test_current: I_ZT,
) -> V_trip:  # fmt: skip
    """Output voltage at which the crowbar fires [V]."""
    through = gate_current + gate_voltage / gate_resistance
    return zener_voltage + zener_resistance * (through - test_current) + gate_voltage


@formula("k_Z = c_Z·(V_Z − V_0)", validity="line through the printed coefficients of one maker's series; 6.8 V to 30 V",
         source="Jingheng-1N957")  # fmt: skip
def zener_drift(*, slope: c_Z, zener_voltage: V_Z, steady_voltage: V_0) -> k_Z:
    """How the Zener voltage moves with temperature [V/K]."""
    return slope * (zener_voltage - steady_voltage)


@formula("R_G = V_GT / (I_ZT − I_GT)", validity="the Zener diode then fires at its test current", source="derived")
def crowbar_resistor(*, gate_voltage: V_GT, test_current: I_ZT, gate_current: I_GT) -> R_G:
    """Gate resistor with which the Zener diode carries its test current when the thyristor fires [Ω]."""
    if test_current <= gate_current:
        raise NoSolution("the gate takes more than the Zener diode's test current; a more sensitive thyristor helps")
    return gate_voltage / (test_current - gate_current)


@formula("R_G = V_GT / (I_ZM − I_GT)", validity="voltage held right at the brink of firing", source="derived")
def least_crowbar_resistor(*, gate_voltage: V_GT, greatest_current: I_ZM, gate_current: I_GT) -> R_G:
    """Least gate resistor that does not overload the Zener diode [Ω]."""
    if greatest_current <= gate_current:
        raise NoSolution("the gate takes more than the Zener diode bears; a more sensitive thyristor helps")
    return gate_voltage / (greatest_current - gate_current)


@formula("R_G = V_GD / I_R", validity="leakage as printed at 25 °C; hot it is more", source="derived")
def most_crowbar_resistor(*, gate_voltage: V_GD, leakage: I_R) -> R_G:
    """Greatest gate resistor with which the Zener diode's leakage fires nothing [Ω]."""
    return gate_voltage / leakage


@formula("I_p = V_I,max / R_F", validity="pass device and thyristor as shorts", source="derived")
def prospective_current(*, input_voltage: V_IN, feed_resistance: R_F) -> I_P:
    """Current that the feed drives into a fired crowbar until the fuse opens [A]."""
    return input_voltage / feed_resistance


@formula("I_N = I_O,max / s", validity="s = 0.75", source="common-practice")
def fuse_current(*, full_load: I_L, used_share: share) -> I_N:
    """Rated current of a fuse that carries the load for hours [A]."""
    return full_load / used_share


@formula("t_F = J_T / I_p^2", validity="current of one size throughout",
         source="Littelfuse-fuses")  # fmt: skip
def clearing_time(*, joule_integral: J_T, prospective: I_P) -> t_F:
    """Time within which the fuse has to open to spare the thyristor [s]."""
    return joule_integral / prospective**2


@formula("J = I_p^2·τ / 2", validity="exponential decay", source="Littelfuse-fuses")
def exponential_joule_integral(*, peak: I_P, time_constant: tau) -> J_P:
    """Joule integral of a current that dies away exponentially [A²s]."""
    return peak**2 * time_constant / 2.0


@formula(
    "J_C = C·V_trip^2 / (2·R_D)", validity="exponential decay, I_p = V_trip / R_D and τ = R_D·C", source="derived"
)
def discharge_joule_integral(*, capacitance: C, trip: V_trip, resistance: R_D) -> J_C:
    """Joule integral of the output capacitor's discharge through the thyristor [A²s]."""
    return exponential_joule_integral(peak=trip / resistance, time_constant=resistance * capacitance)


@formula("W_C = C·V_trip^2 / 2", validity="constant capacitance", source="derived")
def stored_energy(*, capacitance: C, trip: V_trip) -> W_C:
    """Energy that the output capacitor gives into the thyristor [J]."""
    return capacitance * trip**2 / 2.0
