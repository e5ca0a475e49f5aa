"""All devices, in the order in which the kernels number them."""

from outboard.devices.bipolar import BIPOLAR
from outboard.devices.constant_gain import CONSTANT_GAIN, SATURATING_GAIN
from outboard.devices.device import Device
from outboard.devices.junction import BREAKDOWN, DIODE
from outboard.devices.mosfet import MOSFET
from outboard.devices.regulator import REGULATOR
from outboard.devices.resistive import (
    BATTERY,
    CURRENT_LOAD,
    LAMP,
    POWER_LOAD,
    RESISTOR,
    SOURCE,
    THERMAL_RESISTANCE,
    THRESHOLD,
)

DEVICES: tuple[Device, ...] = (
    RESISTOR,
    SOURCE,
    CURRENT_LOAD,
    POWER_LOAD,
    BATTERY,
    LAMP,
    THERMAL_RESISTANCE,
    THRESHOLD,
    DIODE,
    BREAKDOWN,
    BIPOLAR,
    MOSFET,
    REGULATOR,
    CONSTANT_GAIN,
    SATURATING_GAIN,
)

NUMBER = {device.name: index for index, device in enumerate(DEVICES)}
"""Kernel number of each device."""
