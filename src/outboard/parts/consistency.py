"""Whether the figures of a type agree with each other, and which of them want a second look."""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from outboard.constants import ZERO_CELSIUS
from outboard.errors import Mistake
from outboard.parts.library import find
from outboard.parts.ratings import ratings
from outboard.parts.records import SYMBOLS, Figure, PartType
from outboard.parts.safe_area import safe_area
from outboard.sources import RECALLED, cited

_RISING = (("V_CEO", "V_CER", "V_CES", "V_CEX", "V_CBO"), ("V_RWM", "V_C"))
"""Ratings of voltage that rise in this order."""

AGREEMENT = 0.03
"""Relative difference up to which two printed forms of one rating agree: their rounding."""

LEAST_ZENER_POWER = 0.9
"""Part of P_tot that greatest voltage and current of a Zener diode must reach: a closer tolerance keeps the current."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One remark on a type: severity "error" (cannot be), "warning" (look again) or "note" (to know)."""

    severity: str
    part: str
    words: str


def consistency(part_type: PartType) -> tuple[Finding, ...]:
    """Every remark on one type, errors first."""
    checks = (_order, _power, _zener_power, _voltages, _currents, _gains, _outputs, _references, _limits, _areas,
              _sources)  # fmt: skip
    found = [finding for check in checks for finding in check(part_type)]
    rank = {"error": 0, "warning": 1, "note": 2}
    return tuple(sorted(found, key=lambda finding: rank[finding.severity]))


def catalogue_findings(types: Mapping[str, PartType]) -> tuple[Finding, ...]:
    """The remarks on every type of a catalogue; of the members of a family, what is wrong with them."""
    found: list[Finding] = []
    for part_type in types.values():
        found += consistency(part_type)
        of_members = (finding for name in part_type.members for finding in consistency(find(name)))
        found += (finding for finding in of_members if finding.severity != "note")
    return tuple(found)


def broken_findings(broken: Mapping[str, Sequence[Mistake]]) -> tuple[Finding, ...]:
    """Files of a person that cannot be read, by the name that each stands for, as remarks."""
    return tuple(Finding("error", name, str(mistake)) for name, found in broken.items() for mistake in found)


def _order(part_type: PartType) -> Iterator[Finding]:
    for row in part_type.figures:
        present = [value for value in (row.least, row.typical, row.most) if value is not None]
        if present != sorted(present):
            yield Finding("error", part_type.name, f"{SYMBOLS.get(row.name, row.name)} does not rise: {present}")


def _power(part_type: PartType) -> Iterator[Finding]:
    """P_tot = (T_J max − T)/R_th, T of case or leads as P_tot is printed; derating = 1/R_thJC, in free air 1/R_thJA."""
    rated = ratings(part_type)
    if "P_tot" in rated and "T_J" in rated:
        given = rated["P_tot"].figure.conditions
        symbol = "R_thJC" if given.lead_temperature is None else "R_thJL"
        if symbol in rated:
            power = (rated["T_J"].value - given.temperature) / rated[symbol].value
            words = f"(T_J max − {given.temperature - ZERO_CELSIUS:.0f} °C)/{symbol}"
            yield from _agree(part_type.name, "P_tot", rated["P_tot"].value, words, power, "W")
    for row in part_type.rows("derating"):
        symbol = "R_thJC" if row.conditions.ambient_temperature is None else "R_thJA"
        if row.most is not None and symbol in rated:
            yield from _agree(part_type.name, "derating", row.most, f"1/{symbol}", 1.0 / rated[symbol].value, "W/K")


def _zener_power(part_type: PartType) -> Iterator[Finding]:
    """V_Z at its greatest times I_ZM is P_tot, never more; V_C times I_PP is P_PP."""
    rated = ratings(part_type)
    tolerance = max((row.most or 0.0 for row in part_type.rows("VZ_tolerance")), default=0.0)
    if {"V_Z", "I_ZM", "P_tot"} <= set(rated):
        power, rating = rated["V_Z"].value * (1.0 + tolerance) * rated["I_ZM"].value, rated["P_tot"].value
        if not LEAST_ZENER_POWER * rating <= power <= (1.0 + AGREEMENT) * rating:
            words = f"greatest V_Z · I_ZM = {power:.4g} W against P_tot {rating:.4g} W"
            yield Finding("warning", part_type.name, words)
    for row in part_type.rows("VC"):
        if row.most is not None and row.conditions.reverse_current is not None and "P_PP" in rated:
            power = row.most * row.conditions.reverse_current
            yield from _agree(part_type.name, "P_PP", rated["P_PP"].value, "V_C · I_PP", power, "W")


def _agree(part: str, one: str, value: float, other: str, computed: float, unit: str) -> Iterator[Finding]:
    if abs(value - computed) > AGREEMENT * value:
        words = f"{one} {value:.4g} {unit} against {other} = {computed:.4g} {unit}"
        yield Finding("warning", part, words)


def _voltages(part_type: PartType) -> Iterator[Finding]:
    """V_CEO ≤ V_CER ≤ V_CES ≤ V_CEX ≤ V_CBO; a suppressor's V_RWM ≤ V_C."""
    rated = ratings(part_type)
    for chain in _RISING:
        rising = [(symbol, rated[symbol].value) for symbol in chain if symbol in rated]
        for (low, low_value), (high, high_value) in itertools.pairwise(rising):
            if low_value > high_value:
                words = f"{low} {low_value:g} V above {high} {high_value:g} V"
                yield Finding("error", part_type.name, words)


def _currents(part_type: PartType) -> Iterator[Finding]:
    rated = ratings(part_type)
    for low, high in (("I_C", "I_C_peak"), ("I_F", "I_FSM"), ("I_D", "I_D_peak")):
        if low in rated and high in rated and rated[low].value > rated[high].value:
            words = f"continuous {low} {rated[low].value:g} A above the peak current {rated[high].value:g} A"
            yield Finding("error", part_type.name, words)


def _gains(part_type: PartType) -> Iterator[Finding]:
    """At one collector current no least gain may lie above a most gain."""
    rows = part_type.rows("hFE")
    for low in rows:
        for high in rows:
            same = low.conditions.collector_current == high.conditions.collector_current
            if same and low.least is not None and high.most is not None and low.least > high.most:
                current = low.conditions.collector_current
                words = f"least h_FE {low.least:g} above most h_FE {high.most:g} at {current} A"
                yield Finding("error", part_type.name, words)


def _areas(part_type: PartType) -> Iterator[Finding]:
    """Second breakdown allows less at more voltage, no more than P_tot, no more lasting than briefly."""
    area = safe_area(part_type)
    if area is None:
        return
    for line in (area.lasting, area.brief):
        for low, high in itertools.pairwise(line):
            if high.current > low.current:
                words = f"{high.current:g} A at {high.voltage:g} V above {low.current:g} A at {low.voltage:g} V"
                yield Finding("error", part_type.name, f"the safe area rises with voltage: {words}")
        for point in line:
            power = point.voltage * point.current
            if area.power is not None and power > (1.0 + AGREEMENT) * area.power.value:
                words = f"{point.voltage:g} V · {point.current:g} A = {power:.4g} W above P_tot {area.power.value:g} W"
                yield Finding("warning", part_type.name, f"a point of the safe area: {words}")
    for lasting, brief in itertools.product(area.lasting, area.brief):
        if lasting.voltage >= brief.voltage and lasting.current > brief.current:
            words = f"{lasting.current:g} A lasting at {lasting.voltage:g} V, {brief.current:g} A for a pulse at " \
                    f"{brief.voltage:g} V"
            yield Finding("error", part_type.name, f"the safe area allows more for longer: {words}")


def _outputs(part_type: PartType) -> Iterator[Finding]:
    """The output band at 25 °C lies inside the band over the operating range."""
    yield from _nested(part_type, "VO", "V_O")


def _references(part_type: PartType) -> Iterator[Finding]:
    """The reference band at 25 °C lies inside the band over the range, which lies within the input-output voltage."""
    yield from _nested(part_type, "VREF", "V_REF")
    most = ratings(part_type).get("V_diff")
    for row in part_type.rows("VREF"):
        ends = row.conditions.differential_voltage
        if most is not None and ends is not None and ends[1] > most.value:
            words = f"V_REF is printed up to {ends[1]:g} V between input and output, which stand {most.value:g} V"
            yield Finding("error", part_type.name, words)


def _limits(part_type: PartType) -> Iterator[Finding]:
    """The least current limit does not lie below the guaranteed current."""
    rated = ratings(part_type)
    rows = [row for row in part_type.rows("I_limit") if row.least is not None and row.conditions.differential_voltage]
    first = min(rows, key=lambda row: (row.conditions.differential_voltage or (0.0, 0.0))[1], default=None)
    if first is not None and first.least is not None and "I_O" in rated and first.least < rated["I_O"].value:
        words = f"least current limit {first.least:g} A below the guaranteed current {rated['I_O'].value:g} A"
        yield Finding("error", part_type.name, words)


def _nested(part_type: PartType, name: str, symbol: str) -> Iterator[Finding]:
    """Of several bands of one voltage the narrower lies inside the wider."""
    rows = [row for row in part_type.rows(name) if row.least is not None and row.most is not None]
    rows.sort(key=_band)
    for inner, outer in itertools.pairwise(rows):
        if (inner.least or 0.0) < (outer.least or 0.0) or (inner.most or 0.0) > (outer.most or 0.0):
            bands = f"{inner.least:g} V to {inner.most:g} V not inside {outer.least:g} V to {outer.most:g} V"
            yield Finding("error", part_type.name, f"{symbol} from {bands}")


def _band(row: Figure) -> float:
    return (row.most or 0.0) - (row.least or 0.0)


def _sources(part_type: PartType) -> Iterator[Finding]:
    """Figures from memory or from a damaged text, together by document; then each remark of the sheet."""
    doubtful: dict[str, list[str]] = {}
    for row in part_type.figures:
        if row.source == RECALLED or cited(row.source).weak:
            doubtful.setdefault(row.source, []).append(SYMBOLS.get(row.name, row.name))
    for key, symbols in doubtful.items():
        names = list(dict.fromkeys(symbols))
        said, one = ", ".join(names), len(names) == 1
        words = f"{'is' if one else 'are'} recalled, without a document"
        if key != RECALLED:
            words = f"{'comes' if one else 'come'} from a damaged text: {cited(key).citation}"
        yield Finding("note", part_type.name, f"{said} {words}")
    for note in dict.fromkeys(row.note for row in part_type.figures if row.note):
        noted = dict.fromkeys(SYMBOLS.get(row.name, row.name) for row in part_type.figures if row.note == note)
        yield Finding("note", part_type.name, f"{', '.join(noted)}: {note}")
