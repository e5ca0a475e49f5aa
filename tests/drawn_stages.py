"""Every stage that a design file can ask for, as far as drawing goes: core, sign, reference, count, options.

    for stage in every_stage(): design = stage.design()

What makes no difference to the drawing – values, tolerances, heat – stays the same throughout.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

from outboard.analysis.operating import Conditions, OperatingPoint, PartPoint
from outboard.arrangements import Design, designed
from outboard.arrangements.design import DesignPart
from outboard.brief import read_text
from outboard.constants import ZERO_CELSIUS

COUNTS = range(1, 9)
CORES = {
    "bypass": ("bypass", {"+": 'pass = "MJ2955"', "-": 'pass = "2N3055"'}),
    "compound": ("compound", {"+": 'driver = "BD140"\npass = "2N3055"', "-": 'driver = "BD139"\npass = "MJ2955"'}),
    "compound without bleed": ("compound", {
        "+": 'driver = "BD140"\npass = "2N3055"\nbleed = "none"',
        "-": 'driver = "BD139"\npass = "MJ2955"\nbleed = "none"'}),
    "darlington": ("darlington", {"+": 'driver = "BD140"\npass = "MJ2955"', "-": 'driver = "BD139"\npass = "2N3055"'}),
    "darlington in one": ("darlington", {"+": 'pass = "TIP127"', "-": 'pass = "TIP122"'}),
    "pmos": ("pmos", {"+": 'pass = "IRF9540N"'}),
    "pmos with Zener": ("pmos", {"+": 'pass = "IRF9540N"\ngate_zener = "1N4742A"'}),
    "follower": ("follower", {"+": 'pass = "2N3055"', "-": 'pass = "MJ2955"'}),
    "follower, compensated": ("follower", {
        "+": 'pass = "2N3055"\ncompensation = "1N4002"', "-": 'pass = "MJ2955"\ncompensation = "1N4002"'}),
    "bypass, sharing": ("bypass", {
        "+": 'pass = "MJ2955"\nsharing_diode = "1N5404"\nshare = 3',
        "-": 'pass = "2N3055"\nsharing_diode = "1N5404"\nshare = 3'}),
}  # fmt: skip
"""By core: its arrangement, and its types for either sign. There is no N-channel core in the catalogue."""

REGULATORS = {("+", "fixed"): "7812", ("+", "adjustable"): "317", ("-", "fixed"): "7912", ("-", "adjustable"): "337"}
LIMITS = {"": "", "limited": 'limit = "60 A"', "folded": 'limit = "60 A"\nfoldback = "20 A"'}
SENSE = {("+", False): "BD140", ("-", False): "BD139", ("+", True): "BD139", ("-", True): "BD140"}
"""The limiter's type by sign and by whether it stands behind the pass devices, in a follower."""

PARALLEL = {"": "", "two regulators": 'regulators = 2\nregulator_ballast = "0.5 Ω"',
            "three regulators": 'regulators = 3\nregulator_ballast = "0.5 Ω"'}  # fmt: skip
PROTECTION = {"D1": 'reverse_diode = "1N4002"', "D2": 'output_diode = "1N4004"', "C1": 'C1 = "330 nF"',
              "C2": 'C2 = "1 µF"', "crowbar": 'crowbar = "15 V"\nthyristor = "BT151"'}  # fmt: skip
MADE_OF = {"crowbar": ("QT", "DT", "RT")}
"""Parts of what stands around, where they are not called as it is."""

STANDING = """[[parts]]
name = "R90"
kind = "resistor"
role = "standing load"
pins = { a = "out", b = "ground" }
resistance  = "1 kΩ"
rated_power = "1 W"
"""


@dataclass(frozen=True, slots=True)
class DrawnStage:
    """One combination; `protection` are the names of the parts around."""

    core: str
    sign: str
    reference: str
    count: int
    limit: str
    regulators: str
    protection: tuple[str, ...]
    standing: bool

    @property
    def name(self) -> str:
        """In words."""
        options = [self.limit, self.regulators, *self.protection, "standing load" * self.standing]
        return f"{self.sign}{self.core} {self.reference} {self.count} {' '.join(filter(None, options))}".strip()

    @property
    def text(self) -> str:
        """The design file."""
        arrangement, types = CORES[self.core]
        minus = "-" if self.sign == "-" else ""
        lines = [types[self.sign], LIMITS[self.limit], PARALLEL[self.regulators],
                 *(PROTECTION[name] for name in self.protection)]  # fmt: skip
        if self.limit:
            lines.append(f'limiter = "{SENSE[self.sign, arrangement == "follower"]}"')
        return f"""[input]
voltage = ["{minus}20 V", "{minus}21 V", "{minus}22 V"]
[output]
voltage = "{minus}12 V"
load = ["50 mA", "2 A", "4 A"]
[stage]
arrangement = "{arrangement}"
regulator = "{REGULATORS[self.sign, self.reference]}"
count = {self.count}
{chr(10).join(filter(None, lines))}
{STANDING if self.standing else ""}"""

    def design(self) -> Design:
        """Laid out as the program does it."""
        return designed(read_text(self.text, "stage.toml"))

    def thinned(self, full: Design) -> Design:
        """The same without laying out, from the design of the stage that has everything around."""
        away = set(PROTECTION) - set(self.protection)
        out = {part for name in away for part in MADE_OF.get(name, (name,))} | ({"R90"} - {"R90" * self.standing})
        return replace(full, parts=tuple(part for part in full.parts if part.name not in out))


def every_stage() -> Iterator[DrawnStage]:
    """The whole product."""
    around = [names for size in range(len(PROTECTION) + 1) for names in combinations(PROTECTION, size)]
    for core, (_, signs) in CORES.items():
        for choice in product(signs, ("fixed", "adjustable"), COUNTS, LIMITS, PARALLEL, around, (False, True)):
            yield DrawnStage(core, *choice)


def some_stages(seed: int = 1, among: int = 3000) -> Sequence[DrawnStage]:
    """A few of them that have every pair of choices at least once; always the same ones."""
    left = random.Random(seed).sample(list(every_stage()), among)
    chosen: list[DrawnStage] = []
    met: set[tuple[object, ...]] = set()
    for least in (30, 12, 6, 3, 1):  # first those that bring many new pairs
        for stage in left:
            new = _pairs(stage) - met
            if len(new) >= least:
                chosen.append(stage)
                met |= new
    return chosen


def _pairs(stage: DrawnStage) -> set[tuple[object, ...]]:
    values = [stage.core, stage.sign, stage.reference, stage.count, stage.limit, stage.regulators, stage.standing]
    choices = [*enumerate(values), *(("around", name, name in stage.protection) for name in PROTECTION)]
    return set(combinations(choices, 2))


def longest_figures(parts: Sequence[DesignPart]) -> OperatingPoint:
    """Figures as long as they get; currents that leave every part as they enter it. Nothing is solved."""
    three = {"collector": 2.291, "base": 0.0765, "emitter": -2.3675}
    currents = {"bipolar": three, "mosfet": {"drain": -2.29, "gate": 0.0, "source": 2.29},
                "regulator": {"in": 0.335, "out": -0.3299, "ref": -0.0051}}  # fmt: skip
    found = {}
    for one in parts:
        pins = list(one.part.pins)
        through = 0.0 if len(set(one.part.pins.values())) == 1 else 0.888
        plain = {pins[0]: through, pins[1]: -through} | dict.fromkeys(pins[2:], 0.0)
        hot = ZERO_CELSIUS + 197.0 if one.part.kind in currents else None
        found[one.name] = PartPoint(currents.get(one.part.kind, plain), 88.8e-3, hot)
    nets = {net: 12.95 for one in parts for net in one.part.pins.values() if net != "ground"}
    return OperatingPoint("solved", Conditions(18.0, 5.0, 298.15), nets, {}, found)
