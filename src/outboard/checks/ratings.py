"""What every part may bear, as checks: voltages, currents, power at the case's temperature, junction temperature."""

from collections.abc import Iterator
from functools import partial

import numpy as np

from outboard.arrangements.design import Design, DesignPart
from outboard.checks import needs
from outboard.checks.check import AT_MOST, Check, Floats, Quantity
from outboard.checks.needs import Need
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.network.solution import Block
from outboard.parts import Rating
from outboard.parts.records import Origin, printed
from outboard.quantities import figures

UNKNOWN = Origin("", "", "not known")
ROOM = REFERENCE_TEMPERATURE
"""Where a junction rests: nothing of its rating is used [K]."""

Needs = tuple[Need, ...]


def rating_checks(design: Design) -> Iterator[Check]:
    """The ratings of every transistor, regulator, diode and resistor."""
    shared = needs.operating_point(design)
    for part in design.parts:
        if part.part.kind == "bipolar":
            yield from _bipolar(part, shared)
        elif part.part.kind == "mosfet":
            yield from _mosfet(part, shared)
        elif part.part.kind == "regulator":
            yield from _regulator(part, shared)
        elif part.part.kind == "diode":
            yield from _diode(part, shared)
        elif part.part.kind == "resistor":
            yield _resistor(part, shared)


def _at_most(
    requirement: str, part: DesignPart, symbol: str, measure: Quantity, unit: str, *shared: Need, rest: float = 0.0
) -> Check:
    """A value that must stay below a rating."""
    found = part.rating(symbol)
    return Check(
        requirement, part.name, measure, needs.value(found), AT_MOST, unit, found.origin if found else UNKNOWN,
        (needs.rating(part, symbol), *shared), rest, rating=symbol,
    )  # fmt: skip


def _bipolar(part: DesignPart, shared: Needs) -> Iterator[Check]:
    name = part.name
    yield _at_most("collector-emitter voltage", part, "V_CEO",
                   lambda block: figures.collector_emitter_voltage(block, name), "V", *shared)  # fmt: skip
    yield _at_most("reverse base-emitter voltage", part, "V_EBO",
                   lambda block: figures.reverse_base_emitter_voltage(block, name), "V")  # fmt: skip
    for requirement, symbol, measure in (
        ("collector current", "I_C", figures.collector_current), ("base current", "I_B", figures.base_current),
    ):  # fmt: skip
        yield _at_most(requirement, part, symbol, partial(measure, part=name), "A", *shared)
    yield _case_power(part, shared)
    yield _junction(part, shared)


def _mosfet(part: DesignPart, shared: Needs) -> Iterator[Check]:
    name = part.name

    def size(block: Block, upper: str, lower: str) -> Floats:
        return np.abs(figures.voltage_between(block, name, upper, lower))

    yield _at_most("drain-source voltage", part, "V_DSS", partial(size, upper="drain", lower="source"), "V", *shared)
    yield _at_most("gate-source voltage", part, "V_GS", partial(size, upper="gate", lower="source"), "V", *shared)
    yield _drain_current(part, shared)
    yield _case_power(part, shared)
    yield _junction(part, shared)


def _drain_current(part: DesignPart, shared: Needs) -> Check:
    """Current against I_D, which falls with the root of what the case leaves to the hottest junction.

    So sheets make their I_D at a case temperature: its heat I²·R_DS(on) is all that limits it.
    """
    name, found = part.name, part.rating("I_D")
    to_case, rated, most = (needs.value(part.rating(symbol)) for symbol in ("R_thJC", "I_D", "T_J"))

    def limit(block: Block) -> Floats:
        case = figures.case_temperature(block, name, to_case)
        return rated * np.sqrt(np.clip((most - case) / (most - REFERENCE_TEMPERATURE), 0.0, 1.0))

    known = tuple(needs.rating(part, symbol) for symbol in ("I_D", "R_thJC", "T_J"))
    return Check("drain current at case temperature", name, lambda block: np.abs(block.pin_current(name, "drain")),
                 limit, AT_MOST, "A", found.origin if found else UNKNOWN,
                 (*known, needs.heat_path(part), *shared), rating="I_D")  # fmt: skip


def _junction(part: DesignPart, shared: Needs) -> Check:
    name = part.name
    return _at_most("junction temperature", part, "T_J", lambda block: block.junction_temperature(name), "K",
                    needs.heat_path(part), needs.thermal_resistance(part), *shared, rest=ROOM)  # fmt: skip


def _case_power(part: DesignPart, shared: Needs) -> Check:
    """Power against the derating line at the case's own temperature."""
    name = part.name
    to_case, power, most = (needs.value(part.rating(symbol)) for symbol in ("R_thJC", "P_tot", "T_J"))

    def limit(block: Block) -> Floats:
        return figures.allowed_power(figures.case_temperature(block, name, to_case), power, most)

    found = part.rating("P_tot")
    known = tuple(needs.rating(part, symbol) for symbol in ("P_tot", "R_thJC", "T_J"))
    return Check("power at case temperature", name, lambda block: block.power(name), limit, AT_MOST, "W",
                 found.origin if found else UNKNOWN, (*known, needs.heat_path(part), *shared),
                 rating="P_tot")  # fmt: skip


def _regulator(part: DesignPart, shared: Needs) -> Iterator[Check]:
    name = part.name
    quiescent = needs.spread(part, "quiescent current", "most")
    if part.rating("V_I") is None and part.rating("V_diff") is not None:
        yield _at_most("input-output voltage", part, "V_diff",
                       lambda block: figures.regulator_differential(block, name), "V", *shared)  # fmt: skip
    else:
        yield _at_most("input voltage", part, "V_I", lambda block: figures.regulator_input(block, name), "V")
    yield _guaranteed("input-output differential", part, lambda block: figures.regulator_differential(block, name),
                      _most_differential(part), "V", shared)  # fmt: skip
    yield _guaranteed_power(part, (quiescent, *shared))
    yield _junction(part, (quiescent, *shared))


def _guaranteed(
    requirement: str, part: DesignPart, measure: Quantity, most: float | None, unit: str, shared: Needs
) -> Check:
    """A value up to which the sheet guarantees the output voltage, or the reference of an adjustable regulator."""
    found = _guarantee(part)
    if found is None or most is None:
        need = Need(None, f"the {requirement} up to which {needs.titled(part)} is guaranteed is not known")
        return Check(requirement, part.name, measure, float("nan"), AT_MOST, unit, UNKNOWN, (need, *shared))
    return Check(requirement, part.name, measure, most, AT_MOST, unit, found.origin, (Need(found.origin), *shared))


def _guarantee(part: DesignPart) -> Rating | None:
    """The greatest output or reference voltage that the sheet guarantees."""
    return part.rating("V_O_most") or part.rating("V_REF_most")


def _most_differential(part: DesignPart) -> float | None:
    """Greatest input-output voltage of the row that guarantees the output: as printed, or input less usual output."""
    found = _guarantee(part)
    if found is None:
        return None
    given = found.figure.conditions
    if given.differential_voltage is not None:
        return given.differential_voltage[1]
    if given.input_voltage is None or found.figure.typical is None:
        return None
    return given.input_voltage[1] - found.figure.typical


def _guaranteed_power(part: DesignPart, shared: Needs) -> Check:
    """Dissipation up to which the output or reference is guaranteed: of the guaranteeing row, else of one beside it."""
    found, name = _guarantee(part), part.name
    rows = () if found is None or part.type is None else (found.figure, *part.type.rows(found.figure.name))
    row = next((row for row in rows if row.conditions.power is not None and row.most is not None), None)

    def measure(block: Block) -> Floats:
        return block.power(name)

    if row is None or row.conditions.power is None:
        need = Need(None, f"the dissipation up to which {needs.titled(part)} is guaranteed is not known")
        return Check("dissipation", name, measure, float("nan"), AT_MOST, "W", UNKNOWN, (need, *shared))
    origin = printed(row, "most", needs.typed(part))
    return Check("dissipation", name, measure, row.conditions.power, AT_MOST, "W", origin, (Need(origin), *shared))


def _diode(part: DesignPart, shared: Needs) -> Iterator[Check]:
    name = part.name
    forward = tuple(needs.spread(part, "forward voltage", end) for end in ("least", "most"))
    if part.rating("I_ZM") is not None:
        broken = tuple(needs.spread(part, "breakdown voltage", end) for end in ("least", "most"))
        yield _at_most("Zener current", part, "I_ZM",
                       lambda block: np.maximum(0.0, -block.pin_current(name, "anode")), "A", *broken,
                       *shared)  # fmt: skip
        yield _junction(part, (*forward, *broken, *shared))
        return
    yield _at_most("forward current", part, "I_F",
                   lambda block: np.maximum(0.0, block.pin_current(name, "anode")), "A", *forward, *shared)  # fmt: skip
    working = "V_RWM" if part.rating("V_RRM") is None and part.rating("V_RWM") is not None else "V_RRM"
    yield _at_most(
        "reverse voltage", part, working,
        lambda block: np.maximum(0.0, -figures.voltage_between(block, name, "anode", "cathode")), "V", *shared,
    )  # fmt: skip
    yield _junction(part, (*forward, *shared))


def _resistor(part: DesignPart, shared: Needs) -> Check:
    """Power against the rating, which falls above the temperature of full power."""
    name, rated = part.name, part.rated_power
    if rated is None:
        need = Need(None, f"rated power of {name} is not given")
        return Check("resistor power", name, lambda block: block.power(name), float("nan"), AT_MOST, "W", UNKNOWN,
                     (need, *shared), rating="P")  # fmt: skip

    def limit(block: Block) -> Floats:
        ambient = block.xs[:, :, -1]
        full, zero = rated.full_power_temperature, rated.zero_power_temperature
        if zero is None:
            return np.where(ambient <= full, rated.power, np.nan)
        return rated.power * np.clip((zero - ambient) / (zero - full), 0.0, 1.0)

    return Check("resistor power", name, lambda block: block.power(name), limit, AT_MOST, "W", rated.origin,
                 (Need(rated.origin), *shared), rating="P")  # fmt: skip
