"""What a technician would call the figures of a device, as arrays [corner, point] in SI.

Voltages and currents of transistors are counted so that a conducting device has positive ones, NPN or PNP.
"""

import numpy as np
from numpy.typing import NDArray

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.network.solution import Block

Floats = NDArray[np.float64]


def direction(block: Block, part: str) -> float:
    """+1 for NPN and positive devices, −1 for PNP and negative ones."""
    return -1.0 if block.part(part).polarity in ("pnp", "p-channel", "negative") else 1.0


def voltage_between(block: Block, part: str, upper: str, lower: str) -> Floats:
    """Voltage from one pin to another in the device's own direction [V]."""
    return direction(block, part) * (block.pin_voltage(part, upper) - block.pin_voltage(part, lower))


def collector_emitter_voltage(block: Block, part: str) -> Floats:
    """V_CE [V]."""
    return voltage_between(block, part, "collector", "emitter")


def reverse_base_emitter_voltage(block: Block, part: str) -> Floats:
    """V_EB, the base-emitter junction's reverse voltage, nothing while it conducts [V]."""
    return np.maximum(0.0, -voltage_between(block, part, "base", "emitter"))


def collector_current(block: Block, part: str) -> Floats:
    """Size of I_C [A]."""
    return np.abs(block.pin_current(part, "collector"))


def drain_current(block: Block, part: str) -> Floats:
    """Size of I_D [A]."""
    return np.abs(block.pin_current(part, "drain"))


def base_current(block: Block, part: str) -> Floats:
    """Size of I_B [A]."""
    return np.abs(block.pin_current(part, "base"))


def regulator_current(block: Block, part: str) -> Floats:
    """What a regulator delivers at its output pin [A]."""
    return -direction(block, part) * block.pin_current(part, "out")


def regulator_input(block: Block, part: str) -> Floats:
    """Voltage from the reference pin to the input pin [V]."""
    return voltage_between(block, part, "in", "ref")


def regulator_differential(block: Block, part: str) -> Floats:
    """Voltage from the output pin to the input pin [V]."""
    return voltage_between(block, part, "in", "out")


def case_temperature(block: Block, part: str, junction_to_case: float) -> Floats:
    """T_c = T_j − P·R_thJC [K]."""
    return block.junction_temperature(part) - block.power(part) * junction_to_case


def allowed_power(case: Floats, rated: float, most_junction: float) -> Floats:
    """The derating line: P_tot up to 25 °C at the case, falling to nothing at the highest junction temperature [W]."""
    share = (most_junction - case) / (most_junction - REFERENCE_TEMPERATURE)
    return rated * np.clip(share, 0.0, 1.0)
