"""The words at each part: name, type or value, and what happens in it; each figure in a slot that a page may fill."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from outboard.analysis.operating import OperatingPoint
from outboard.arrangements.design import DesignPart
from outboard.constants import ZERO_CELSIUS
from outboard.draw.schematic.chains import Seat
from outboard.draw.schematic.letters import BOLD, PART, TYPE, VALUE, Face, width
from outboard.draw.schematic.shares import share, voltage_across
from outboard.quantity import CAPACITANCE, CURRENT, INDUCTANCE, POWER, RESISTANCE, VOLTAGE, shown
from outboard.quantity.showing import MINUS

LINE = 18.0
BAR_MOST, BAR_PER_WATT, BAR_LEAST = 62.0, 2.4, 2.0
LONGEST_POWER, LONGEST_STATE, LONGEST_CURRENT = "888 mW", "888 mA · ▲ 888 %", "8.88 mA"
LEAST_POWER = 1e-6
"""Power [W] below which nothing is said of it."""

LEAST_CURRENT = 1e-9
SLOTS = ("name", "value", "power", "state", "share", "current", "heat")
"""What is told of a part; each has the id SLOT-NAME. That of a net is its voltage."""

MAIN_CURRENT = {"bipolar": "collector", "mosfet": "drain"}
NO_SHARE = "?"


@dataclass(frozen=True, slots=True)
class Word:
    """Words in a face; `slot` is the id under which a page finds them."""

    text: str
    face: Face
    slot: str | None = None


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of words beside a part; `bar` is the length of the bar of heat before the second line, if there is one."""

    lines: Sequence[Sequence[Word]]
    width: float
    bar: float | None = None


def slug(name: str) -> str:
    """A name as part of an id: letters, digits, dots and dashes; what else it has is spelt by number."""
    return re.sub(r"[^0-9A-Za-z.]", lambda found: f"-{ord(found[0]):x}-" if found[0] != " " else "-", name)


def value_of(part: DesignPart) -> str:
    """Type, or value, of a part in few words; nothing where there is none to say."""
    values = part.part.values
    if part.type is not None:
        return part.type.name
    for field, dimension in (
        ("resistance", RESISTANCE), ("capacitance", CAPACITANCE), ("inductance", INDUCTANCE),
        ("breakdown_voltage", VOLTAGE),
    ):  # fmt: skip
        if field in values and part.part.kind not in ("source", "load"):
            return shown(values[field], dimension, zeros=False)
    if part.part.kind == "regulator" and "set_voltage" in values:
        return shown(values["set_voltage"], VOLTAGE, zeros=False)
    return ""


def title_of(part: DesignPart, role: str) -> str:
    """Name, purpose and value as a sentence's beginning."""
    value = value_of(part)
    return f"{part.name}, {role}" + (f" {value}" if value else "")


def name_of(part: DesignPart) -> str:
    """The name as it is lettered."""
    if part.part.kind == "source" and part.name == "input":
        return "Source"
    return part.name.capitalize() if part.part.kind == "load" and part.name == "load" else part.name


def label(seat: Seat, point: OperatingPoint | None, bars: float | None) -> Label:
    """The words of a part, with its figures at a point if one is given; `bars` is the scale of heat [units per W]."""
    part = seat.part
    heading = [Word(name_of(part), PART, f"name-{slug(part.name)}")]
    value = value_of(part)
    if value:
        heading.append(Word(f" {value}", TYPE, f"value-{slug(part.name)}"))
    lines = [heading]
    if seat.part.part.kind == "regulator":
        lines = []
    elif part.part.kind in ("source", "load") and point is None:
        lines += [[Word(text, VALUE)] for text in _nominal(part)]
    bar = None
    if point is not None:
        lines += _figures(part, point, bars is not None)
        found = point.parts[part.name]
        if bars is not None and found.power is not None and _is_heated(part):
            bar = max(BAR_LEAST, min(BAR_MOST, found.power * bars)) if abs(found.power) >= LEAST_POWER else 0.0
    return Label(lines, _width(lines, part, point is not None), bar)


def _is_heated(part: DesignPart) -> bool:
    return part.part.kind not in ("capacitor", "source", "load", "inductor")


def _width(lines: Sequence[Sequence[Word]], part: DesignPart, figures: bool) -> float:
    """The widest that the words may get while a page changes the figures."""
    found = max((sum(width(word.text, word.face) for word in line) for line in lines), default=0.0)
    if figures and part.part.kind not in ("source", "load"):
        found = max(found, width(LONGEST_STATE, VALUE), BAR_MOST + 8.0 + width(LONGEST_POWER, VALUE))
    return found + 4.0


def _nominal(part: DesignPart) -> list[str]:
    """What a source gives or a load takes, as the design has it."""
    values = part.part.values
    found = []
    for field, dimension in (("voltage", VOLTAGE), ("draws", CURRENT), ("power", POWER), ("resistance", RESISTANCE)):
        if values.get(field):
            found.append(shown(abs(values[field]), dimension, zeros=False))
    return found


def _figures(part: DesignPart, point: OperatingPoint, tinted: bool) -> list[list[Word]]:
    """Power, and state with share, each in its slot."""
    name, found = slug(part.name), point.parts[part.name]
    power = Word(watts(found.power or 0.0), VALUE, f"power-{name}")
    kind = part.part.kind
    if kind == "source":
        volts = shown(abs(part.part.values["voltage"]), VOLTAGE)  # its signs say which way
        return [[Word(volts, VALUE, f"state-{name}")], [_current(found.currents["plus"], name)]]
    if kind == "load":
        return [[_current(found.currents["plus"], name)], [power]]
    words = state(part, point)
    used = share(part, point)
    rest = [Word(words, VALUE, f"state-{name}")]
    if tinted or used is not None:
        rest.append(Word(f" · {share_words(used)}", VALUE, f"share-{name}"))
    return [rest] if kind in ("capacitor", "inductor") else [[power], rest]


def _current(current: float, name: str) -> Word:
    return Word(amperes(current), VALUE, f"current-{name}")


def state(part: DesignPart, point: OperatingPoint) -> str:
    """The figure that says most about a part: its junction, else its current, else the voltage across it."""
    found, kind = point.parts[part.name], part.part.kind
    if kind in ("bipolar", "mosfet", "regulator") and found.junction is not None:
        return f"{found.junction - ZERO_CELSIUS:.0f} °C".replace("-", MINUS)
    if kind in ("capacitor",) or (kind == "diode" and found.currents["anode"] < 1e-6):
        return shown(abs(voltage_across(part, point)), VOLTAGE)
    pin = MAIN_CURRENT.get(kind, "out" if kind == "regulator" else next(iter(part.part.pins)))
    return amperes(found.currents[pin])


def share_words(used: float | None) -> str:
    """A share in per cent, marked where it is over."""
    if used is None:
        return NO_SHARE
    per_cent = f"{100.0 * used:.0f} %"
    return f"▲ {per_cent}" if used > 1.0 else per_cent


def step(used: float | None) -> str:
    """The class of tint of a share: t0 … t5, tx when over."""
    if used is None:
        return "t0"
    if used > 1.0:
        return "tx"
    return f"t{1 + sum(used >= bound for bound in (0.25, 0.50, 0.75, 0.90))}"


def amperes(current: float) -> str:
    """A current's size to three digits."""
    return shown(0.0 if abs(current) < LEAST_CURRENT else abs(current), CURRENT)


def watts(power: float) -> str:
    """A power's size to three digits; what warms nothing is nothing."""
    return shown(0.0 if abs(power) < LEAST_POWER else abs(power), POWER)


def meter(seat: Seat, point: OperatingPoint | None) -> tuple[Word, str] | None:
    """The main current of a transistor beside its lead, and the pin of that lead; None without figures."""
    pin = MAIN_CURRENT.get(seat.part.part.kind)
    if pin is None or point is None:
        return None
    word = Word(amperes(point.parts[seat.name].currents[pin]), BOLD, f"current-{slug(seat.name)}")
    return word, pin


def bar_scale(parts: Sequence[DesignPart], point: OperatingPoint) -> float:
    """Units of bar per watt: the same for all parts, and no bar too long."""
    powers: Mapping[str, float] = {part.name: point.parts[part.name].power or 0.0 for part in parts
                                   if part.name in point.parts and _is_heated(part)}  # fmt: skip
    most = max(powers.values(), default=0.0)
    return min(BAR_PER_WATT, BAR_MOST / most) if most > 0 else BAR_PER_WATT
