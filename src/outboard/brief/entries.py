"""The keys of a design file as data: what each one means, what may stand there, what it is when left out.

Reading, the JSON Schema and editing all use these tables.
"""

from collections.abc import Mapping

from outboard.brief.entry import Entry
from outboard.brief.feed_entries import FEED
from outboard.brief.stage_rules import ARRANGEMENTS
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas.derating_policies import STYLES
from outboard.network.fields import Field
from outboard.quantity import (
    AREA,
    CAPACITANCE,
    CURRENT,
    DIMENSIONS,
    FREQUENCY,
    LENGTH,
    NUMBER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
    TIME,
    VOLTAGE,
)
from outboard.span import Span

INPUT = {
    "voltage": Entry(
        "voltage at the input without load: one value, or least, usual and most", VOLTAGE, required=True, span=True,
        example='["16 V", "18 V", "20.5 V"]',
    ),
    "resistance": Entry(
        "resistance of the feed", RESISTANCE, default=0.0, least=0.0, example='"60 mΩ"'
    ),
}  # fmt: skip

OUTPUT = {
    "voltage": Entry("promised voltage; negative for a negative supply", VOLTAGE, required=True, example='"12 V"'),
    "tolerance": Entry(
        "how far the voltage may be off, either way", RATIO, default=0.05, above=0.0, below=1.0, example='"5 %"'
    ),
    "load": Entry(
        "current of the load: one value, or least, usual and most", CURRENT, required=True, span=True, least=0.0,
        example='["0 A", "2 A", "5 A"]',
    ),
    "withstands": Entry("the most that the load may see, even in a fault", VOLTAGE, above=0.0, example='"15 V"'),
}  # fmt: skip

SURROUNDINGS = {
    "ambient": Entry(
        "temperature of the surroundings: one value, or least, usual and most", TEMPERATURE,
        default=Span.exactly(298.15), span=True, above=0.0, example='["-10 °C", "15 °C", "40 °C"]',
    ),
}  # fmt: skip

REQUIREMENTS = {
    "short_circuit": Entry(
        "how long a short circuit at the output must be borne; left out, the question stays undecided", TIME,
        words=("none", "for ever"), above=0.0, example='"10 s"',
    ),
    "trust": Entry(
        "whether typical figures count, or leave a check undecided", default="typical", choices=("typical", "limits"),
        example='"typical"',
    ),
    "derating": Entry(
        "distance to the ratings: none; workshop: 80 % of everything and 25 K; MIL-STD-975M; own: table [derating]",
        default="none", choices=("none", "workshop", "MIL-STD-975M", "own"), example='"workshop"',
    ),
    "resistor_style": Entry(
        "style of the resistors, which MIL-STD-975M derates each in its own way; left out, the most careful counts",
        choices=STYLES, example='"RNC"',
    ),
}  # fmt: skip


RATED = (
    "V_CEO", "V_EBO", "V_DSS", "V_GS", "V_RRM", "V_RWM", "V_I", "V_diff", "I_C", "I_B", "I_D", "I_F", "I_ZM", "P_tot",
)  # fmt: skip
"""Ratings that a file's own derating may name one by one."""


def _share(meaning: str, example: str) -> Entry:
    """A share of ratings, all of them when left out."""
    return Entry(meaning, RATIO, default=1.0, above=0.0, most=1.0, example=example)


DERATING = {
    "voltage": _share("share of voltage ratings that may be used", '"75 %"'),
    "current": _share("share of current ratings that may be used", '"75 %"'),
    "power": _share("share of power ratings that may be used", '"50 %"'),
    "junction_below": Entry(
        "how far a junction stays below its highest temperature", TEMPERATURE_DIFFERENCE, default=0.0, least=0.0,
        example='"25 K"',
    ),
    "resistors": _share("share of resistors' rated power that may be used", '"50 %"'),
    **{
        symbol: Entry(f"share of {symbol} alone, in place of the share of its sort", RATIO, above=0.0, most=1.0,
                      example='"70 %"')
        for symbol in RATED
    },
}  # fmt: skip

SHAPES = ("uniform", "normal")
BELL = "normal: bell-shaped about the usual value, logarithmic for gain and leakage; uniform: everywhere as likely"

TOLERANCES = {
    "resistors": Entry(
        f"how resistors lie within their tolerance. {BELL}", default="uniform", choices=SHAPES, example='"uniform"'
    ),
    "gain": Entry(f"how h_FE lies between its limits. {BELL}", default="normal", choices=SHAPES, example='"normal"'),
    "V_BE": Entry(f"how V_BE lies between its limits. {BELL}", default="normal", choices=SHAPES, example='"normal"'),
    "leakage": Entry(
        f"how leakage lies between none and its limit. {BELL}", default="normal", choices=SHAPES, example='"normal"'
    ),
    "regulator": Entry(
        f"how a regulator's figures lie between their limits. {BELL}", default="normal", choices=SHAPES,
        example='"normal"',
    ),
    "forward_voltage": Entry(
        f"how a diode's forward voltage lies between its limits. {BELL}", default="normal", choices=SHAPES,
        example='"normal"',
    ),
    "limits_at": Entry(
        "how many standard deviations of a normal distribution lie between the usual value and its limit, where it is "
        "cut", NUMBER, default=3.0, least=0.5, most=10.0, example="3",
    ),
    "batch": Entry(
        "how much transistors of one type in parallel are alike: correlation of their gains, of their V_BE and of "
        "their leakage; 100 % where they are matched", RATIO, default=0.8, least=0.0, most=1.0, example='"80 %"',
    ),
    "conditions": Entry(
        "ends: every drawn unit is tried at every pair of least and most input and ambient; drawn: at one input and "
        "ambient, uniformly drawn with it", default="ends", choices=("ends", "drawn"), example='"ends"',
    ),
}  # fmt: skip
"""What `verify --draws` takes for granted about units that are built."""

DYNAMICS = {
    "regulator_bandwidth": Entry(
        "frequency up to which the regulator's control follows, where its output impedance has risen to 1.4 times its "
        "low value: one value, or least, usual and most; left out, nothing that moves is decided", FREQUENCY, span=True,
        above=0.0, example='["10 kHz", "20 kHz", "40 kHz"]',
    ),
    "pass_f_T": Entry("transition frequency of the pass device, instead of its sheet's", FREQUENCY, above=0.0,
                      example='"2.5 MHz"'),
    "pass_C_ob": Entry(
        "output capacitance of the pass device, emitter open, 10 V, instead of its sheet's", CAPACITANCE,
        above=0.0, example='"500 pF"',
    ),
    "driver_f_T": Entry("transition frequency of the driver, instead of its sheet's", FREQUENCY, above=0.0,
                        example='"50 MHz"'),
    "driver_C_ob": Entry(
        "output capacitance of the driver, emitter open, 10 V, instead of its sheet's", CAPACITANCE,
        above=0.0, example='"60 pF"',
    ),
    "phase_margin": Entry(
        "least phase margin that counts as good, in degrees", NUMBER, default=45.0, above=0.0, below=180.0,
        example="45",
    ),
    "load_edge": Entry("time in which the load rises and falls", TIME, default=1e-6, above=0.0, example='"1 µs"'),
    "line_edge": Entry("time in which the input steps", TIME, default=10e-6, above=0.0, example='"10 µs"'),
    "rise": Entry("time in which the input comes up at start-up", TIME, default=10e-3, above=0.0, example='"10 ms"'),
    "fall": Entry("time in which the input goes to nothing at switch-off", TIME, default=10e-3, above=0.0,
                  example='"10 ms"'),
    "step_tolerance": Entry(
        "how far the voltage may be off while load or input step; left out, it is told and not judged", RATIO,
        above=0.0, below=1.0, example='"5 %"',
    ),
    "recovery": Entry(
        "time after which the voltage must be back within the tolerance of [output]; left out, it is told and not "
        "judged", TIME, above=0.0, example='"50 µs"',
    ),
}  # fmt: skip
"""What `respond` asks: how fast the regulator is, how fast load and input change, what must hold meanwhile."""

SERIES = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")

STAGE = {
    "arrangement": Entry(
        "which transistor where: " + "; ".join(f"{name}: {words}" for name, words in ARRANGEMENTS.items()),
        required=True, choices=tuple(ARRANGEMENTS), example='"compound"',
    ),
    "regulator": Entry("type of the regulator", required=True, example='"7812"'),
    "regulators": Entry(
        "regulators in parallel, each with ballast at its output", NUMBER, default=1.0, whole=True, least=1.0, most=4.0,
        example="2",
    ),
    "regulator_ballast": Entry(
        "resistor at the output of each regulator when there are several", RESISTANCE, least=0.0, example='"0.1 Ω"'
    ),
    "driver": Entry("type of the driver, PNP; in a compound or Darlington stage", example='"BD140"'),
    "pass": Entry("type of the pass device", required=True, example='"2N3055"'),
    "count": Entry("pass devices in parallel", NUMBER, default=1.0, whole=True, least=1.0, most=8.0, example="1"),
    "ballast": Entry(
        "resistor in each emitter or source when there are several", RESISTANCE, least=0.0, example='"0.1 Ω"'
    ),
    "handover": Entry(
        "regulator current at which the bypass or driver starts to conduct; gives R1 unless R1 is written", CURRENT,
        above=0.0, example='"0.3 A"',
    ),
    "R1": Entry("base resistor, in the lead to the regulator's input", RESISTANCE, above=0.0, example='"2.2 Ω"'),
    "bleed": Entry(
        "base to emitter of the pass device; none leaves it out; in a compound, a Darlington with a driver, a follower",
        RESISTANCE, words=("none",), above=0.0, example='"47 Ω"',
    ),
    "RG": Entry("gate resistor of a pmos stage", RESISTANCE, above=0.0, example='"100 Ω"'),
    "gate_zener": Entry("type of the Zener diode from gate to source of a pmos stage", example='"1N4742A"'),
    "compensation": Entry(
        "type of the diode in a follower's reference lead that makes good the V_BE of the pass device",
        example='"1N4148"',
    ),
    "sharing_diode": Entry(
        "type of the diode in the regulator's lead that makes a bypass share in a fixed ratio", example='"1N5404"'
    ),
    "share": Entry(
        "pass current over regulator current, with a sharing diode; gives R1 unless R1 is written", NUMBER, above=0.0,
        example="4",
    ),
    "limiter": Entry("type of the sense transistor that limits the current past the regulator", example='"BD140"'),
    "limit": Entry(
        "current past the regulator at which the limiter takes over; gives RS unless RS is written", CURRENT, above=0.0,
        example='"6 A"',
    ),
    "foldback": Entry(
        "current past the regulator that is left at a shorted output; makes the limit fold back", CURRENT, above=0.0,
        example='"2 A"',
    ),
    "RS": Entry("sense resistor of the limiter", RESISTANCE, above=0.0, example='"0.1 Ω"'),
    "RF1": Entry("foldback divider, from the sense resistor to the limiter's base", RESISTANCE, above=0.0,
                 example='"47 Ω"'),
    "RF2": Entry("foldback divider, from the limiter's base to the other rail", RESISTANCE, above=0.0,
                 example='"1 kΩ"'),
    "RA": Entry("divider of an adjustable regulator, from its output to its reference pin", RESISTANCE, above=0.0,
                example='"121 Ω"'),
    "RB": Entry("divider of an adjustable regulator, from its reference pin to ground", RESISTANCE, above=0.0,
                example='"1.05 kΩ"'),
    "divider_series": Entry("series of preferred values of RA and RB", default="E96", choices=SERIES, example='"E96"'),
    "divider_tolerance": Entry("tolerance of RA and RB", RATIO, default=0.01, least=0.0, below=1.0, example='"1 %"'),
    "divider_tempco": Entry(
        "greatest temperature coefficient of RA and RB, either sign; left out, the output stays undecided",
        DIMENSIONS["per_kelvin"], least=0.0, example='"50 ppm/K"',
    ),
    "reverse_diode": Entry("type of D1, from output back to input", example='"1N4002"'),
    "output_diode": Entry("type of D2, across the output against reversed voltage", example='"1N4002"'),
    "crowbar": Entry(
        "output voltage at which a thyristor shorts the output, as a magnitude; chooses the trigger unless that is "
        "written", VOLTAGE, above=0.0, example='"15 V"',
    ),
    "thyristor": Entry("type of QT, the thyristor of the crowbar", example='"BT151"'),
    "trigger": Entry("type of DT, the Zener diode that fires the crowbar", example='"1N4743A"'),
    "RT": Entry("gate resistor of the crowbar, from gate to cathode", RESISTANCE, above=0.0, example='"100 Ω"'),
    "C1": Entry("capacitor across the regulator's input", DIMENSIONS["capacitance"], above=0.0, example='"0.33 µF"'),
    "C2": Entry("capacitor across the output", DIMENSIONS["capacitance"], above=0.0, example='"1 µF"'),
    "series": Entry("series of preferred values of the resistors", default="E24", choices=SERIES, example='"E12"'),
    "resistors": Entry("tolerance of the resistors", RATIO, default=0.05, least=0.0, below=1.0, example='"5 %"'),
}  # fmt: skip

TYPE_KEYS = (
    "regulator", "driver", "pass", "limiter", "sharing_diode", "compensation", "gate_zener", "reverse_diode",
    "output_diode", "thyristor", "trigger",
)  # fmt: skip
"""The keys of [stage] that name a type of the catalogue."""

SINK = Entry("thermal resistance of the sink to ambient", THERMAL_RESISTANCE, least=0.0, example='"0.7 K/W"')

MOUNT = {
    "sink": Entry("the sink it is mounted on", required=True, example='"main"'),
    "pad": Entry(
        "thermal resistance between case and sink", THERMAL_RESISTANCE, required=True, least=0.0, example='"0.5 K/W"'
    ),
}  # fmt: skip

SAFE_AREA = {
    "case": Entry("temperature of the case that the line is drawn for", TEMPERATURE, default=REFERENCE_TEMPERATURE,
                  example='"25 °C"'),
    "hot": Entry("what is left at a hotter case: less along the power line, unless the sheet says that the line stays",
                 default="power line", choices=("power line", "as drawn"), example='"power line"'),
    "sheet": Entry("publisher, title and figure that the points were read in", required=True,
                   example='"publisher, title, figure 5"'),
}  # fmt: skip
"""Keys of [heat.safe_area.TYPE] beside its points."""

LINE_POINTS = "the line for lasting current (DC) as [voltage, current], from where it leaves the power line on"
LINE_VOLTAGE = Entry("voltage of a point", VOLTAGE, above=0.0, example='"20 V"')
LINE_CURRENT = Entry("current of a point", CURRENT, above=0.0, example='"4 A"')

ROLES = ("pass", "driver", "regulator", "limiter", "sharing_diode")
"""Which devices of a stage may be mounted on a sink."""

WIRE = {
    "length": Entry("length of the lead, one way", LENGTH, required=True, above=0.0, example='"0.5 m"'),
    "section": Entry("cross-section of each copper conductor; or its gauge", AREA, above=0.0, example='"1.5 mm²"'),
    "gauge": Entry("American wire gauge of each conductor, AWG; or its section", NUMBER, whole=True, least=0.0,
                   most=40.0, example="16"),
}  # fmt: skip

LEADS = {
    "supply": "from the source to the stage, one way, when [input] resistance does not count it already",
    "pass": "from the stage to the pass devices on their sink",
    "load": "from the stage to the load, one way",
}
"""The leads that [wiring] may name."""

PART_HEAT = {
    "to": Entry("thermal node that takes the heat", required=True, example='"sink"'),
    "resistance": Entry(
        "thermal resistance from the junction to that node", THERMAL_RESISTANCE, required=True, least=0.0,
        example='"1.5 K/W"',
    ),
    "pad": Entry(
        "the piece of it between case and sink", THERMAL_RESISTANCE, least=0.0, example='"0.5 K/W"'
    ),
}  # fmt: skip

PART_ROLE = Entry("what the part is for: driver, pass device, bleed, ballast …", example='"pass device"')

TITLE = Entry("what this is", example='"Bench supply, 12 V 5 A"')

SECTIONS: Mapping[str, Mapping[str, Entry]] = {
    "input": INPUT,
    "output": OUTPUT,
    "surroundings": SURROUNDINGS,
    "requirements": REQUIREMENTS,
    "tolerances": TOLERANCES,
    "derating": DERATING,
    "feed": FEED,
    "dynamics": DYNAMICS,
    "stage": STAGE,
}
"""The tables of a design file that hold nothing but keys with values."""

ROOT = ("title", *SECTIONS, "heat", "wiring", "parts")
"""Everything that may stand at the top of a design file."""


EXAMPLES = {
    "saturation_current": '"1 pA"', "forward_gain": "80", "gain": "50", "base_emitter_voltage": '"0.7 V"',
    "current_limit": '"2.2 A"', "set_voltage": '"12 V"',
}  # fmt: skip
"""What to write for fields whose order of magnitude is not that of their dimension's own example."""


def field_entry(name: str, field: Field) -> Entry:
    """A field of a part as a key of the design file."""
    dimension = DIMENSIONS[field.dimension]
    plain = dimension.example if dimension.name in ("number", "energy_eV") else f'"{dimension.example}"'
    return Entry(
        dimension.phrase, dimension, field.required, field.default, above=field.above, least=field.least,
        below=field.below, example=EXAMPLES.get(name, plain),
    )  # fmt: skip
