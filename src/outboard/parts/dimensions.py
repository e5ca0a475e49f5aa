"""What kind of quantity each figure and each condition of a data sheet is."""

from collections.abc import Mapping

from outboard.quantity import (
    CAPACITANCE,
    CONDUCTANCE,
    CURRENT,
    FREQUENCY,
    INDUCTANCE,
    LENGTH,
    NUMBER,
    PER_KELVIN,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
    TIME,
    VOLT_PER_KELVIN,
    VOLTAGE,
    Dimension,
)

WATT_PER_KELVIN = Dimension(
    "watt_per_kelvin", "a power per kelvin", "W/K", {"W/K": 1.0, "W/°C": 1.0}, "0.4 W/K", frozenset(("W/K", "W/°C"))
)
SHARE_PER_VOLT = Dimension(
    "share_per_volt", "a share per volt", "1/V", {"%/V": 0.01, "1/V": 1.0}, "0.01 %/V", written="%/V"
)  # fmt: skip
SHARE_PER_WATT = Dimension(
    "share_per_watt", "a share per watt", "1/W", {"%/W": 0.01, "1/W": 1.0}, "0.04 %/W", written="%/W"
)  # fmt: skip
CHARGE = Dimension("charge", "a charge", "C", {"C": 1.0}, "100 nC", frozenset("C"), ladder="fpnμm")
ENERGY = Dimension("energy", "an energy", "J", {"J": 1.0}, "430 mJ", frozenset("J"), ladder="nμmk")
TORQUE = Dimension("torque", "a torque", "N·m", {"N·m": 1.0, "Nm": 1.0}, "0.6 N·m")
FORCE = Dimension("force", "a force", "N", {"N": 1.0}, "20 N", frozenset("N"))
LIFE = Dimension("life", "a life", "s", {"h": 3600.0}, "2000 h", written="h")
JOULE_INTEGRAL = Dimension(
    "joule_integral", "a Joule integral", "A²s", dict.fromkeys(("A²s", "A2s", "A²·s"), 1.0), "98 A²s"
)  # fmt: skip
SPEED = Dimension("speed", "a speed", "m/s", {"m/s": 1.0}, "2 m/s")
DECIBEL = Dimension("decibel", "a ratio in decibels", "dB", {"dB": 1.0}, "60 dB")

FIGURES: Mapping[str, Dimension] = {
    **dict.fromkeys(("VCEO", "VCER", "VCBO", "VEBO", "VBE_on", "VCE_sat", "VO", "line_reg", "load_reg"), VOLTAGE),
    **dict.fromkeys(("noise", "dropout", "headroom_test", "VI_max", "VDIFF_max", "VREF", "VRRM", "VF"), VOLTAGE),
    **dict.fromkeys(("VZ", "VBR", "VRWM", "VC", "VDSS", "VGS_th", "VGS_max", "VSD"), VOLTAGE),
    **dict.fromkeys(("IC_cont", "IC_peak", "IB_max", "ICEO", "ICER", "ICEX", "ICES", "ICBO", "IEBO", "IS_b"), CURRENT),
    **dict.fromkeys(("IQ", "IQ_change_load", "IQ_change_line", "ISC", "IPK", "IO_rated", "min_load"), CURRENT),
    **dict.fromkeys(("IADJ", "IADJ_change", "I_limit", "I_limit_peak", "IF_AV", "IFSM", "IR", "IZM"), CURRENT),
    **dict.fromkeys(("ID_cont", "ID_peak", "IDSS", "ripple", "I_leak", "IE_cont", "IC_dc", "ID_dc"), CURRENT),
    **dict.fromkeys(("VCES", "VCEX", "VBE_sat"), VOLTAGE),
    **dict.fromkeys(("Ptot", "Ptot_TA", "PPP", "P_rated"), POWER),
    **dict.fromkeys(("RthJC", "RthJA", "RthJL", "RthCS", "Rth"), THERMAL_RESISTANCE),
    **dict.fromkeys(("hFE", "hfe", "tan_delta", "tan_delta_add", "ripple_mult", "Z_ratio", "overload"), NUMBER),
    **dict.fromkeys(("length_factor", "rise_factor", "air_factor", "I_leak_CV"), NUMBER),
    **dict.fromkeys(("line_reg_share", "load_reg_share", "VO_tempstab", "noise_share", "VZ_tolerance"), RATIO),
    **dict.fromkeys(("tolerance", "stability"), RATIO),
    **dict.fromkeys(("fT", "f_hfe"), FREQUENCY),
    **dict.fromkeys(("C_in", "C_out", "Cj", "Cob", "Ciss", "Coss", "Crss"), CAPACITANCE),
    **dict.fromkeys(("Qg", "Qgs", "Qgd"), CHARGE),
    **dict.fromkeys(("ROUT", "RDS_on", "ZZT", "ESR", "Z", "R_range", "RB1", "RB2"), RESISTANCE),
    **dict.fromkeys(("TJ_max", "T_film_max", "T_full", "T_zero"), TEMPERATURE),
    **dict.fromkeys(("VDRM", "VTM", "VT0", "VGT", "VGD"), VOLTAGE),
    **dict.fromkeys(("IT_RMS", "ITSM", "IGT", "IH", "IDRM"), CURRENT),
    "rT": RESISTANCE,
    "I2t": JOULE_INTEGRAL,
    "line_reg_slope": SHARE_PER_VOLT,
    "thermal_reg": SHARE_PER_WATT,
    "gfs": CONDUCTANCE,
    **dict.fromkeys(("trr", "t_storage", "t_fall"), TIME),
    "EAS": ENERGY,
    "derating": WATT_PER_KELVIN,
    "VO_tempco": VOLT_PER_KELVIN,
    "TCR": PER_KELVIN,
    "ripple_rejection": DECIBEL,
    "ESL": INDUCTANCE,
    "life": LIFE,
    "torque": TORQUE,
    "clip_force": FORCE,
}
"""Every figure the catalogue knows, with its dimension."""

CONDITIONS: Mapping[str, Dimension] = {
    **dict.fromkeys(("collector_current", "base_current", "forward_current", "output_current"), CURRENT),
    **dict.fromkeys(("drain_current", "reverse_current", "ripple_current", "on_state_current"), CURRENT),
    **dict.fromkeys(("collector_emitter_voltage", "collector_base_voltage", "base_emitter_voltage"), VOLTAGE),
    **dict.fromkeys(("emitter_base_voltage", "reverse_voltage", "input_voltage", "differential_voltage"), VOLTAGE),
    **dict.fromkeys(("output_voltage", "gate_source_voltage", "drain_source_voltage", "rated_voltage"), VOLTAGE),
    **dict.fromkeys(("junction_temperature", "case_temperature", "lead_temperature", "ambient_temperature"),
                    TEMPERATURE),
    **dict.fromkeys(("base_emitter_resistance", "resistance"), RESISTANCE),
    **dict.fromkeys(("capacitance", "adjust_capacitance"), CAPACITANCE),
    "pulse_duration": TIME,
    "frequency": FREQUENCY,
    "power": POWER,
    "length": LENGTH,
    "temperature_rise": TEMPERATURE_DIFFERENCE,
    "air_speed": SPEED,
}  # fmt: skip
"""Every condition that is a quantity."""

WORDS = ("package", "maker", "group", "size", "text")
"""Conditions that are words."""

RANGES = ("input_voltage", "output_current", "differential_voltage", "rated_voltage", "resistance")
"""Conditions that may be written as [least, most]."""
