"""What every part may bear, as checks: voltages, currents, power at the case's temperature, junction temperature."""

from collections.abc import Iterator

import numpy as np

from outboard.arrangements.design import Design, DesignPart
from outboard.checks import needs
from outboard.checks.check import AT_MOST, Check, Floats, Quantity
from outboard.checks.needs import Need
from outboard.network.solution import Block
from outboard.parts import Rating
from outboard.parts.records import Origin
from outboard.quantities import figures

UNKNOWN = Origin("", "", "not known")
ROOM = 298.15


def rating_checks(design: Design) -> Iterator[Check]:
    """The ratings of every transistor, regulator, diode and resistor."""
    for part in design.parts:
        if part.part.kind == "bipolar":
            yield from _bipolar(part)
        elif part.part.kind == "regulator":
            yield from _regulator(part)
        elif part.part.kind == "diode":
            yield from _diode(part)
        elif part.part.kind == "resistor":
            yield _resistor(part)


def _at_most(
    requirement: str, part: DesignPart, symbol: str, measure: Quantity, unit: str, *more: Need, rest: float = 0.0
) -> Check:
    """A value that must stay below a rating."""
    found = part.rating(symbol)
    return Check(
        requirement, part.name, measure, needs.value(found), AT_MOST, unit, found.origin if found else UNKNOWN,
        (needs.rating(part, symbol), *more), rest,
    )  # fmt: skip


def _division(part: DesignPart) -> tuple[Need, ...]:
    """What decides how much of the current a transistor takes."""
    return (
        needs.spread(part, "gain", "least"), needs.spread(part, "gain", "most"), needs.spread(part, "V_BE", "least"),
        needs.spread(part, "V_BE", "most"), needs.parameter(part, "gain_temperature_exponent"),
    )  # fmt: skip


def _thermal(part: DesignPart) -> tuple[Need, ...]:
    """A heat path and the rating that it rests on."""
    symbol = "R_thJC" if part.pad is not None else "R_thJA"
    resistance = needs.rating(part, symbol) if part.type is not None else Need(Origin("stated", "", "heat path"))
    return needs.heat_path(part), resistance


def _bipolar(part: DesignPart) -> Iterator[Check]:
    name = part.name
    shared = _division(part)
    yield _at_most("collector-emitter voltage", part, "V_CEO",
                   lambda block: figures.collector_emitter_voltage(block, name), "V")  # fmt: skip
    yield _at_most("reverse base-emitter voltage", part, "V_EBO",
                   lambda block: figures.reverse_base_emitter_voltage(block, name), "V")  # fmt: skip
    yield _at_most("collector current", part, "I_C", lambda block: figures.collector_current(block, name), "A", *shared)
    yield _at_most("base current", part, "I_B", lambda block: figures.base_current(block, name), "A", *shared)
    yield _case_power(part, shared)
    yield _junction(part, shared)


def _junction(part: DesignPart, shared: tuple[Need, ...]) -> Check:
    name = part.name
    return _at_most("junction temperature", part, "T_J", lambda block: block.junction_temperature(name), "K",
                    *_thermal(part), *shared, rest=ROOM)  # fmt: skip


def _case_power(part: DesignPart, shared: tuple[Need, ...]) -> Check:
    """Power against the derating line at the case's own temperature."""
    name = part.name
    to_case, power, most = (needs.value(part.rating(symbol)) for symbol in ("R_thJC", "P_tot", "T_J"))

    def limit(block: Block) -> Floats:
        return figures.allowed_power(figures.case_temperature(block, name, to_case), power, most)

    found = part.rating("P_tot")
    known = tuple(needs.rating(part, symbol) for symbol in ("P_tot", "R_thJC", "T_J"))
    return Check("power at case temperature", name, lambda block: block.power(name), limit, AT_MOST, "W",
                 found.origin if found else UNKNOWN, (*known, needs.heat_path(part), *shared))  # fmt: skip


def _regulator(part: DesignPart) -> Iterator[Check]:
    name = part.name
    yield _at_most("input voltage", part, "V_I", lambda block: figures.regulator_input(block, name), "V")
    yield from _guaranteed_range(part)
    yield _junction(part, (needs.spread(part, "quiescent current", "most"),))


def _guaranteed_range(part: DesignPart) -> Iterator[Check]:
    """Differential and dissipation up to which the sheet guarantees the output voltage."""
    name, found = part.name, part.rating("V_O_most")
    conditions = found.figure.conditions if found else None
    usual = found.figure.typical if found else None
    most_input = conditions.input_voltage[1] if conditions and conditions.input_voltage else None
    if most_input is not None and usual is not None:
        differential = Need(_row(found))
    else:
        differential = Need(None, f"the input range in which {needs.titled(part)} is guaranteed is not known")
    power = Need(_row(found))
    most_power = conditions.power if conditions else None
    if most_power is None:
        power = Need(None, f"the power up to which {needs.titled(part)} is guaranteed is not known")
    yield Check(
        "input-output differential", name, lambda block: figures.regulator_differential(block, name),
        most_input - usual if most_input is not None and usual is not None else float("nan"), AT_MOST, "V",
        _row(found), (differential,),
    )  # fmt: skip
    yield Check(
        "dissipation", name, lambda block: block.power(name), most_power if most_power is not None else float("nan"),
        AT_MOST, "W", _row(found), (power,),
    )  # fmt: skip


def _row(found: Rating | None) -> Origin:
    return found.origin if found is not None else UNKNOWN


def _diode(part: DesignPart) -> Iterator[Check]:
    name = part.name
    yield _at_most("forward current", part, "I_F",
                   lambda block: np.maximum(0.0, block.pin_current(name, "anode")), "A")  # fmt: skip
    yield _at_most(
        "reverse voltage", part, "V_RRM",
        lambda block: np.maximum(0.0, -figures.voltage_between(block, name, "anode", "cathode")), "V",
    )  # fmt: skip
    yield _junction(part, ())


def _resistor(part: DesignPart) -> Check:
    """Power against the rating, which falls above the temperature of full power."""
    name, rated = part.name, part.rated_power
    if rated is None:
        need = Need(None, f"rated power of {name} is not given")
        return Check("resistor power", name, lambda block: block.power(name), float("nan"), AT_MOST, "W", UNKNOWN,
                     (need,))  # fmt: skip

    def limit(block: Block) -> Floats:
        ambient = block.xs[:, :, -1]
        full, zero = rated.full_power_temperature, rated.zero_power_temperature
        if zero is None:
            return np.where(ambient <= full, rated.power, np.nan)
        return np.asarray(rated.power * np.clip((zero - ambient) / (zero - full), 0.0, 1.0))

    return Check("resistor power", name, lambda block: block.power(name), limit, AT_MOST, "W", rated.origin,
                 (Need(rated.origin),))  # fmt: skip


