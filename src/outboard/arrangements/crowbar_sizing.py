"""The crowbar's Zener diode and gate resistor, and what the fuse behind it has to do.

It must not fire at anything that was promised, and must fire before the load has more than it withstands.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType

from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.crowbar import Trip, Unknown, trip, zener_row
from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Bound, Fact, PutIn, SizedValue, Window, bound
from outboard.arrangements.stage_types import Given
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas import NoSolution, Worked
from outboard.formulas.crowbar import (
    clearing_time,
    crowbar_resistor,
    discharge_joule_integral,
    fuse_current,
    least_crowbar_resistor,
    most_crowbar_resistor,
    prospective_current,
    stored_energy,
)
from outboard.formulas.dissipation import resistor_power_from_drop
from outboard.formulas.written import written
from outboard.identify import identified
from outboard.parts import PartType, catalogue, find, ratings
from outboard.quantity import CURRENT, TIME, VOLTAGE, shown

CARRIED = 0.75
"""Share of its rated current that a fuse is asked to carry for hours (common practice, no source)."""

USUAL_RESISTANCE = 100.0
"""From gate to cathode where the gate takes the whole test current [Ω] (common practice, no source)."""

BELOW = "the Zener diode is overloaded by a voltage right below the one that fires"
ABOVE = "the leakage of the Zener diode may fire the thyristor"


@dataclass(frozen=True, slots=True)
class SizedCrowbar:
    """The gate resistor with what follows from it."""

    values: tuple[SizedValue, ...] = ()
    figures: tuple[PutIn, ...] = ()
    facts: tuple[Fact, ...] = ()
    remarks: tuple[str, ...] = ()


def with_trigger(given: Given) -> Given:
    """The stage with the Zener diode that fires nearest the wanted voltage, where the file names none."""
    wanted, thyristor = given.stage.crowbar, given.types.get("thyristor")
    if wanted is None or thyristor is None or "trigger" in given.types:
        return given
    found = min(_triggers(), key=lambda zener: _distance(given, zener, thyristor, wanted))
    return replace(given, types=MappingProxyType({**given.types, "trigger": found}))


def _triggers() -> Iterator[PartType]:
    """Every Zener diode of the catalogue whose voltage and tolerance are printed, the closest of each voltage."""
    found: dict[float, tuple[float, PartType]] = {}
    for family in catalogue().values():
        if family.junction != "Zener":
            continue
        for zener in map(find, family.members or (family.name,)):
            row = zener_row(zener)
            share = min((one.most for one in zener.rows("VZ_tolerance") if one.most is not None), default=1.0)
            if row is not None and row.typical is not None and share < found.get(row.typical, (1.0,))[0]:
                found[row.typical] = (share, zener)
    return (zener for _, zener in found.values())


def _distance(given: Given, zener: PartType, thyristor: PartType, wanted: float) -> tuple[bool, float]:
    """First whether it fires at what was promised, or too late, or cannot be told; then how far off it is [V]."""
    ends = _trip(given, zener, thyristor, _exact(zener, thyristor)[0])
    if isinstance(ends, Unknown):
        row = zener_row(zener)
        return True, abs((row.typical or 0.0) - wanted) if row is not None else wanted
    spoils = ends.least.value <= _promised(given)
    late = given.output.withstands is not None and ends.most.value > given.output.withstands
    return spoils or late, abs(0.5 * (ends.least.value + ends.most.value) - wanted)


def _promised(given: Given) -> float:
    """The greatest output that was promised [V]."""
    return given.output.voltage * (1.0 + given.output.tolerance)


def _trip(given: Given, zener: PartType, thyristor: PartType, resistance: float) -> Trip | Unknown:
    ambient = given.brief.surroundings.ambient
    return trip(zener, thyristor, resistance, given.stage.resistors, ambient.least, ambient.most)


def _exact(zener: PartType, thyristor: PartType) -> tuple[float, Worked | None]:
    """The gate resistor with which the Zener diode fires at its test current; else the usual one."""
    row, current, voltage = zener_row(zener), _at_25(thyristor, "IGT"), _at_25(thyristor, "VGT")
    if row is None or current is None or voltage is None:
        return USUAL_RESISTANCE, None
    try:
        worked = crowbar_resistor.evaluated(
            gate_voltage=voltage, test_current=row.conditions.reverse_current or 0.0, gate_current=current
        )
    except NoSolution:
        return USUAL_RESISTANCE, None
    return worked.value, worked


def _at_25(part_type: PartType, name: str) -> float | None:
    """A limit at 25 °C; where none is printed there, the largest of all."""
    rows = [row for row in part_type.rows(name) if row.most is not None]
    here = [row for row in rows if row.conditions.temperature == REFERENCE_TEMPERATURE]
    return max((row.most for row in here or rows if row.most is not None), default=None)


def sized_crowbar(given: Given, ends: Extremes) -> SizedCrowbar:
    """RT, between which voltages the crowbar fires, and what the fuse has to do; nothing without a crowbar."""
    if given.stage.crowbar is None:
        return SizedCrowbar()
    zener, thyristor = given.types["trigger"], given.types["thyristor"]
    exact, worked = _exact(zener, thyristor)
    reason = "so that it fires near the Zener diode's test current" if worked else "the gate takes that current alone"
    wish = Wish(("RT",), "crowbar gate resistor", exact, worked, "nearest", reason, given.stage.series,
                _window(given, zener, thyristor))  # fmt: skip
    most_gate = ratings(thyristor)["V_GT"].value if "V_GT" in ratings(thyristor) else 0.0

    def power(resistance: float) -> Worked:
        return resistor_power_from_drop.evaluated(
            drop=most_gate, resistance=resistance * (1.0 - given.stage.resistors)
        )

    value, about = sized_value(wish, given.stage.RT, None, power, ends.hot)
    fires = _trip(given, zener, thyristor, value.chosen or 0.0)
    if isinstance(fires, Unknown):
        return SizedCrowbar((value,), remarks=(*about, f"when the crowbar fires cannot be told: {fires.why}"))
    facts, behind = _fuse(given, ends, thyristor, fires)
    origins = tuple(PutIn("voltage at which the crowbar fires", worked.value, "V", origin)
                    for worked, origin in zip((fires.least, fires.most), (fires.origins[1], fires.origins[-1]),
                                              strict=True) if origin.kind == "default")  # fmt: skip
    return SizedCrowbar(
        (value,), origins,
        (Fact("output voltage up to which the crowbar certainly stays off", fires.least),
         Fact("output voltage from which it certainly fires", fires.most), *facts),
        (*about, *_judged(given, zener, fires), *behind),
    )  # fmt: skip


def _window(given: Given, zener: PartType, thyristor: PartType) -> Window:
    bears, trusts = ratings(zener), ratings(thyristor)
    current, voltage = _at_25(thyristor, "IGT"), _at_25(thyristor, "VGT")
    least = Bound(None, f"the sheet of {zener.name} prints no I_ZM", open=True)
    if "I_ZM" in bears and current is not None and voltage is not None:
        least = bound(lambda: least_crowbar_resistor.evaluated(
            gate_voltage=voltage, greatest_current=bears["I_ZM"].value, gate_current=current), "")  # fmt: skip
    most = Bound(None, f"the sheet of {zener.name} prints no I_R", open=True)
    if "I_R" in bears and "V_GD" in trusts:
        most = bound(lambda: most_crowbar_resistor.evaluated(
            gate_voltage=trusts["V_GD"].value, leakage=bears["I_R"].value), "")  # fmt: skip
    return Window(least, most, BELOW, ABOVE, given.stage.resistors)


def _judged(given: Given, zener: PartType, fires: Trip) -> Iterator[str]:
    """Whether it stays off at what was promised, and fires before the load has more than it withstands."""
    wanted, promised, withstands = given.stage.crowbar or 0.0, _promised(given), given.output.withstands
    least, most = (shown(end.value, VOLTAGE) for end in (fires.least, fires.most))
    if given.stage.trigger is None:
        yield f"DT: {zener.name}, the Zener diode whose crowbar fires nearest {shown(wanted, VOLTAGE)}"
    elif not fires.least.value <= wanted <= fires.most.value:
        yield f"with {zener.name} the crowbar fires between {least} and {most}, not at {shown(wanted, VOLTAGE)}"
    if fires.least.value <= promised:
        yield (f"the crowbar may fire from {least} on, and {shown(promised, VOLTAGE)} are promised: "
               "a higher crowbar voltage, or a wider tolerance of the load")  # fmt: skip
    if withstands is None:
        yield (f"the crowbar lets up to {most} pass; whether the load bears that stays undecided until [output] "
               "says what it withstands")  # fmt: skip
    elif fires.most.value > withstands:
        yield f"the crowbar may fire at {most} only, and the load withstands {shown(withstands, VOLTAGE)}"


def _fuse(given: Given, ends: Extremes, thyristor: PartType, fires: Trip) -> tuple[tuple[Fact, ...], tuple[str, ...]]:
    """What the fuse has to do so that the thyristor lives, and what the output capacitor adds."""
    facts = [Fact("rated current of the fuse before the stage, at least",
                  fuse_current.evaluated(full_load=ends.full_load, used_share=CARRIED))]  # fmt: skip
    remarks: list[str] = []
    bears, name = ratings(thyristor), thyristor.name
    joule, surge = bears.get("I2t"), bears.get("I_TSM")
    if given.input.resistance > 0.0:
        flows = prospective_current.evaluated(
            input_voltage=given.input.voltage.most, feed_resistance=given.input.resistance
        )
        facts.append(Fact("current into the fired crowbar until the fuse opens, at most", flows))
        if joule is not None:
            within = clearing_time.evaluated(joule_integral=joule.value, prospective=flows.value)
            facts.append(Fact("time within which the fuse has to open", within))
            remarks.append(f"the fuse must clear with less than {written(joule.value, 'A²s', 3)}, which {name} bears: "
                           f"{shown(flows.value, CURRENT, 3)} for {shown(within.value, TIME, 3)}")  # fmt: skip
        elif surge is not None:
            half = "half a cycle of the mains"
            remarks.append(f"the sheet of {name} prints no I²t: up to {shown(flows.value, CURRENT, 3)} flow until the "
                           f"fuse opens, {shown(surge.value, CURRENT, 3)} for {half} are borne")  # fmt: skip
    else:
        remarks.append("what flows into the fired crowbar cannot be told: [input] says no resistance of the feed")
    capacitance = given.stage.C2
    if capacitance is not None:
        slope = identified(thyristor).values["on_resistance"]
        facts.append(Fact("energy that C2 gives into the thyristor",
                          stored_energy.evaluated(capacitance=capacitance, trip=fires.most.value)))  # fmt: skip
        gives = discharge_joule_integral.evaluated(capacitance=capacitance, trip=fires.most.value, resistance=slope)
        facts.append(Fact("Joule integral of C2 through the thyristor alone", gives))
        if joule is not None and gives.value > joule.value:
            remarks.append(f"C2 discharges with up to {written(gives.value, 'A²s', 3)} through {name}, which bears "
                           f"{written(joule.value, 'A²s', 3)}: a resistor in its anode lead")  # fmt: skip
    return tuple(facts), tuple(remarks)
