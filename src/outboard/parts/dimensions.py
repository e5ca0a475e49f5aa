"""What kind of quantity each figure and each condition of a data sheet is."""

from collections.abc import Mapping

from outboard.quantity import (
    CAPACITANCE,
    CURRENT,
    FREQUENCY,
    NUMBER,
    POWER,
    RESISTANCE,
    TEMPERATURE,
    THERMAL_RESISTANCE,
    TIME,
    VOLT_PER_KELVIN,
    VOLTAGE,
    Dimension,
)

WATT_PER_KELVIN = Dimension(
    "watt_per_kelvin", "a power per kelvin", "W/K", {"W/K": 1.0, "W/°C": 1.0}, "0.4 W/K", frozenset(("W/K", "W/°C"))
)
DECIBEL = Dimension("decibel", "a ratio in decibels", "dB", {"dB": 1.0}, "60 dB")

FIGURES: Mapping[str, Dimension] = {
    **dict.fromkeys(("VCEO", "VCER", "VCBO", "VEBO", "VBE_on", "VCE_sat", "VO", "line_reg", "load_reg"), VOLTAGE),
    **dict.fromkeys(("noise", "dropout", "VI_max", "VRRM", "VF"), VOLTAGE),
    **dict.fromkeys(("IC_cont", "IC_peak", "IB_max", "ICEO", "ICER", "ICEX", "ICES", "ICBO", "IEBO", "IS_b"), CURRENT),
    **dict.fromkeys(("IQ", "IQ_change_load", "IQ_change_line", "ISC", "IPK", "IO_rated", "min_load"), CURRENT),
    **dict.fromkeys(("IF_AV", "IFSM", "IR"), CURRENT),
    **dict.fromkeys(("VCES", "VCEX", "VBE_sat"), VOLTAGE),
    "IE_cont": CURRENT,
    **dict.fromkeys(("RB1", "RB2"), RESISTANCE),
    **dict.fromkeys(("t_storage", "t_fall"), TIME),
    "Cob": CAPACITANCE,
    **dict.fromkeys(("Ptot", "Ptot_TA"), POWER),
    **dict.fromkeys(("RthJC", "RthJA", "RthJL", "RthCS"), THERMAL_RESISTANCE),
    **dict.fromkeys(("hFE", "hfe"), NUMBER),
    **dict.fromkeys(("fT", "f_hfe"), FREQUENCY),
    **dict.fromkeys(("C_in", "C_out", "Cj"), CAPACITANCE),
    "TJ_max": TEMPERATURE,
    "derating": WATT_PER_KELVIN,
    "VO_tempco": VOLT_PER_KELVIN,
    "ripple_rejection": DECIBEL,
    "ROUT": RESISTANCE,
}
"""Every figure the catalogue knows, with its dimension."""

CONDITIONS: Mapping[str, Dimension] = {
    **dict.fromkeys(("collector_current", "base_current", "forward_current", "output_current"), CURRENT),
    **dict.fromkeys(("collector_emitter_voltage", "collector_base_voltage", "base_emitter_voltage"), VOLTAGE),
    **dict.fromkeys(("emitter_base_voltage", "reverse_voltage", "input_voltage", "differential_voltage"), VOLTAGE),
    **dict.fromkeys(("junction_temperature", "case_temperature", "ambient_temperature"), TEMPERATURE),
    "base_emitter_resistance": RESISTANCE,
    "pulse_duration": TIME,
    "frequency": FREQUENCY,
    "power": POWER,
}
"""Every condition that is a quantity."""

WORDS = ("package", "maker", "group", "text")
"""Conditions that are words."""

RANGES = ("input_voltage", "output_current")
"""Conditions that may be written as [least, most]."""
