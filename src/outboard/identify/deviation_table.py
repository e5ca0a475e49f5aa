"""The worst deviation of every type's model from its sheet as a table, and the deviations that are accepted."""

from collections.abc import Iterator, Mapping

from outboard.identify.deviation import Deviation, deviations
from outboard.parts.library import find
from outboard.parts.records import PartType

TOLERATED = 0.05
"""Relative deviation up to which a printed figure counts as given back."""

_BC557 = ("BC557", "BC557A", "BC557B", "BC557C")
ACCEPTED: Mapping[tuple[tuple[str, ...], str, str], str] = {
    (_BC557, "V_CE(sat)", "0.01 A, 0.0005 A"): (
        "typical value; one collector resistance cannot meet both rows, it is taken from that of 100 mA, "
        "and at 10 mA the model stays below the limit"
    ),
    (_BC557, "V_BE(sat)", "0.1 A, 0.005 A"): (
        "typical value at twenty times the current of V_BE(on); the rest lies in the base, whose resistance is left out"
    ),
}
"""Types, figure and test point of the deviations beyond the tolerated one, each with its reason."""

HEADING = """# How well the models give back their sheets

Made by `outboard.identify.deviation_table`; the tests compare it with the models. Each row is the figure of a type
that its model meets worst: where the model stays within a limit that only bounds it the deviation is nought. Up to 5 %
counts as given back; what is more has its reason beside it.

| type | figure | at | end | model | printed | off | reason |
|---|---|---|---|---|---|---|---|
"""


def accepted(row: Deviation) -> str:
    """Why a deviation beyond the tolerated one is accepted; empty when it is not."""
    for (parts, figure, at), reason in ACCEPTED.items():
        if row.part in parts and (row.figure, row.at) == (figure, at) and row.end == "usual":
            return reason
    return ""


def every_type(types: Mapping[str, PartType]) -> Iterator[PartType]:
    """The types of a catalogue, each followed by its members."""
    for part_type in types.values():
        yield part_type
        yield from (find(member) for member in part_type.members)


def deviation_table(types: Mapping[str, PartType]) -> str:
    """The worst figure of each type and member, as Markdown."""
    lines = []
    for part_type in every_type(types):
        worst = max(deviations(part_type), key=lambda row: (round(abs(row.relative), 3), row.figure))
        off = f"{100.0 * worst.relative + 0.0:+.1f} %" if round(abs(worst.relative), 3) else "0 %"
        cells = (worst.part, worst.figure, worst.at, worst.end, f"{worst.model:.3g}", f"{worst.printed:.3g}", off,
                 accepted(worst))  # fmt: skip
        lines.append("| " + " | ".join(cells) + " |\n")
    return HEADING + "".join(lines)
