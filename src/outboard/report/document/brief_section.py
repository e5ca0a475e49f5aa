"""What was promised."""

from collections.abc import Iterator

from outboard.quantity import CURRENT, RATIO, RESISTANCE, TEMPERATURE, THERMAL_RESISTANCE, VOLTAGE, shown
from outboard.report.document.content import Section, Terms
from outboard.report.document.material import Material
from outboard.report.document.wordings import span_words


def section(material: Material) -> Section:
    """The brief as terms."""
    return Section("Brief", (Terms(tuple(_terms(material))),))


def _terms(material: Material) -> Iterator[tuple[str, str]]:
    brief = material.brief
    if brief.input is not None:
        behind = shown(brief.input.resistance, RESISTANCE)
        yield "input", f"{span_words(brief.input.voltage, VOLTAGE)} without load, {behind} behind it"
    if brief.output is not None:
        volts = shown(brief.output.voltage, VOLTAGE, 4, zeros=False)
        yield "output", f"{volts} ± {shown(brief.output.tolerance, RATIO)}"
        yield "load", span_words(brief.output.load, CURRENT)
        withstands = brief.output.withstands
        known = "not said" if withstands is None else shown(withstands, VOLTAGE, 4, zeros=False)
        yield "the load withstands", known
    yield "ambient", span_words(brief.surroundings.ambient, TEMPERATURE)
    short = brief.requirements.short_circuit
    yield "short circuit", {None: "not said", "none": "not promised"}.get(short, f"borne for {short}")
    trusted = "typical figures count, marked †" if brief.requirements.trust == "typical" else "only limits count"
    yield "figures", trusted
    yield "derating", brief.requirements.derating
    if brief.stage is not None:
        yield "arrangement", brief.stage.arrangement
    for name, resistance in brief.heat.sinks.items():
        mounted = ", ".join(role.replace("_", " ") for role, mount in brief.heat.mounts.items() if mount.sink == name)
        yield f"sink {name}", f"{shown(resistance, THERMAL_RESISTANCE)}; on it: {mounted or 'nothing'}"
