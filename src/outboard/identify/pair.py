"""What a Darlington pair does at a test point: driver and output transistor with their resistors, 25 °C.

The driver's emitter feeds the output transistor's base; both collectors are one.  R_1 lies across the driver's base
and emitter, R_2 across the output transistor's.  Each transistor follows the integral charge control of its kind:

    I_F = q1·I_C·(1 + q1·I_C/I_K)        V_BE = V_T·ln(I_F/I_S)        I_B = I_F/β_F

The currents at the middle node and the collector are brought into balance by repeated substitution; where R_2 takes a
good part of the current, so that the output transistor hardly conducts, by halving.

References
----------
[GummelPoon] Bell Syst. Tech. J. 49 (1970) p. 827
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.identify.halving import root
from outboard.identify.saturation import saturated_junctions

ROUNDS = 60
"""Substitutions at most; each leaves less than a fifth of the error."""

SETTLED = 1e-13
"""Relative change of the base current, or change of the driver's voltage [V], at which it is over."""

LITTLE = 3.0
"""Times the current of R_2 below which the pair is only starting to conduct."""

HIGHEST_JUNCTION, HALVINGS = 1.2, 45
"""No junction has more than this [V]; halvings of it that leave less than 1e-13 V."""

LEAST_ACROSS_DRIVER = 0.3
"""Collector-emitter voltage above which the driver counts as active [V]."""

_VT = thermal_voltage(REFERENCE_TEMPERATURE)


@dataclass(frozen=True, slots=True)
class PairPoint:
    """Both junction voltages [V], the base current of the pair [A], the inner collector-emitter voltage [V]."""

    driver_voltage: float
    output_voltage: float
    base_current: float
    across: float

    @property
    def junctions(self) -> float:
        """Both junctions together [V]."""
        return self.driver_voltage + self.output_voltage


def is_pair(values: Mapping[str, float]) -> bool:
    """Whether identified values are those of a Darlington pair."""
    return "driver_forward_gain" in values


def conducting_pair(values: Mapping[str, float], current: float, voltage: float) -> PairPoint:
    """The active pair at a collector current and a collector-emitter voltage; ValueError when it would be saturated."""
    driver, output, base = 0.7, 0.75, 0.0
    first = 0.0
    if current < LITTLE * _through(values, "output_base_resistor", output):
        return _starting_pair(values, current, voltage)
    for _ in range(ROUNDS):
        emitter = values["emitter_resistance"] * (current + base)
        across = voltage - values["collector_resistance"] * current - emitter
        if across - output < LEAST_ACROSS_DRIVER:
            raise ValueError(f"no active point at {current:g} A and {voltage:g} V")
        output, taken = _output(values, current - first, across - output)
        wanted = taken + _through(values, "output_base_resistor", output)
        wanted -= _through(values, "driver_base_resistor", driver)
        if wanted <= 0.0:
            return _starting_pair(values, current, voltage)
        first, injected = _driver(values, wanted, across - output - driver)
        driver = _VT * math.log(injected / values["driver_saturation_current"])
        before, base = base, injected / values["driver_forward_gain"] + _through(values, "driver_base_resistor", driver)
        if abs(base - before) <= SETTLED * base:
            break
    return PairPoint(driver, output, base, across)


def _starting_pair(values: Mapping[str, float], current: float, voltage: float) -> PairPoint:
    """The same where the built-in resistors take most of the current."""
    across = voltage - (values["collector_resistance"] + values["emitter_resistance"]) * current

    def carried(prefix: str, junction: float, reverse: float) -> tuple[float, float]:
        """Collector and base current [A] of one transistor at its junction voltage."""
        injected = values[f"{prefix}saturation_current"] * math.expm1(junction / _VT)
        q1 = 1.0 / (1.0 + max(0.0, reverse) / values["forward_early_voltage"])
        charge = q1 / 2.0 * (1.0 + math.sqrt(1.0 + 4.0 * injected / values[f"{prefix}forward_knee_current"]))
        return injected / charge, injected / values[f"{prefix}forward_gain"]

    def at(output: float) -> tuple[float, float, float]:
        """Driver's junction voltage [V], collector and base current [A] of the pair."""
        second, taken = carried("", output, across - output)
        wanted = taken + _through(values, "output_base_resistor", output)

        def excess(driver: float) -> float:
            shunted = _through(values, "driver_base_resistor", driver)
            return sum(carried("driver_", driver, across - output - driver)) + shunted - wanted

        driver = root(excess, 0.0, HIGHEST_JUNCTION, HALVINGS)
        first, base = carried("driver_", driver, across - output - driver)
        return driver, first + second, base + _through(values, "driver_base_resistor", driver)

    output = root(lambda output: at(output)[1] - current, 0.0, HIGHEST_JUNCTION, HALVINGS)
    if across - output < LEAST_ACROSS_DRIVER:
        raise ValueError(f"no active point at {current:g} A and {voltage:g} V")
    driver, _, base = at(output)
    return PairPoint(driver, output, base, across)


def saturated_pair(values: Mapping[str, float], current: float, base: float) -> PairPoint:
    """The pair with its driver saturated, at a collector and a base current; across is inf when the base cannot."""
    driver, output, first, across_driver = 0.7, 0.75, 0.0, 0.1
    inner = {
        **{name: values[name] for name in ("reverse_gain", "forward_early_voltage")},
        **{name: values[f"driver_{name}"] for name in ("saturation_current", "forward_gain", "forward_knee_current")},
    }
    for _ in range(ROUNDS):
        output, taken = _output(values, current - first, across_driver)
        shunted = _through(values, "driver_base_resistor", driver)
        first = taken + _through(values, "output_base_resistor", output) - base
        before = driver
        driver, across_driver = saturated_junctions(inner, first, base - shunted)
        if math.isinf(driver):
            return PairPoint(driver, output, base, math.inf)
        if abs(driver - before) <= SETTLED:
            break
    return PairPoint(driver, output, base, output + across_driver)


def _through(values: Mapping[str, float], resistor: str, voltage: float) -> float:
    """Current [A] of a built-in resistor at a voltage; none when it is not there."""
    return voltage / values[resistor] if resistor in values else 0.0


def _output(values: Mapping[str, float], current: float, reverse: float) -> tuple[float, float]:
    """Junction voltage [V] and base current [A] of the output transistor, collector `reverse` [V] above its base."""
    q1 = 1.0 / (1.0 + reverse / values["forward_early_voltage"])
    injected = q1 * current * (1.0 + q1 * current / values["forward_knee_current"])
    return _VT * math.log(injected / values["saturation_current"]), injected / values["forward_gain"]


def _driver(values: Mapping[str, float], emitter: float, reverse: float) -> tuple[float, float]:
    """Collector and injected current [A] of the driver whose emitter current is given."""
    q1 = 1.0 / (1.0 + reverse / values["forward_early_voltage"])
    gain, knee = values["driver_forward_gain"], values["driver_forward_knee_current"]
    linear, square = 1.0 + q1 / gain, q1 * q1 / (knee * gain)
    current = 2.0 * emitter / (linear + math.sqrt(linear * linear + 4.0 * square * emitter))
    return current, q1 * current * (1.0 + q1 * current / knee)
