"""Why a part matters: by which way something goes wrong without it, or with a short in its place.

What a part is for follows from its role in the arrangement, or from the nets between which it lies; whether leakage has
a hand in it, from the corner at which things are worst.
"""

from collections.abc import Callable, Mapping

from outboard.arrangements.design import Design, DesignPart
from outboard.arrangements.rails import IN, OUT
from outboard.checks.finding import Finding
from outboard.constants import ZERO_CELSIUS
from outboard.network.part import GROUND

HIGH, LOW, OTHER = "high", "low", "other"

ONLY_BEYOND: Mapping[str, str] = {
    "sense transistor": "it takes over in an overload, beyond the loads that are promised",
    "gate protection": "it bears surges and a shorted output, which are not among the promised loads",
    "reverse diode": "it conducts when the input falls before the output does",
    "output diode": "it conducts when something drives the output below ground",
    "crowbar": "it fires when something lifts the output",
    "crowbar trigger": "it fires the crowbar when something lifts the output",
    "crowbar gate resistor": "it keeps leakage out of the crowbar's gate",
    "input capacitor": "it is for stability and fast changes",
    "output capacitor": "it is for stability and fast changes",
}
"""What parts are for that nothing shows as long as input, ambient and load are what was promised."""


def _way(finding: Finding) -> str:
    """Whether the output is too high or too low, or something else is the matter."""
    if not finding.requirement.startswith("output"):
        return OTHER
    return HIGH if finding.requirement.endswith("high") else LOW


def mechanism(design: Design, name: str, what: str, finding: Finding) -> str:
    """Why leaving a part out, or shorting it, has this effect; empty where nothing is known to say."""
    part = design.part(name)
    if what == "shorted":
        return _shorted(design, part, finding)
    if what != "left out":
        return ""
    said = _WITHOUT.get(part.role)
    if said is not None:
        expected = (OTHER, _WAY.get(part.role, LOW)) if part.role != "divider" else (HIGH, LOW)
        return said(design, part, finding) if _way(finding) in expected else ""
    return _between_nets(design, part) if part.part.kind == "resistor" else ""


def _shorted(design: Design, part: DesignPart, finding: Finding) -> str:
    nets = set(part.part.pins.values())
    if nets == {OUT, GROUND}:
        return "that is a shorted output"
    if nets == {IN, OUT}:
        return "input and output are one then"
    said = _SHORTED.get(part.role)
    holds = {"divider": (HIGH, LOW), "ballast": (OTHER,)}.get(part.role, (LOW, OTHER))
    return said(design, part, finding) if said is not None and _way(finding) in holds else ""


def _between_nets(design: Design, part: DesignPart) -> str:
    """A resistor without a role, by its nets."""
    nets, regulator = set(part.part.pins.values()), _first(design, "regulator", "the regulator")
    if nets == {IN, OUT}:
        return f"it feeds the output past {regulator}, which cannot sink"
    if nets == {OUT, GROUND}:
        return "it loads the output"
    references = {one.part.pins["ref"] for one in design.parts if one.part.kind == "regulator"} - {GROUND}
    return f"it shifts the voltage at the reference of {regulator}" if nets & references else ""


def _first(design: Design, role: str, otherwise: str = "") -> str:
    return next((part.name for part in design.parts if part.role == role), otherwise)


def _turned_on(design: Design) -> str:
    """The transistor that the regulator's current turns on."""
    return _first(design, "driver") or _first(design, "pass device", "the pass device")


def _pass_devices(design: Design) -> str:
    names = [part.name for part in design.parts if part.role == "pass device"]
    return ", ".join(names) or "the pass devices"


def _hot(design: Design, finding: Finding) -> bool:
    ambient = design.brief.surroundings.ambient
    at = finding.corner.get("ambient_C")
    return ambient.most > ambient.least and at is not None and float(at) + ZERO_CELSIUS >= ambient.most - 0.01


def _no_bleed(design: Design, part: DesignPart, finding: Finding) -> str:
    if _hot(design, finding):
        return f"hot leakage finds no other path than the base of {_base_beside(design, part)}, and is amplified there"
    return f"nothing holds the base of {_base_beside(design, part)} down"


def _base_beside(design: Design, part: DesignPart) -> str:
    nets = set(part.part.pins.values())
    beside = [one.name for one in design.parts if one.part.pins.get("base") in nets and one.role == "pass device"]
    return ", ".join(beside) or _pass_devices(design)


def _no_base_resistor(design: Design, part: DesignPart, finding: Finding) -> str:
    first, regulator = _turned_on(design), _first(design, "regulator", "the regulator")
    if any(one.name == first and one.part.kind == "mosfet" for one in design.parts):
        return f"nothing brings the gate of {first} back to its source, so that whatever {regulator} draws turns it on"
    return f"all that {regulator} draws, its quiescent current too, is base current of {first}, which conducts unasked"


def _no_standing_load(design: Design, part: DesignPart, finding: Finding) -> str:
    regulator = _first(design, "regulator", "the regulator")
    if finding.requirement == "least load":
        return f"{regulator} has no other way for its own current than the output"
    leaks = "leaks" if _hot(design, finding) else "comes"
    return f"{regulator} cannot sink, and nothing else takes what {leaks} through {_pass_devices(design)}"


def _no_divider(design: Design, part: DesignPart, finding: Finding) -> str:
    lower = GROUND in part.part.pins.values()
    if lower != (_way(finding) == HIGH):
        return ""
    if lower:
        return "the reference pin hangs free and drifts up, the output with it"
    return "no current sets up a voltage between the reference pin and ground, so the bare reference comes out"


def _no_ballast(design: Design, part: DesignPart, finding: Finding) -> str:
    nets = set(part.part.pins.values())
    cut = [one.name for one in design.parts if one.part.pins.get("emitter") in nets and one.role == "pass device"]
    return f"{', '.join(cut) or 'its transistor'} is cut off, and its share falls to the others"


def _no_pass_device(design: Design, part: DesignPart, finding: Finding) -> str:
    others = [one.name for one in design.parts if one.role == "pass device" and one.name != part.name]
    if others:
        return f"its share falls to {', '.join(others)}"
    if finding.requirement == "resistor power" and finding.part:
        return f"its current takes the way through {finding.part}"
    rest = _first(design, "driver") or _first(design, "regulator", "the regulator")
    return f"nothing but {rest} is left for the load"


def _no_sense_resistor(design: Design, part: DesignPart, finding: Finding) -> str:
    transistor = _first(design, "sense transistor")
    through = f" but through base and emitter of {transistor}" if transistor else ""
    return f"the current of {_pass_devices(design)} has no way left{through}"


Said = Callable[[Design, DesignPart, Finding], str]

_WITHOUT: Mapping[str, Said] = {
    "regulator": lambda design, part, finding: f"without its current {_turned_on(design)} stays off",
    "base resistor": _no_base_resistor,
    "bleed": _no_bleed,
    "standing load": _no_standing_load,
    "divider": _no_divider,
    "ballast": _no_ballast,
    "pass device": _no_pass_device,
    "driver": lambda design, part, finding: f"no base current reaches {_pass_devices(design)}",
    "sense resistor": _no_sense_resistor,
    "gate resistor": lambda design, part, finding: f"nothing drives the gate of {_pass_devices(design)}",
    "compensating diode": lambda design, part, finding: (
        f"the reference pin of {_first(design, 'regulator')} hangs free, and the input comes out"
    ),
}
"""role -> the reason."""

_WAY: Mapping[str, str] = {
    "base resistor": HIGH, "bleed": HIGH, "standing load": HIGH, "compensating diode": HIGH,
}
"""Where the output goes without a part of a role, for the reason above to hold; low, where nothing is said."""

_SHORTED: Mapping[str, Said] = {
    "base resistor": lambda design, part, finding: (
        f"no voltage is left to turn {_turned_on(design)} on, and {_first(design, 'regulator')} carries all"
    ),
    "bleed": lambda design, part, finding: f"the base of {_base_beside(design, part)} is tied to its emitter",
    "ballast": lambda design, part, finding: "nothing evens out the shares, and one transistor takes more than its own",
    "gate protection": lambda design, part, finding: f"the gate of {_pass_devices(design)} is tied to its source",
    "compensating diode": lambda design, part, finding: "a base-emitter voltage is no longer made up for",
    "divider": lambda design, part, finding: (
        "the reference pin lies at ground" if GROUND in part.part.pins.values() else
        "output and reference are one, so the regulator sees no output to regulate"
    ),
}
