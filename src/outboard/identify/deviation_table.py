"""The worst deviation of every type's model from its sheet as a table, and the deviations that are accepted."""

from collections.abc import Iterator, Mapping

from outboard.identify.agreement import Deviation
from outboard.identify.deviation import MODELLED, deviations
from outboard.parts.library import find
from outboard.parts.records import PartType

TOLERATED = 0.05
"""Relative deviation up to which a printed figure counts as given back."""

_BC557, _MUR = ("BC557", "BC557A", "BC557B", "BC557C"), ("MUR840", "MUR860")
ACCEPTED: Mapping[tuple[tuple[str, ...], str, str, str], str] = {
    (_BC557, "V_CE(sat)", "0.01 A, 0.0005 A", "usual"): (
        "typical value; one collector resistance cannot meet both rows, it is taken from that of 100 mA, "
        "and at 10 mA the model stays below the limit"
    ),
    (_BC557, "V_BE(sat)", "0.1 A, 0.005 A", "usual"): (
        "typical value at twenty times the current of V_BE(on); the rest lies in the base, whose resistance is left out"
    ),
    (_MUR, "V_F", "8 A, 150 °C", "forward voltage most"): (
        "the forward voltage falls faster with temperature than the junction law with its resistance allows; "
        "the model stays above the limit: more heat, the careful side"
    ),
}
"""Types, figure, test point and end of the deviations beyond the tolerated one, each with its reason."""

HEADING = """# How well the models give back their sheets

Made by `outboard.identify.deviation_table`; the tests compare it with the models. Each row is the figure of a type
that its model meets worst: where the model stays within a limit that only bounds it the deviation is nought. Up to 5 %
counts as given back; what is more has its reason beside it. Field-effect transistors have no model and are left out.

| type | figure | at | end | model | printed | off | reason |
|---|---|---|---|---|---|---|---|
"""


def accepted(row: Deviation) -> str:
    """Why a deviation beyond the tolerated one is accepted; empty when it is not."""
    reasons = (reason for (parts, *point), reason in ACCEPTED.items()
               if row.part in parts and [row.figure, row.at, row.end] == point)  # fmt: skip
    return next(reasons, "")


def every_type(types: Mapping[str, PartType]) -> Iterator[PartType]:
    """The types of a catalogue whose kind has a model, each followed by its members."""
    for part_type in types.values():
        if part_type.kind in MODELLED:
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
