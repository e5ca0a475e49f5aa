"""From power to junction temperature: chains of thermal resistances and derating lines."""

from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import P_0, R_CS, R_JA, R_JC, R_SA, T_0, T_A, T_C, T_J, V_CE, D, P, R_th

P_all = Annotated[float, Symbol("P_all", "W", "power of all devices on the sink")]
T_hot = Annotated[float, Symbol("T_hot", "°C", "temperature of the hot end")]
T_cold = Annotated[float, Symbol("T_cold", "°C", "temperature of the cold end")]
I_th = Annotated[float, Symbol("I_th", "A", "current that the thermal limit allows")]
h_c = Annotated[float, Symbol("h_c", "W/(m²·K)", "contact conductance of the joint")]
area = Annotated[float, Symbol("A", "m²", "area")]
thickness = Annotated[float, Symbol("t", "m", "thickness")]
k = Annotated[float, Symbol("k", "W/(m·K)", "thermal conductivity")]
R_a = Annotated[float, Symbol("R_a", "K/W", "thermal resistance of one path")]
R_b = Annotated[float, Symbol("R_b", "K/W", "thermal resistance of the other path")]


@formula("R_JA = R_JC + R_CS + R_SA", validity="all heat takes this one path", source="Sedra-14.5")
def thermal_chain(*, junction_to_case: R_JC, case_to_sink: R_CS = 0.0, sink_to_ambient: R_SA = 0.0) -> R_JA:
    """Thermal resistance of junction, pad and sink in series [K/W]."""
    return junction_to_case + case_to_sink + sink_to_ambient


@formula("T_J = T_A + P·(R_JC + R_CS + R_SA)", validity="steady state; one device on the sink", source="Sedra-14.5")
def junction_temperature(
    *, ambient_temperature: T_A, power: P, junction_to_case: R_JC, case_to_sink: R_CS = 0.0, sink_to_ambient: R_SA = 0.0
) -> T_J:
    """Junction temperature of a device on its own sink [K inside]."""
    return ambient_temperature + power * (junction_to_case + case_to_sink + sink_to_ambient)


@formula("T_J = T_A + P_all·R_SA + P·(R_JC + R_CS)", validity="steady state; isothermal sink", source="derived")
def junction_temperature_on_shared_sink(
    *,
    ambient_temperature: T_A,
    all_power: P_all,
    sink_to_ambient: R_SA,
    power: P,
    junction_to_case: R_JC,
    case_to_sink: R_CS,
) -> T_J:
    """Junction temperature of one of several devices on a shared sink [K inside]."""
    return ambient_temperature + all_power * sink_to_ambient + power * (junction_to_case + case_to_sink)


@formula("T_C = T_J − P·R_JC", validity="steady state", source="Rashid-4.4")
def case_temperature(*, junction_temperature: T_J, power: P, junction_to_case: R_JC) -> T_C:
    """Case temperature below a known junction [K inside]."""
    return junction_temperature - power * junction_to_case


@formula("R_th = (T_hot − T_cold) / P", validity="steady state; also the rating read backwards", source="Sedra-14.4")
def thermal_resistance(*, hot_temperature: T_hot, cold_temperature: T_cold, power: P) -> R_th:
    """Thermal resistance between two temperatures at a power [K/W]."""
    return (hot_temperature - cold_temperature) / power


@formula("P = (T_J − T_A) / R_JA", validity="steady state", source="Sedra-14.4")
def allowed_power(*, junction_temperature: T_J, ambient_temperature: T_A, thermal_resistance: R_JA) -> P:
    """Power that brings the junction to a given temperature [W]."""
    return (junction_temperature - ambient_temperature) / thermal_resistance


@formula(
    "R_SA = (T_J − T_A) / P − R_JC − R_CS",
    validity="steady state; exists while device and pad leave room",
    source="Sedra-14.5",
)
def sink_resistance(
    *, junction_temperature: T_J, ambient_temperature: T_A, power: P, junction_to_case: R_JC, case_to_sink: R_CS
) -> R_SA:
    """Thermal resistance that the sink may have at most [K/W]; NoSolution when even a perfect sink is not enough."""
    room = (junction_temperature - ambient_temperature) / power
    if room <= junction_to_case + case_to_sink:
        raise NoSolution(
            f"no sink is good enough: device and pad alone need {junction_to_case + case_to_sink:.3g} K/W, "
            f"{power:.4g} W leave {room:.3g} K/W; spread the power over more devices"
        )
    return room - junction_to_case - case_to_sink


@formula(
    "R_SA = (T_J − T_A − P·(R_JC + R_CS)) / P_all",
    validity="steady state; isothermal sink; powers as they are now: they move with the temperatures",
    source="derived",
)
def shared_sink_resistance(
    *, junction_temperature: T_J, ambient_temperature: T_A, power: P, junction_to_case: R_JC, case_to_sink: R_CS,
    all_power: P_all,
) -> R_SA:  # fmt: skip
    """Thermal resistance that a shared sink may have at most for one of its devices [K/W]; NoSolution: no room left."""
    room = junction_temperature - ambient_temperature - power * (junction_to_case + case_to_sink)
    if room <= 0.0:
        raise NoSolution(
            f"no sink is good enough: device and pad alone take {power * (junction_to_case + case_to_sink):.3g} K, "
            f"{junction_temperature - ambient_temperature:.3g} K are left; spread the power over more devices"
        )
    return room / all_power


@formula(
    "D = 1 / R_JC", validity="above the temperature at which the rating is stated", source="onsemi-MJ2955-derating"
)
def derating_slope(*, junction_to_case: R_JC) -> D:
    """Slope of the power derating line [W/K]."""
    return 1 / junction_to_case


@formula(
    "P = max(0; P_0 − D·max(0; T_C − T_0))",
    validity="T_0 is where the sheet states P_0, mostly 25 °C",
    source="Boylestad-12.17",
)
def derated_power(*, rated_power: P_0, slope: D, case_temperature: T_C, reference_temperature: T_0) -> P:
    """Power that is left of a rating at a hot case (or ambient) [W]."""
    return max(0.0, rated_power - slope * max(0.0, case_temperature - reference_temperature))


@formula("I_th = P / V_CE", validity="base power left out", source="Mehta-12.17")
def thermal_current(*, power: P, collector_emitter_voltage: V_CE) -> I_th:
    """Current that an allowed power leaves at a voltage [A]."""
    return power / collector_emitter_voltage


@formula("R_th = 1 / (h_c·A)", validity="uniform contact; spreading adds", source="Cengel-3.5")
def contact_resistance(*, contact_conductance: h_c, contact_area: area) -> R_th:
    """Thermal resistance of a joint [K/W]."""
    return 1 / (contact_conductance * contact_area)


@formula("R_th = t / (k·A)", validity="heat flows straight through; spreading adds", source="Cengel-3.5")
def conduction_resistance(*, wall_thickness: thickness, conductivity: k, wall_area: area) -> R_th:
    """Thermal resistance of a plate or pad [K/W]."""
    return wall_thickness / (conductivity * wall_area)


@formula(
    "R_th = 1 / (1 / R_a + 1 / R_b)", validity="both paths between the same two temperatures", source="Incropera-3.2"
)
def parallel_resistance(*, one_path: R_a, other_path: R_b) -> R_th:
    """Thermal resistance of two paths side by side [K/W]."""
    return 1 / (1 / one_path + 1 / other_path)
