"""Devices of a stage as parts: one on its heat path, or several pass devices side by side with their ballast."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from outboard.arrangements.catalogued import device
from outboard.arrangements.design import DesignPart
from outboard.arrangements.mounting import heat_path
from outboard.arrangements.rails import IN
from outboard.arrangements.resistors import resistor
from outboard.arrangements.sizing import SizedValue
from outboard.arrangements.stage_types import Given
from outboard.network.part import GROUND

FIRST_BALLAST = 3
"""R1 is the base resistor, R2 the bleed; ballast begins with R3."""


@dataclass
class StageParts:
    """Collects the parts of one stage, and the notes on them.

    lead       net from which R1 leads to the regulator: the input, or what is behind a sharing diode
    reference  net of the regulators' reference pins
    """

    given: Given
    lead: str = IN
    reference: str = GROUND
    parts: list[DesignPart] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def add_device(self, name: str, role: str, key: str, pins: Mapping[str, str]) -> None:
        """A device on its heat path; `key` is where [stage] and [heat] name it."""
        part_type = self.given.types[key]
        path = heat_path(self.given.brief.heat, key, name, part_type)
        self.parts.append(device(name, role, part_type, pins, path.heat, path.pad))
        if path.note:
            self.notes.append(path.note)

    def add_regulators(self, source: str, feed: str, ballast: SizedValue | None) -> None:
        """U1, U2 … side by side, each with its ballast when there is some."""
        for number in range(1, self.given.stage.regulators + 1):
            out = feed if ballast is None else f"o{number}"
            pins = {"in": source, "out": out, "ref": self.reference}
            self.add_device(f"U{number}", "regulator", "regulator", pins)
            if ballast is not None:
                self.add_resistor(ballast.names[number - 1], ballast, (out, feed))

    def add_resistor(self, name: str, value: SizedValue, pins: tuple[str, str]) -> None:
        """A resistor with its sized value; nothing when it is left out."""
        if value.chosen is not None:
            tolerance = self.given.stage.resistors
            self.parts.append(resistor(name, value.role, pins, value.chosen, tolerance, value.rated_power))

    def add_pass_devices(
        self, names: Sequence[str], base: str, collector: str, rail: str, ballast: SizedValue | None,
        pins: tuple[str, str, str] = ("collector", "base", "emitter"),
    ) -> None:  # fmt: skip
        """Pass devices in parallel; each emitter (source) on the rail, through its ballast when there is some."""
        nets = {name: rail if ballast is None else f"e{number}" for number, name in enumerate(names, 1)}
        if ballast is not None:
            for resistor_name, net in zip(ballast.names, nets.values(), strict=True):
                self.add_resistor(resistor_name, ballast, (rail, net))
        for name in names:
            joined = dict(zip(pins, (collector, base, nets[name]), strict=True))
            self.add_device(name, "pass device", "pass", joined)


def ballast_names(count: int) -> tuple[str, ...]:
    """R3, R4 … for as many devices."""
    return tuple(f"R{FIRST_BALLAST + number}" for number in range(count))
