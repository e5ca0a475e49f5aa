"""What the catalogue holds: figures as printed, with the conditions they hold under and the document they come from."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.sources import RECALLED

DARLINGTON = "darlington"
"""What is inside a package that holds a pair of transistors, the first driving the second's base."""

Range = tuple[float, float]
"""Least and most of a condition; a single value stands twice."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """Under which a figure holds; what is not printed is None.

    SI, temperatures in kelvin; PNP, P-channel and negative regulators as magnitudes.
    """

    collector_current: float | None = None
    collector_emitter_voltage: float | None = None
    base_current: float | None = None
    collector_base_voltage: float | None = None
    base_emitter_voltage: float | None = None
    emitter_base_voltage: float | None = None
    base_emitter_resistance: float | None = None
    forward_current: float | None = None
    on_state_current: float | None = None
    reverse_current: float | None = None
    reverse_voltage: float | None = None
    drain_current: float | None = None
    gate_source_voltage: float | None = None
    drain_source_voltage: float | None = None
    input_voltage: Range | None = None
    output_voltage: float | None = None
    output_current: Range | None = None
    differential_voltage: Range | None = None
    adjust_capacitance: float | None = None
    capacitance: float | None = None
    rated_voltage: Range | None = None
    resistance: Range | None = None
    ripple_current: float | None = None
    length: float | None = None
    temperature_rise: float | None = None
    air_speed: float | None = None
    junction_temperature: float | None = None
    case_temperature: float | None = None
    lead_temperature: float | None = None
    ambient_temperature: float | None = None
    pulse_duration: float | None = None
    frequency: float | None = None
    power: float | None = None
    package: str | None = None
    maker: str | None = None
    group: str | None = None
    size: str | None = None
    text: str = ""

    @property
    def temperature(self) -> float:
        """Temperature of the figure [K]: junction, case, lead or ambient as printed; 25 °C when nothing is printed."""
        surfaces = (self.junction_temperature, self.case_temperature, self.lead_temperature, self.ambient_temperature)
        return next((printed for printed in surfaces if printed is not None), REFERENCE_TEMPERATURE)

    @property
    def given(self) -> Mapping[str, float | Range | str]:
        """The conditions that are printed, by name, in the order of this record."""
        values = {one.name: getattr(self, one.name) for one in fields(self)}
        return {name: value for name, value in values.items() if value not in (None, "")}


@dataclass(frozen=True, slots=True)
class Figure:
    """One row of a data sheet: least, typical, most of one quantity, SI."""

    name: str
    least: float | None
    typical: float | None
    most: float | None
    conditions: Conditions
    source: str
    note: str = ""
    derived: bool = False
    recalled_conditions: bool = False

    def kind(self, side: str) -> str:
        """How far the figure on one side may be trusted: "limit", "typical", "recalled" or "derived".

        A figure is worth no more than its conditions: where a condition is recalled, so is the figure.
        """
        if side not in ("least", "typical", "most"):
            raise ValueError(f"no side {side!r} of a figure")
        if self.source == RECALLED or self.recalled_conditions:
            return "recalled"
        if self.derived:
            return "derived"
        return "typical" if side == "typical" else "limit"


@dataclass(frozen=True, slots=True)
class PartType:
    """One type of the catalogue: what it is and the figures that are known of it.

    junction   "Schottky" or "Zener" where a diode is none of plain silicon that only rectifies
    """

    name: str
    kind: str
    polarity: str | None
    packages: tuple[str, ...]
    aliases: tuple[str, ...]
    description: str
    figures: tuple[Figure, ...]
    members: tuple[str, ...] = ()
    junction: str = ""
    inside: str | None = None
    own_file: str = field(default="", compare=False, repr=False)
    """The file of a person that the type was read from; empty for a type of the catalogue."""

    @property
    def darlington(self) -> bool:
        """Whether two transistors in series of their bases share the package: its V_BE is that of two junctions."""
        return self.inside == DARLINGTON

    def rows(self, name: str) -> tuple[Figure, ...]:
        """All figures of one name, in the order of the sheet; rows of a selection group only when it is this type's."""
        return tuple(figure for figure in self.figures if figure.name == name)

    @property
    def adjustable(self) -> bool:
        """Whether this is a regulator that is set by resistors: its sheet prints a reference voltage."""
        return any(figure.name == "VREF" for figure in self.figures)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a number comes from: "limit", "typical", "recalled", "derived", "default" or "stated"; source; in words."""

    kind: str
    source: str
    words: str


def printed(figure: Figure, side: str, part: str) -> Origin:
    """The origin of a value that is taken from one side of a printed figure."""
    kind = figure.kind(side)
    return Origin(kind, figure.source, f"{kind}: {SYMBOLS.get(figure.name, figure.name)} of {part}")


SYMBOLS: Mapping[str, str] = {
    "VCEO": "V_CEO", "VCER": "V_CER", "VCBO": "V_CBO", "VEBO": "V_EBO", "IC_cont": "I_C", "IC_peak": "I_C peak",
    "IB_max": "I_B", "Ptot": "P_tot", "Ptot_TA": "P_tot in free air", "derating": "derating", "TJ_max": "T_J max",
    "RthJC": "R_thJC", "RthJA": "R_thJA", "RthJL": "R_thJL", "RthCS": "R_thCS", "hFE": "h_FE", "VBE_on": "V_BE(on)",
    "VCE_sat": "V_CE(sat)", "ICEO": "I_CEO", "ICER": "I_CER", "ICEX": "I_CEX", "ICES": "I_CES", "ICBO": "I_CBO",
    "IEBO": "I_EBO", "IS_b": "I_S/b", "IC_dc": "I_C lasting", "ID_dc": "I_D lasting",
    "fT": "f_T", "hfe": "h_fe", "f_hfe": "f_hfe", "VO": "V_O",
    "line_reg": "line regulation", "load_reg": "load regulation", "IQ": "I_Q", "IQ_change_load": "ΔI_Q with load",
    "IQ_change_line": "ΔI_Q with line", "VO_tempco": "ΔV_O/ΔT", "noise": "V_n", "ripple_rejection": "ripple rejection",
    "dropout": "drop-out voltage", "ROUT": "R_O", "ISC": "I_SC", "IPK": "I_PK", "VI_max": "V_I max",
    "IO_rated": "I_O guaranteed", "C_in": "C_in", "C_out": "C_out", "min_load": "least load current",
    "VCES": "V_CES", "VCEX": "V_CEX", "VBE_sat": "V_BE(sat)", "IE_cont": "I_E", "RB1": "R_1", "RB2": "R_2",
    "Cob": "C_ob", "t_storage": "t_s", "t_fall": "t_f",
    "VRRM": "V_RRM", "IF_AV": "I_F(AV)", "IFSM": "I_FSM", "VF": "V_F", "IR": "I_R", "Cj": "C_J",
    "VREF": "V_REF", "IADJ": "I_ADJ", "IADJ_change": "ΔI_ADJ", "line_reg_slope": "line regulation",
    "line_reg_share": "line regulation", "load_reg_share": "load regulation", "thermal_reg": "thermal regulation",
    "VO_tempstab": "temperature stability", "noise_share": "V_n of V_O", "headroom_test": "least V_I − V_O of limits",
    "VDIFF_max": "V_I − V_O max", "I_limit": "current limit", "I_limit_peak": "peak current limit",
    "VZ": "V_Z", "VZ_tolerance": "tolerance of V_Z", "ZZT": "Z_ZT", "IZM": "I_ZM", "VBR": "V_BR", "VRWM": "V_RWM",
    "VC": "V_C", "PPP": "P_PP", "VDSS": "V_(BR)DSS", "RDS_on": "R_DS(on)", "VGS_th": "V_GS(th)", "gfs": "g_fs",
    "IDSS": "I_DSS", "ID_cont": "I_D", "ID_peak": "I_DM", "VGS_max": "V_GS max", "Qg": "Q_G", "Qgs": "Q_GS",
    "Qgd": "Q_GD", "Ciss": "C_iss", "Coss": "C_oss", "Crss": "C_rss", "VSD": "V_SD", "trr": "t_rr", "EAS": "E_AS",
    "VDRM": "V_DRM", "IT_RMS": "I_T(RMS)", "ITSM": "I_TSM", "I2t": "I²t", "IGT": "I_GT", "VGT": "V_GT", "VGD": "V_GD",
    "IH": "I_H", "VTM": "V_TM", "VT0": "V_T0", "rT": "r_T", "IDRM": "I_DRM",
    "torque": "mounting torque", "clip_force": "clip force", "Rth": "R_th", "P_rated": "rated power",
    "T_full": "full power up to", "T_zero": "no power from", "T_film_max": "film temperature", "TCR": "TCR",
    "R_range": "resistance", "tolerance": "tolerance", "stability": "ΔR/R", "overload": "overload × rated power",
    "tan_delta": "tan δ", "tan_delta_add": "tan δ added per 1000 µF", "I_leak": "leakage current",
    "I_leak_CV": "leakage in µA per µF·V", "Z_ratio": "Z cold/Z at 20 °C", "life": "life", "ESR": "ESR", "ESL": "ESL",
    "Z": "impedance", "ripple": "ripple current", "ripple_mult": "ripple current × by frequency",
    "length_factor": "R_th × by length", "rise_factor": "R_th × by temperature rise",
    "air_factor": "R_th × in moving air",
}  # fmt: skip
"""Letter symbols of the figures, as IEC 60747 and the sheets write them."""
