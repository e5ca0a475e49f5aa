"""The crowbar of a design: a thyristor across the output that a Zener diode fires, and between which voltages it does.

    out ──┬── DT (Zener diode) ── t ──┬── RT ──┐
          └── QT anode     gate ──────┘  QT cathode ── ground

What fires a thyristor is printed at some temperature; colder it takes more, by the ratio that the sheet of the 2N6504
prints for its own gate current and a few millivolts a kelvin (both defaults, marked so).
"""

import math
from dataclasses import dataclass

from outboard.arrangements.design import Design, DesignPart
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas import Worked
from outboard.formulas.crowbar import trip_voltage, zener_drift
from outboard.identify.records import default
from outboard.parts import PartType, ratings
from outboard.parts.records import Figure, Origin, printed

CROWBAR, TRIGGER_DIODE, GATE_RESISTOR = "crowbar", "crowbar trigger", "crowbar gate resistor"
"""Roles of the three parts."""

DRIFT, STEADY = 1.1e-3, 3.7
"""The line through the coefficients of Zener voltages [1/K], and where it crosses nothing [V]."""

LEAST_ZENER = 6.0
"""Below this the drift of a Zener diode has no certain sign [V]."""

COLDER_CURRENT, COLDER_BY = 2.5, 65.0
"""Gate current by which so many kelvins less are paid: that of the 2N6504 between 25 °C and −40 °C (default)."""

COLDER_VOLTAGE = 2.5e-3
"""By how much the gate's voltage grows towards the cold [V/K] (default)."""

SAME_TEMPERATURE = 0.01
"""Temperatures nearer to each other are one [K]."""

MOST_CURRENT = 20.0
"""In parts of its test current, what a Zener diode bears for a moment: surge currents are printed at about that."""


@dataclass(frozen=True, slots=True)
class Gate:
    """What fires every device at a temperature: gate current [A] and voltage [V], with where they come from."""

    current: float
    voltage: float
    origins: tuple[Origin, ...]


@dataclass(frozen=True, slots=True)
class Trip:
    """Between which output voltages a crowbar fires, each worked out, and what that rests on."""

    least: Worked
    most: Worked
    origins: tuple[Origin, ...]


@dataclass(frozen=True, slots=True)
class Crowbar:
    """The three parts of a design's crowbar; trigger and gate resistor are None where the design has none."""

    thyristor: DesignPart
    trigger: DesignPart | None
    resistor: DesignPart | None


@dataclass(frozen=True, slots=True)
class Unknown:
    """Why it cannot be told when a crowbar fires; `never` where it certainly does not."""

    why: str
    never: bool = False


def crowbar_of(design: Design) -> Crowbar | None:
    """The crowbar of a design, None without one."""
    thyristor = next((part for part in design.parts if part.part.kind == "thyristor" and part.role == CROWBAR), None)
    if thyristor is None:
        return None
    pins = thyristor.part.pins
    trigger = next((part for part in design.parts if part.part.kind == "diode"
                    and dict(part.part.pins) == {"anode": pins["gate"], "cathode": pins["anode"]}), None)  # fmt: skip
    resistor = next((part for part in design.parts if part.part.kind == "resistor"
                     and set(part.part.pins.values()) == {pins["gate"], pins["cathode"]}), None)  # fmt: skip
    return Crowbar(thyristor, trigger, resistor)


def trip_of(design: Design, crowbar: Crowbar) -> Trip | Unknown:
    """When a design's crowbar fires, or why that cannot be told."""
    thyristor, trigger, resistor = crowbar.thyristor, crowbar.trigger, crowbar.resistor
    if trigger is None:
        return Unknown(f"{thyristor.name} has no Zener diode from its gate to its anode", never=True)
    if thyristor.type is None or trigger.type is None:
        return Unknown(f"{thyristor.name} or its Zener diode has no type, so what fires it is not known")
    ambient = design.brief.surroundings.ambient
    value = math.inf if resistor is None else resistor.part.values["resistance"]
    tolerance = 0.0 if resistor is None else resistor.tolerance or 0.0
    return trip(trigger.type, thyristor.type, value, tolerance, ambient.least, ambient.most)


def trip(
    zener: PartType, thyristor: PartType, resistance: float, tolerance: float, cold: float, hot: float
) -> Trip | Unknown:
    """Between which output voltages a Zener diode fires a thyristor, temperatures [K] and tolerances counted."""
    row = zener_row(zener)
    limits = ratings(thyristor)
    fires = gate(thyristor, cold)
    silent = [words for words, found in (
        (f"V_Z of {zener.name} is not known", row), (f"V_GD of {thyristor.name} is not known", limits.get("V_GD")),
        (f"I_GT or V_GT of {thyristor.name} is not known", fires),
    ) if found is None]  # fmt: skip
    if row is None or fires is None or silent:
        return Unknown(silent[0])
    if resistance <= 0.0:
        return Unknown("the gate is tied to the cathode", never=True)
    usual, test = row.typical or 0.0, row.conditions.reverse_current or 0.0
    if usual < LEAST_ZENER:
        return Unknown(f"how V_Z of {zener.name} moves with temperature is not certain below 6 V")
    if fires.current + fires.voltage / resistance > MOST_CURRENT * test:
        return Unknown(f"the gate resistor takes so much that {zener.name} burns before {thyristor.name} fires",
                       never=True)  # fmt: skip
    share, of_share = _tolerance(zener)
    drift = zener_drift(slope=DRIFT, zener_voltage=usual, steady_voltage=STEADY)
    slope = max((one.most for one in zener.rows("ZZT") if one.most is not None), default=0.0)
    least = trip_voltage.evaluated(
        zener_voltage=usual * (1.0 - share) + drift * min(0.0, cold - REFERENCE_TEMPERATURE), zener_resistance=slope,
        gate_current=0.0, gate_voltage=limits["V_GD"].value, gate_resistance=resistance * (1.0 + tolerance),
        test_current=test,
    )
    most = trip_voltage.evaluated(
        zener_voltage=usual * (1.0 + share) + drift * max(0.0, hot - REFERENCE_TEMPERATURE), zener_resistance=slope,
        gate_current=fires.current, gate_voltage=fires.voltage, gate_resistance=resistance * (1.0 - tolerance),
        test_current=test,
    )
    drifts = default("drift of Zener diodes after the sheet of the 1N957 series")
    origins = (printed(row, "typical", zener.name), of_share, drifts, limits["V_GD"].origin, *fires.origins)
    return Trip(least, most, origins)


def zener_row(zener: PartType) -> Figure | None:
    """The row of V_Z with its test current."""
    rows = zener.rows("VZ")
    return next((row for row in rows if row.typical is not None and row.conditions.reverse_current is not None), None)


def _tolerance(zener: PartType) -> tuple[float, Origin]:
    row = next((one for one in zener.rows("VZ_tolerance") if one.most is not None), None)
    if row is None or row.most is None:
        return 0.1, default(f"tolerance of V_Z of {zener.name} is not printed, 10 % taken")
    return row.most, printed(row, "most", zener.name)


def gate(thyristor: PartType, cold: float) -> Gate | None:
    """What fires every device of a type at the lowest temperature [K]; None where the sheet is silent."""
    current, voltage = (_coldest(thyristor, name) for name in ("IGT", "VGT"))
    if current is None or voltage is None:
        return None
    origins = [printed(row, "most", thyristor.name) for row in (current, voltage)]
    colder = [max(0.0, row.conditions.temperature - cold) for row in (current, voltage)]
    if max(colder) > SAME_TEMPERATURE:
        origins.append(default(f"what fires {thyristor.name} in the cold, which its sheet does not print"))
    return Gate((current.most or 0.0) * COLDER_CURRENT ** (colder[0] / COLDER_BY),
                (voltage.most or 0.0) + COLDER_VOLTAGE * colder[1], tuple(origins))  # fmt: skip


def _coldest(thyristor: PartType, name: str) -> Figure | None:
    rows = [row for row in thyristor.rows(name) if row.most is not None]
    return min(rows, key=lambda row: row.conditions.temperature, default=None)
