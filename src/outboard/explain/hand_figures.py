"""The constants that hand algebra puts in the place of a device, with their range, each from a stated rule.

A transistor's gain is its gain at middle currents and 25 °C; its V_BE is that of the junction at a hundredth of the
rated collector current (or, where no rating is known, of full load).  The most V_BE of the tolerance box is what the
device takes at the point that is derived, emitter resistance included.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from outboard.arrangements.design import Design, DesignPart
from outboard.constants import REFERENCE_TEMPERATURE, thermal_voltage
from outboard.network.part import Part

SATURATION_VOLTAGE = 0.2
"""V_CE,sat where nothing else is known [V] (common practice, no source)."""

HUNDREDTH = 0.01
LEAST_REFERENCE = 1e-3
"""A junction is not read below this current [A]."""

_VT = thermal_voltage(REFERENCE_TEMPERATURE)


@dataclass(frozen=True, slots=True)
class HandFigure:
    """A constant with its ends and the rule that it comes from, SI."""

    value: float
    least: float
    most: float
    origin: str

    @classmethod
    def exactly(cls, value: float, origin: str) -> "HandFigure":
        """A constant without range."""
        return cls(value, value, value, origin)


def transistor_figures(part: DesignPart, full_load: float, carries: float) -> Mapping[str, HandFigure]:
    """Gain, base_emitter_voltage and, where there is one, saturation_voltage of a transistor.

    `carries` is its collector current at the point [A].
    """
    values = part.part.values
    if part.part.model == "constant_gain":
        return {name: HandFigure.exactly(value, "as written") for name, value in values.items()}
    rating = part.rating("I_C")
    at = HUNDREDTH * (rating.value if rating is not None else full_load)
    at = max(at, LEAST_REFERENCE)
    of = "rated I_C" if rating is not None else "full load"
    where = f"at 1 % of {of}, 25 °C"
    usual, least, most = _ends(part, ("saturation_current", "emitter_resistance"), "V_BE")
    emission = values.get("forward_emission", 1.0)
    start = [emission * _VT * math.log1p(at / end["saturation_current"]) for end in (usual, least, most)]
    heavy = max(at, carries)
    top = emission * _VT * math.log1p(heavy / most["saturation_current"]) + heavy * most.get("emitter_resistance", 0.0)
    gains = [end["forward_gain"] for end in _ends(part, ("forward_gain",), "gain")]
    return {
        "gain": HandFigure(gains[0], min(gains), max(gains), "middle currents, 25 °C"),
        "base_emitter_voltage": HandFigure(start[0], min(start), max(*start, top), where),
        "saturation_voltage": HandFigure.exactly(SATURATION_VOLTAGE, "common practice, no source"),
    }


def _ends(part: DesignPart, fields: tuple[str, ...], axis: str) -> tuple[dict[str, float], ...]:
    """Some values of a part as usual, least and most."""
    return tuple({name: values[name] for name in fields if name in values} for values in ends(part, fields, axis))


def ends(part: DesignPart, fields: tuple[str, ...], axis: str) -> tuple[dict[str, float], ...]:
    """All values of a part with some of them as usual, least and most."""
    usual = dict(part.part.values)
    spread = part.identified.spread(axis) if part.identified is not None else None
    if spread is None:
        return usual, usual, usual
    least = usual | dict(zip(spread.fields, spread.least, strict=True))
    return usual, least, usual | dict(zip(spread.fields, spread.most, strict=True))


def diode_figures(part: DesignPart, full_load: float) -> Mapping[str, HandFigure]:
    """forward_voltage of a diode at a hundredth of full load, and its breakdown_voltage."""
    values = part.part.values
    at = max(LEAST_REFERENCE, HUNDREDTH * full_load)
    emission = values.get("emission_coefficient", 1.0)
    forward = emission * _VT * math.log1p(at / values["saturation_current"])
    found = {"forward_voltage": HandFigure.exactly(forward, "at 1 % of full load, 25 °C")}
    if "breakdown_voltage" in values:
        found["breakdown_voltage"] = HandFigure.exactly(values["breakdown_voltage"], "as given")
    return found


def figure_of(part: DesignPart, field: str, default: float, axis: str = "") -> HandFigure:
    """A field of a part as it stands, with its tolerance or the ends of its spread."""
    value = part.part.values.get(field, default)
    if part.part.kind == "resistor" and field == "resistance":
        tolerance = part.tolerance or 0.0
        return HandFigure(value, value * (1.0 - tolerance), value * (1.0 + tolerance), "as chosen")
    spread = part.identified.spread(axis) if part.identified is not None and axis else None
    if spread is not None and field in spread.fields:
        place = spread.fields.index(field)
        ends = (value, spread.least[place], spread.most[place])
        return HandFigure(value, min(ends), max(ends), "data sheet")
    return HandFigure.exactly(value, "as given" if field in part.part.values else "default")


def full_load(design: Design) -> float:
    """The greatest load that was promised or written [A]."""
    promised = design.brief.output.load.most if design.brief.output is not None else 0.0
    drawn = [part.part.values.get("draws", 0.0) for part in design.parts if part.part.kind == "load"]
    return max([promised, *drawn])


def plain_part(part: Part) -> DesignPart:
    """A bare part as a design's part without catalogue."""
    return DesignPart(part, part.kind)
