"""Whether the figures of a type agree with each other, and which of them want a second look."""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from outboard.constants import REFERENCE_TEMPERATURE
from outboard.errors import Mistake
from outboard.parts.ratings import ratings
from outboard.parts.records import SYMBOLS, Figure, PartType
from outboard.sources import RECALLED, cited

_RISING = ("V_CEO", "V_CER", "V_CES", "V_CEX", "V_CBO")

AGREEMENT = 0.03
"""Relative difference up to which two printed forms of one rating agree: their rounding."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One remark on a type: severity "error" (cannot be), "warning" (look again) or "note" (to know)."""

    severity: str
    part: str
    words: str


def consistency(part_type: PartType) -> tuple[Finding, ...]:
    """Every remark on one type, errors first."""
    checks = (_order, _power, _voltages, _currents, _gains, _outputs, _sources)
    found = [finding for check in checks for finding in check(part_type)]
    rank = {"error": 0, "warning": 1, "note": 2}
    return tuple(sorted(found, key=lambda finding: rank[finding.severity]))


def catalogue_findings(types: Mapping[str, PartType]) -> tuple[Finding, ...]:
    """The remarks on every type of a catalogue."""
    return tuple(finding for part_type in types.values() for finding in consistency(part_type))


def broken_findings(broken: Mapping[str, Sequence[Mistake]]) -> tuple[Finding, ...]:
    """Files of a person that cannot be read, by the name that each stands for, as remarks."""
    return tuple(Finding("error", name, str(mistake)) for name, found in broken.items() for mistake in found)


def _order(part_type: PartType) -> Iterator[Finding]:
    for row in part_type.figures:
        present = [value for value in (row.least, row.typical, row.most) if value is not None]
        if present != sorted(present):
            yield Finding("error", part_type.name, f"{SYMBOLS.get(row.name, row.name)} does not rise: {present}")


def _power(part_type: PartType) -> Iterator[Finding]:
    """P_tot = (T_J max − 25 °C)/R_thJC, and the derating slope = 1/R_thJC, in free air 1/R_thJA."""
    rated = ratings(part_type)
    resistance = rated.get("R_thJC")
    if resistance is None:
        return
    if "P_tot" in rated and "T_J" in rated:
        power = (rated["T_J"].value - REFERENCE_TEMPERATURE) / resistance.value
        yield from _agree(part_type.name, "P_tot", rated["P_tot"].value, "(T_J max − 25 °C)/R_thJC", power, "W")
    for row in part_type.rows("derating"):
        symbol = "R_thJC" if row.conditions.ambient_temperature is None else "R_thJA"
        if row.most is not None and symbol in rated:
            yield from _agree(part_type.name, "derating", row.most, f"1/{symbol}", 1.0 / rated[symbol].value, "W/K")


def _agree(part: str, one: str, value: float, other: str, computed: float, unit: str) -> Iterator[Finding]:
    if abs(value - computed) > AGREEMENT * value:
        words = f"{one} {value:.4g} {unit} against {other} = {computed:.4g} {unit}"
        yield Finding("warning", part, words)


def _voltages(part_type: PartType) -> Iterator[Finding]:
    """V_CEO ≤ V_CER ≤ V_CES ≤ V_CEX ≤ V_CBO."""
    rated = ratings(part_type)
    rising = [(symbol, rated[symbol].value) for symbol in _RISING if symbol in rated]
    for (low, low_value), (high, high_value) in itertools.pairwise(rising):
        if low_value > high_value:
            yield Finding("error", part_type.name, f"{low} {low_value:g} V above {high} {high_value:g} V")


def _currents(part_type: PartType) -> Iterator[Finding]:
    rated = ratings(part_type)
    for low, high in (("I_C", "I_C_peak"), ("I_F", "I_FSM")):
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


def _outputs(part_type: PartType) -> Iterator[Finding]:
    """The output band at 25 °C lies inside the band over the operating range."""
    rows = [row for row in part_type.rows("VO") if row.least is not None and row.most is not None]
    rows.sort(key=_band)
    for inner, outer in itertools.pairwise(rows):
        if (inner.least or 0.0) < (outer.least or 0.0) or (inner.most or 0.0) > (outer.most or 0.0):
            words = f"V_O from {inner.least:g} V to {inner.most:g} V not inside {outer.least:g} V to {outer.most:g} V"
            yield Finding("error", part_type.name, words)


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
